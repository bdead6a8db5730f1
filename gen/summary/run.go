package summary

import (
	"cmp"
	"fmt"
	"strings"

	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/simulate"
)

// Run is one simulated run of both loops.
type Run struct {
	Unit    *model.Unit
	System  *simulate.System
	Outcome *simulate.Outcome
}

// pair adds a row that compares two loops in one figure: the reference and the integers, or the gains asked and stored.
func pair(t *document.Table, what, unit, form string, x, y float64) {
	t.AddTexts(what, fmt.Sprintf(form, x), fmt.Sprintf(form, y), unit)
}

// times adds a row of times; one that is negative was not reached.
func times(t *document.Table, what string, x, y simulate.Reached) {
	text := [2]string{"never", "never"}
	for i, v := range [2]simulate.Reached{x, y} {
		if v >= 0 {
			text[i] = fmt.Sprintf("%.4g", v)
		}
	}
	t.AddTexts(what, text[0], text[1], "s")
}

func reached(ok bool, seconds simulate.Reached) simulate.Reached {
	if !ok {
		return simulate.None
	}
	return seconds
}

// loops is what each loop did in a run, the watched quantities aside.
func loops(s *simulate.System, o *simulate.Outcome) *document.Table {
	a, b := &o.Loops[simulate.Reference], &o.Loops[simulate.Integer]
	t := &document.Table{Title: "Each loop", Columns: document.Columns("|:>reference|:>integer|unit")}
	if s.Scenario.Fall != nil {
		pair(t, "time upright", "s", "%.3f", a.Upright, b.Upright)
	}
	times(t, "first effort at", a.FirstEffort, b.FirstEffort)
	if a.WindUp > 0 || b.WindUp > 0 {
		pair(t, "integral wound up before it", "", "%.4g", a.WindUp, b.WindUp)
	}
	if a.Fell || b.Fell {
		times(t, "effort cut off after the fall", a.CutOff, b.CutOff)
	}
	for i := range a.Effort {
		x, y := &a.Effort[i], &b.Effort[i]
		pair(t, x.Name+" rms", x.Unit, "%.4g", x.RMS, y.RMS)
		pair(t, x.Name+" largest", x.Unit, "%.4g", x.Biggest, y.Biggest)
		pair(t, x.Name+" at a limit", "% of ticks", "%.2f", 100*x.Saturated, 100*y.Saturated)
		if a.Fell || b.Fell {
			pair(t, x.Name+" at the end", x.Unit, "%.4g", x.Last, y.Last)
		}
	}
	if s.Plant.Battery != nil {
		pair(t, "battery at least", "V", "%.2f", a.LowestVolts, b.LowestVolts)
	}
	if a.Restarts+b.Restarts+a.BrownOuts+b.BrownOuts > 0 {
		pair(t, "restarts", "", "%.0f", float64(a.Restarts), float64(b.Restarts))
		pair(t, "brown-outs", "", "%.0f", float64(a.BrownOuts), float64(b.BrownOuts))
	}
	return t
}

// watched is how well each loop held the i-th watched quantity.
func watched(o *simulate.Outcome, i int) *document.Table {
	x, y := &o.Loops[simulate.Reference].Watch[i], &o.Loops[simulate.Integer].Watch[i]
	t := &document.Table{Title: x.Name, Columns: document.Columns("|:>reference|:>integer|unit")}
	pair(t, "deviation rms", x.Unit, "%.4g", x.RMS, y.RMS)
	pair(t, "lowest", x.Unit, "%.4g", x.Lowest, y.Lowest)
	pair(t, "highest", x.Unit, "%.4g", x.Highest, y.Highest)
	times(t, "settled after", reached(x.Settled, x.Settling), reached(y.Settled, y.Settling))
	if x.Recovery >= 0 || y.Recovery >= 0 || !x.Recovered || !y.Recovered {
		times(t, "recovered after", reached(x.Recovered, x.Recovery), reached(y.Recovered, y.Recovery))
	}
	if x.Overshoot >= 0 || y.Overshoot >= 0 {
		pair(t, "overshoot", x.Unit, "%.4g", max(0, float64(x.Overshoot)), max(0, float64(y.Overshoot)))
	}
	if x.Following >= 0 || y.Following >= 0 {
		pair(t, "largest error on a ramp", x.Unit, "%.4g", max(0, float64(x.Following)), max(0, float64(y.Following)))
	}
	pair(t, "steady error", x.Unit, "%.4g", x.SteadyError, y.SteadyError)
	pair(t, "residual swing to each side", x.Unit, "%.4g", x.Residual.Size, y.Residual.Size)
	return t
}

// apart says how far the two loops were apart in the i-th watched quantity, and which of them is in a limit cycle.
func apart(o *simulate.Outcome, i int) []document.Part {
	d := o.Difference[i]
	out := []document.Part{document.Say("%s: the loops are apart by at most %.3g %s, rms %.3g; deviation of the integer loop over the reference's: %.4f.",
		d.Name, d.Largest, d.Unit, d.RMS, d.RMSRatio)}
	for _, l := range o.Loops {
		if w := l.Watch[i]; w.Residual.Cycle {
			out = append(out, document.Say("The %s loop is in a limit cycle: %s swings by %.4g %s to each side, with a period of %.4g s.",
				l.Name, w.Name, w.Residual.Size, w.Unit, w.Residual.Period))
		}
	}
	return out
}

