package report

import (
	"fmt"
	"math"

	"gainwright/gen/document"
	"gainwright/gen/document/chart"
	"gainwright/gen/summary"
	"gainwright/model/simulate"
)

// gainPlane draws the contours over two gains.
func gainPlane(t *summary.Turning) document.Part {
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
	pic.Series = append(pic.Series, []chart.Series{{Name: "tuning range", Look: chart.Apart, X: []float64{x[0], x[1], x[1], x[0], x[0]},
		Y: []float64{y[0], y[0], y[1], y[1], y[0]}},
		{Name: "now", Look: chart.Integer, Dots: true, X: p.Now[:1], Y: p.Now[1:]}}...)
	return document.Figures{Title: "Sensitivity peak over two gains", Pictures: []document.Picture{{Plot: pic,
		Caption: fmt.Sprintf("%s and %s, cut behind %s, the other gains as they are. Below 2 is usual for a robust loop, 1.4 is cautious (Astrom and Hagglund, Advanced PID Control; from memory)", p.Gains[0], p.Gains[1], p.PID)}}}
}

// families draws what is watched with each gain at half, once and twice, from the first change on.
func families(t *summary.Turning, run *Run) (out []document.Part) {
	stretches := run.stretches()
	st := stretches[min(1, len(stretches)-1)]
	for n, g := range t.Gains {
		f := document.Figures{Title: fmt.Sprintf("%s at half, once and twice, %s", g.Key, st.name)}
		for i := range run.System.Scenario.Watch {
			w := &run.System.Scenario.Watch[i]
			p := chart.Picture{ID: fmt.Sprintf("gains-%d-%d", n+1, i+1), Title: fmt.Sprintf("%s with %s turned", w.Name, g.Key), Y: chart.Axis{Label: axis(w.Name, w.Unit)},
				Description: fmt.Sprintf("The reference in the scenario of the spec, with %s at %.4g, %.4g and %.4g. The table above has the figures.", g.Key, g.At[0].Value, g.At[1].Value, g.At[2].Value)}
			for _, one := range []struct {
				name, column string
				trace        *simulate.Trace
				look         chart.Look
			}{{"once", "reference.", t.Once, chart.Integer}, {"half", "reference.", t.Traces[n], chart.Reference}, {"twice", "integer.", t.Traces[n],
				chart.Apart}, {"target", "target.", t.Once, chart.Target}} {
				r := &Run{run.Run, one.trace}
				s, ok := r.series(one.name, one.look, one.column+w.Name)
				if !ok {
					continue
				}
				for k := range s.Y {
					if w.Turn > 0 { // on a circle, near the target of the time
						s.Y[k] = math.Remainder(s.Y[k]*w.PerUnit, w.Turn) / w.PerUnit
					}
				}
				p.Series = append(p.Series, s)
			}
			f.Pictures = append(f.Pictures, document.Picture{Plot: st.over(p), Caption: w.Name + ", in real numbers"})
		}
		out = append(out, f)
	}
	return out
}
