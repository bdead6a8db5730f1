package report

import (
	"fmt"
	"math"

	"gainwright/gen/report/chart"
	"gainwright/gen/summary"
	"gainwright/model/simulate"
)

// turned shows which way to turn each live gain.
func (in Input) turned() (section, error) {
	t := in.Turning
	out := section{ID: "gains", Title: "Which way to turn a gain", Intro: []string{t.BoxSentence()}, Notes: t.TurnedNotes()}
	if t.NoPlane != "" {
		out.Notes = append(out.Notes, "There is no picture over two gains: "+t.NoPlane+".")
	}
	for i, w := range in.Run.System.Scenario.Watch {
		tab := table{Caption: "The scenario with each gain at half, once and twice: " + w.Name,
			Head: columns("gain", ">value", ">sensitivity peak", ">settled after, s", ">overshoot, "+w.Unit, ">swing that remains, "+w.Unit, ">effort, rms")}
		for _, g := range t.Gains {
			for k := range g.At {
				tab.Rows = append(tab.Rows, cells(append([]string{labelled(g.Key, g.Unit)}, g.At[k].Cells(i)...)...))
			}
		}
		out.Tables = append(out.Tables, tab)
	}
	if t.Plane != nil {
		out.Figures = append(out.Figures, group{Title: "Sensitivity peak over two gains"})
		if err := out.plane(t); err != nil {
			return out, err
		}
	}
	return out, in.families(&out)
}

// plane draws the contours over two gains.
func (s *section) plane(t *summary.Turning) error {
	p := t.Plane
	pic := chart.Picture{ID: "gains-plane", Title: fmt.Sprintf("Sensitivity peak over %s and %s, the loop cut behind %s", p.Gains[0], p.Gains[1], p.PID),
		X: chart.Axis{Label: axis(p.Gains[0], p.Units[0]), Least: p.X[0], Most: p.X[len(p.X)-1], Fixed: true},
		Y: chart.Axis{Label: axis(p.Gains[1], p.Units[1]), Least: p.Y[0], Most: p.Y[len(p.Y)-1], Fixed: true},
		Description: fmt.Sprintf("Contours of the sensitivity peak. The gains in force are %s %.4g and %s %.4g, where the loop %s. %s",
			p.Gains[0], p.Now[0], p.Gains[1], p.Now[1], map[bool]string{true: "is stable", false: "is not stable"}[p.Stable], t.BoxSentence())}
	x, y := p.Box[0], p.Box[1]
	for _, l := range []struct {
		name string
		peak float64
		look chart.Look
	}{{"stability ends", math.Inf(1), chart.Integer}, {"2", 2, chart.Reference}, {"1.4", 1.4, chart.Target}} {
		line := chart.Series{Name: l.name, Look: l.look}
		line.X, line.Y = chart.Contour(p.X, p.Y, p.Room, 1/l.peak)
		pic.Series = append(pic.Series, line)
	}
	pic.Series = append(pic.Series, []chart.Series{{Name: "tuning range", Look: chart.Apart, X: []float64{x[0], x[1], x[1], x[0], x[0]}, Y: []float64{y[0], y[0], y[1], y[1], y[0]}},
		{Name: "now", Look: chart.Integer, Dots: true, X: p.Now[:1], Y: p.Now[1:]}}...)
	return s.picture(pic, fmt.Sprintf("%s and %s, cut behind %s, the other gains as they are. Below 2 is usual for a robust loop, 1.4 is cautious (Astrom and Hagglund, Advanced PID Control; from memory)", p.Gains[0], p.Gains[1], p.PID))
}

// families draws what is watched with each gain at half, once and twice, from the first change on.
func (in Input) families(to *section) error {
	t, run := in.Turning, in.Run
	stretches := run.stretches()
	st := stretches[min(1, len(stretches)-1)]
	for n, g := range t.Gains {
		to.Figures = append(to.Figures, group{Title: fmt.Sprintf("%s at half, once and twice, %s", g.Key, st.name)})
		for i := range run.System.Scenario.Watch {
			w := &run.System.Scenario.Watch[i]
			per, unit := 1.0, "time, s"
			if st.to > 1800 {
				per, unit = 60, "time, min"
			}
			p := chart.Picture{ID: fmt.Sprintf("gains-%d-%d", n+1, i+1), Title: fmt.Sprintf("%s with %s turned", w.Name, g.Key), X: chart.Axis{Label: unit, Least: st.from / per, Most: st.to / per, Fixed: true},
				Y: chart.Axis{Label: axis(w.Name, w.Unit)}, Description: fmt.Sprintf("The reference in the scenario of the spec, with %s at %.4g, %.4g and %.4g. The table above has the figures.", g.Key, g.At[0].Value, g.At[1].Value, g.At[2].Value)}
			for _, one := range []struct {
				name, column string
				trace        *simulate.Trace
				look         chart.Look
			}{{"once", "reference.", t.Once, chart.Integer}, {"half", "reference.", t.Traces[n], chart.Reference}, {"twice", "integer.", t.Traces[n], chart.Apart}, {"target", "target.", t.Once, chart.Target}} {
				r := &Run{System: run.System, Outcome: run.Outcome, Trace: one.trace}
				s, ok := r.series(one.name, one.look, one.column+w.Name)
				if !ok {
					continue
				}
				s = s.Between(st.from, st.to).Thin()
				for k := range s.X {
					s.X[k] /= per
					if w.Turn > 0 { // on a circle, near the target of the time
						s.Y[k] = math.Remainder(s.Y[k]*w.PerUnit, w.Turn) / w.PerUnit
					}
				}
				p.Series = append(p.Series, s)
			}
			if err := to.picture(p, w.Name+", in real numbers"); err != nil {
				return err
			}
		}
	}
	return nil
}