// switches are the seconds at which the switches of the controller changed.
func switches(o *simulate.Outcome) *document.Table {
	t := &document.Table{Title: "Switches of the controller, seconds at which they changed", Columns: document.Labels("|reference|integer")}
	for i, a := range o.Loops[simulate.Reference].Switches {
		t.AddTexts(a.Name, changes(a), changes(o.Loops[simulate.Integer].Switches[i]))
	}
	return t
}

func changes(w simulate.Switch) string {
	if w.Changes == 0 {
		return "off"
	}
	var parts []string
	for i, t := range w.Times[:min(len(w.Times), 4)] {
		parts = append(parts, fmt.Sprintf("%s %.3f", [2]string{"on", "off"}[i%2], t))
	}
	if w.Changes > len(parts) {
		parts = append(parts, fmt.Sprintf("and %d more", w.Changes-len(parts)))
	}
	return strings.Join(parts, ", ")
}

// events says what happens in the scenario, and when.
func events(sc *simulate.Scenario) string {
	var out []string
	add := func(at float64, what string) { out = append(out, fmt.Sprintf("%s at %g s", what, at)) }
	if sc.HeldUntil > 0 {
		add(sc.HeldUntil, "the machine is let go")
	}
	for _, d := range sc.Disturbances {
		add(d.At, cmp.Or(d.About, d.Name))
	}
	for _, f := range sc.Faults {
		add(f.At, cmp.Or(f.About, "a fault"))
	}
	if len(out) == 0 {
		return ""
	}
	return " What happens: " + listed(out) + "."
}

// Chapter is what is known of the run.
func (r *Run) Chapter() document.Chapter {
	s, o := r.System, r.Outcome
	out := document.Chapter{ID: "run", Title: "The closed loop in time",
		Parts: []document.Part{document.Aside("Plant %s, %g s, seed %d. The reference is the controller in float64 with the gains as asked, the other is the integer program bit by bit as the C computes it.%s",
			s.Plant.Kind.Name, s.Scenario.Duration, o.Seed, events(s.Scenario)), loops(s, o)}}
	for i := range o.Difference {
		out.Parts = append(append(out.Parts, watched(o, i)), apart(o, i)...)
	}
	if t := switches(o); len(t.Rows) > 0 {
		out.Parts = append(out.Parts, t)
	}
	out.Parts = append(out.Parts, document.Gap{}, document.Say("%s",
		"Both loops had the same machine, disturbances and noise. Where an effort is limited, or steps in duty or friction decide, they part "+
			"company for other reasons than rounding: compare their figures then, not their curves."))
	return out
}

// Document is the run by itself.
func (r *Run) Document() *document.Document {
	held := r.Held()
	d := New(r.Unit, held.Tone == document.Good)
	d.Data = document.Object{{Value: r.Outcome}}
	d.Parts = []document.Part{document.Line("%s, seed %d", title(r.System), r.Outcome.Seed), r.Chapter()}
	d.Parts = append(append(d.Parts, Cautions(r.Unit)...), document.Gap{}, document.Findings(r.Outcome.Findings.Sorted()), held)
	return d
}

// title is the first line of a run or of many.
func title(s *simulate.System) string {
	hz, _ := s.Spec.Rate.Float64()
	return fmt.Sprintf("%s: %s, %g s at %g Hz, plant %s", s.Spec.File, s.Spec.Name, s.Scenario.Duration, hz, s.Plant.Kind.Name)
}

// Held is the verdict on a run.
func (r *Run) Held() document.Sentence {
	s, o := r.System, r.Outcome
	head := fmt.Sprintf("in the simulated scenario of %g s (seed %d) ", s.Scenario.Duration, o.Seed)
	if !o.Findings.Failed() {
		return document.Judge(true, "Good: "+head+"both loops, the reference in real numbers and the integers, hold all that was asked for."+unasked(s)+unseen(o))
	}
	if len(o.Findings) == 1 && o.Findings[0].Rule == "nothing-asked" {
		return document.Judge(false, "Not judged: "+head+"nothing was asked of the loops: only a band is given.")
	}
	var fell []string
	for _, l := range o.Loops {
		if l.Fell || l.RanAway {
			fell = append(fell, fmt.Sprintf("the %s loop falls at %.2f s", l.Name, l.Upright))
		}
	}
	if len(fell) == 0 {
		return document.Judge(false, "Not good: "+head+"not all that was asked for is held.")
	}
	return document.Judge(false, "Not good: "+head+strings.Join(fell, " and ")+".")
}

// unasked names what was watched without any criterion.
func unasked(s *simulate.System) string {
	var names []string
	for _, w := range s.Scenario.Watch {
		if !w.Asked() {
			names = append(names, w.Name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	return fmt.Sprintf(" Nothing was asked of %s: only a band is given.", strings.Join(names, " and "))
}

// unseen says that nobody looked whether the loops are stable as linear systems.
func unseen(o *simulate.Outcome) string {
	if o.NoView == "" {
		return ""
	}
	return " Whether they are stable as linear systems was not looked at: " + o.NoView + "."
}
