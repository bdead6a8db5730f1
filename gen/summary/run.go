package summary

import (
	"fmt"
	"strings"

	"gainwright/model/simulate"
)

// Row compares two loops in one figure, in words: the reference and the integers, or the gains asked and stored.
type Row struct {
	Of     string // what it is a figure of, or nothing
	What   string
	Unit   string
	Values [2]string
}

// rows collects rows of numbers.
type rows []Row

func (r *rows) add(of, what, unit, form string, x, y float64) {
	*r = append(*r, Row{of, what, unit, [2]string{fmt.Sprintf(form, x), fmt.Sprintf(form, y)}})
}

// time adds a row of times; one that is negative was not reached.
func (r *rows) time(what string, x, y simulate.Reached) {
	row := Row{What: what, Unit: "s"}
	for i, v := range [2]simulate.Reached{x, y} {
		row.Values[i] = "never"
		if v >= 0 {
			row.Values[i] = fmt.Sprintf("%.4g", v)
		}
	}
	*r = append(*r, row)
}

func reached(ok bool, seconds simulate.Reached) simulate.Reached {
	if !ok {
		return simulate.None
	}
	return seconds
}

// Loops is what each loop did in a run, the watched quantities aside.
func Loops(s *simulate.System, o *simulate.Outcome) []Row {
	a, b := &o.Loops[simulate.Reference], &o.Loops[simulate.Integer]
	var out rows
	if s.Scenario.Fall != nil {
		out.add("", "time upright", "s", "%.3f", a.Upright, b.Upright)
	}
	out.time("first effort at", a.FirstEffort, b.FirstEffort)
	if a.WindUp > 0 || b.WindUp > 0 {
		out.add("", "integral wound up before it", "", "%.4g", a.WindUp, b.WindUp)
	}
	if a.Fell || b.Fell {
		out.time("effort cut off after the fall", a.CutOff, b.CutOff)
	}
	for i := range a.Effort {
		x, y := &a.Effort[i], &b.Effort[i]
		out.add(x.Name, "rms", x.Unit, "%.4g", x.RMS, y.RMS)
		out.add(x.Name, "largest", x.Unit, "%.4g", x.Biggest, y.Biggest)
		out.add(x.Name, "at a limit", "% of ticks", "%.2f", 100*x.Saturated, 100*y.Saturated)
		if a.Fell || b.Fell {
			out.add(x.Name, "at the end", x.Unit, "%.4g", x.Last, y.Last)
		}
	}
	if s.Plant.Battery != nil {
		out.add("battery", "at least", "V", "%.2f", a.LowestVolts, b.LowestVolts)
	}
	if a.Restarts+b.Restarts+a.BrownOuts+b.BrownOuts > 0 {
		out.add("", "restarts", "", "%.0f", float64(a.Restarts), float64(b.Restarts))
		out.add("", "brown-outs", "", "%.0f", float64(a.BrownOuts), float64(b.BrownOuts))
	}
	return out
}

// Watched is how well each loop held the i-th watched quantity.
func Watched(o *simulate.Outcome, i int) []Row {
	x, y := &o.Loops[simulate.Reference].Watch[i], &o.Loops[simulate.Integer].Watch[i]
	var out rows
	out.add("", "deviation rms", x.Unit, "%.4g", x.RMS, y.RMS)
	out.add("", "lowest", x.Unit, "%.4g", x.Lowest, y.Lowest)
	out.add("", "highest", x.Unit, "%.4g", x.Highest, y.Highest)
	out.time("settled after", reached(x.Settled, x.Settling), reached(y.Settled, y.Settling))
	if x.Recovery >= 0 || y.Recovery >= 0 || !x.Recovered || !y.Recovered {
		out.time("recovered after", reached(x.Recovered, x.Recovery), reached(y.Recovered, y.Recovery))
	}
	if x.Overshoot >= 0 || y.Overshoot >= 0 {
		out.add("", "overshoot", x.Unit, "%.4g", max(0, float64(x.Overshoot)), max(0, float64(y.Overshoot)))
	}
	if x.Following >= 0 || y.Following >= 0 {
		out.add("", "largest error on a ramp", x.Unit, "%.4g", max(0, float64(x.Following)), max(0, float64(y.Following)))
	}
	out.add("", "steady error", x.Unit, "%.4g", x.SteadyError, y.SteadyError)
	out.add("", "residual swing to each side", x.Unit, "%.4g", x.Residual.Size, y.Residual.Size)
	for j := range out {
		out[j].Of = x.Name
	}
	return out
}

// Apart says how far the two loops were apart in the i-th watched quantity, and which of them is in a limit cycle.
func Apart(o *simulate.Outcome, i int) []string {
	d := o.Difference[i]
	out := []string{fmt.Sprintf("%s: the loops are apart by at most %.3g %s, rms %.3g; deviation of the integer loop over the reference's: %.4f.",
		d.Name, d.Largest, d.Unit, d.RMS, d.RMSRatio)}
	for _, l := range o.Loops {
		if w := l.Watch[i]; w.Residual.Cycle {
			out = append(out, fmt.Sprintf("The %s loop is in a limit cycle: %s swings by %.4g %s to each side, with a period of %.4g s.",
				l.Name, w.Name, w.Residual.Size, w.Unit, w.Residual.Period))
		}
	}
	return out
}

// Compare says how the two loops of a run are to be compared.
const Compare = "Both loops had the same machine, disturbances and noise. Where an effort is limited, or steps in duty or friction decide, they part " +
	"company for other reasons than rounding: compare their figures then, not their curves."

// Held is the verdict on a run.
func Held(s *simulate.System, o *simulate.Outcome) string {
	head := fmt.Sprintf("in the simulated scenario of %g s (seed %d) ", s.Scenario.Duration, o.Seed)
	if !o.Findings.Failed() {
		return "Good: " + head + "both loops, the reference in real numbers and the integers, hold all that was asked for." + unasked(s) + unseen(o)
	}
	if len(o.Findings) == 1 && o.Findings[0].Rule == "nothing-asked" {
		return "Not judged: " + head + "nothing was asked of the loops: only a band is given."
	}
	var fell []string
	for _, l := range o.Loops {
		if l.Fell || l.RanAway {
			fell = append(fell, fmt.Sprintf("the %s loop falls at %.2f s", l.Name, l.Upright))
		}
	}
	if len(fell) == 0 {
		return "Not good: " + head + "not all that was asked for is held."
	}
	return "Not good: " + head + strings.Join(fell, " and ") + "."
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
