package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gainwright/gen/document"
	"gainwright/gen/document/chart"
	"gainwright/gen/summary"
	"gainwright/model/simulate"
)

// Run is one simulated run of both loops, with its trace.
type Run struct {
	summary.Run
	Trace *simulate.Trace
}

// stretch is a part of the run that pictures show.
type stretch struct {
	name     string
	from, to float64
}

// mostEvents is how many disturbances get pictures of their own.
const mostEvents = 3

// stretches are the whole run and, where what matters is over too soon to be seen in it, the start, the first change of each target and
// the first disturbances.
func (r *Run) stretches() []stretch {
	sc := r.System.Scenario
	end := sc.Duration
	if n := len(r.Trace.Rows); n > 0 {
		end = min(end, r.Trace.Rows[n-1][0])
	}
	out := []stretch{{"the whole run", 0, end}}
	slow := 0.0
	for _, l := range r.Outcome.Loops {
		for _, w := range l.Watch {
			slow = max(slow, float64(w.Settling), float64(w.Recovery))
		}
	}
	long := max(4*slow, end/200)
	if slow == 0 || long > end/5 {
		return out
	}
	around := func(name string, at float64) {
		if from := max(0, at-0.15*long); from < end {
			out = append(out, stretch{name, from, min(end, from+long)})
		}
	}
	if len(sc.Start) > 0 {
		around("the start", sc.HeldUntil)
	}
	for i := range sc.SetPoints {
		if p := &sc.SetPoints[i]; r.aims(i) && len(p.Points) > 1 {
			around(fmt.Sprintf("%s changes at %g s", p.Name, p.Points[1].At), p.Points[1].At)
		}
	}
	for _, d := range sc.Disturbances[:min(len(sc.Disturbances), mostEvents)] {
		around(fmt.Sprintf("%s at %g s", cmp.Or(d.About, d.Name), d.At), d.At)
	}
	return out
}

// aims tells whether a set-point is the target of something that is watched.
func (r *Run) aims(setPoint int) bool {
	return slices.ContainsFunc(r.System.Scenario.Watch, func(w simulate.Watch) bool { return w.SetPoint == setPoint })
}

// series takes a column of the trace.
func (r *Run) series(name string, look chart.Look, column string) (chart.Series, bool) {
	s := chart.Series{Name: name, Look: look}
	at := slices.Index(r.Trace.Columns, column)
	if at < 0 {
		return s, false
	}
	for _, row := range r.Trace.Rows {
		s.X, s.Y = append(s.X, row[0]), append(s.Y, row[at])
	}
	return s, true
}

// both are a quantity in both loops, and its target where it has one.
func (r *Run) both(name string) []chart.Series {
	var out []chart.Series
	for _, k := range []struct {
		name   string
		look   chart.Look
		column string
	}{{"integer", chart.Integer, "integer." + name}, {"reference", chart.Reference, "reference." + name}, {"target", chart.Target, "target." + name}} {
		if s, ok := r.series(k.name, k.look, k.column); ok {
			out = append(out, s)
		}
	}
	return out
}

// watch is a watched quantity in both loops, and its target: on a circle, the turn of it that is nearest to the reference.
func (r *Run) watch(w *simulate.Watch) []chart.Series {
	out := r.both(w.Name)
	if w.Turn > 0 {
		reference, target := out[1].Y, out[2].Y
		for k := range target {
			target[k] = reference[k] - w.Error(reference[k]*w.PerUnit, target[k]*w.PerUnit)/w.PerUnit
		}
	}
	return out
}

// apart is how far the integer loop is from the reference in what is watched, the short way round on a circle.
func (r *Run) apart(watch int) chart.Series {
	w := &r.System.Scenario.Watch[watch]
	a, _ := r.series("integer minus reference", chart.Apart, "integer."+w.Name)
	b, _ := r.series("", chart.Reference, "reference."+w.Name)
	for k := range a.Y {
		a.Y[k] = w.Error(a.Y[k]*w.PerUnit, b.Y[k]*w.PerUnit) / w.PerUnit
	}
	return a
}

// over puts a picture over the time of a stretch.
func (st stretch) over(p chart.Picture) chart.Picture {
	unit, per := "time, s", 1.0
	if st.to > 1800 {
		unit, per = "time, min", 60
	}
	p.X = chart.Axis{Label: unit, Least: st.from / per, Most: st.to / per, Fixed: true}
	shown := make([]chart.Series, len(p.Series))
	for i, s := range p.Series {
		shown[i] = s.Between(st.from, st.to).Thin()
		for k := range shown[i].X {
			shown[i].X[k] /= per
		}
	}
	p.Series = shown
	return p
}

// figures are what was watched and what it took, stretch by stretch, and how far the loops are apart.
func (r *Run) figures() (out []document.Part) {
	id := 0
	for _, st := range r.stretches() {
		f := document.Figures{Title: strings.ToUpper(st.name[:1]) + st.name[1:]}
		draw := func(name, unit, title, caption string, series []chart.Series, description string, args ...any) {
			id++
			f.Pictures = append(f.Pictures, document.Picture{Caption: caption, Plot: st.over(chart.Picture{ID: fmt.Sprintf("run-%d", id), Title: title + ", " + st.name,
				Y: chart.Axis{Label: axis(name, unit)}, Series: series, Description: fmt.Sprintf(description, args...)})})
		}
		for i := range r.System.Scenario.Watch {
			w, a, b, d := &r.System.Scenario.Watch[i], &r.Outcome.Loops[0].Watch[i], &r.Outcome.Loops[1].Watch[i], r.Outcome.Difference[i]
			draw(w.Name, w.Unit, w.Name+" over time", w.Name, r.watch(w), "Over the run the integer loop goes from %.4g to %.4g %s, the reference from %.4g to %.4g.",
				b.Lowest, b.Highest, w.Unit, a.Lowest, a.Highest)
			draw("difference", w.Unit, w.Name+", difference of the loops", w.Name+", integer minus reference", []chart.Series{r.apart(i)},
				"Integer loop minus reference. Over the run at most %.3g %s, rms %.3g.", d.Largest, d.Unit, d.RMS)
		}
		for i, o := range r.System.Spec.Outputs {
			a, b := &r.Outcome.Loops[0].Effort[i], &r.Outcome.Loops[1].Effort[i]
			draw(o.Name, o.Unit, o.Name+" over time", o.Name+", output", r.both(o.Name),
				"Output of the controller. Over the run rms %.4g %s in the integer loop, %.4g in the reference; largest %.4g and %.4g.",
				b.RMS, o.Unit, a.RMS, b.Biggest, a.Biggest)
		}
		out = append(out, f)
	}
	return out
}

// axis is a label as long as an upright axis has room for; the caption has the whole name.
func axis(name, unit string) string {
	const most = 26
	if room := most - len(unit); len(name) > room && room > 3 {
		name = name[:room-3] + "..."
	}
	if unit == "" {
		return name
	}
	return name + ", " + unit
}
