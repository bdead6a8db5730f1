package report

import (
	"fmt"
	"strings"

	"gainwright/model/simulate"
)

// Sentence is the verdict on the run.
func (r *Run) Sentence() string {
	head := fmt.Sprintf("in the simulated scenario of %g s (seed %d) ", r.System.Scenario.Duration, r.Outcome.Seed)
	if !r.Outcome.Findings.Failed() {
		return "Good: " + head + "both loops, the reference in real numbers and the integers, hold all that was asked for."
	}
	var fell []string
	for _, l := range r.Outcome.Loops {
		if l.Fell || l.RanAway {
			fell = append(fell, fmt.Sprintf("the %s loop falls at %.2f s", l.Name, l.Upright))
		}
	}
	if len(fell) == 0 {
		return "Not good: " + head + "not all that was asked for is held."
	}
	return "Not good: " + head + strings.Join(fell, " and ") + "."
}

func (r *Run) section() (section, error) {
	sc, o := r.System.Scenario, r.Outcome
	out := section{ID: "run", Title: "The closed loop in time"}
	out.Intro = append(out.Intro, fmt.Sprintf("Plant %s, %g s, seed %d. Both loops had the same machine, disturbances and noise: the reference is the controller in float64 with the gains as asked, the other is the integer program bit by bit as the C computes it.",
		r.System.Plant.Kind.Name, sc.Duration, o.Seed))
	if sc.HeldUntil > 0 {
		out.List = append(out.List, fmt.Sprintf("%g s: the machine is let go", sc.HeldUntil))
	}
	for _, d := range sc.Disturbances {
		what := d.About
		if what == "" {
			what = d.Name
		}
		out.List = append(out.List, fmt.Sprintf("%g s: %s", d.At, what))
	}
	for _, f := range sc.Faults {
		what := f.About
		if what == "" {
			what = "a fault"
		}
		out.List = append(out.List, fmt.Sprintf("%g s: %s", f.At, what))
	}
	t := table{Caption: "What each loop did", Head: columns("", ">reference", ">integer"), Rows: r.loops()}
	for i := range sc.Watch {
		t.Rows = append(t.Rows, r.watched(i)...)
	}
	out.Tables = append(out.Tables, t)
	for i, d := range o.Difference {
		out.Notes = append(out.Notes, fmt.Sprintf("%s: the loops are apart by at most %.3g %s, rms %.3g; deviation of the integer loop over the reference's: %.4f.", d.Name, d.Largest, d.Unit, d.RMS, d.RMSRatio))
		for l := range o.Loops {
			if w := o.Loops[l].Watch[i]; w.Residual.Cycle {
				out.Notes = append(out.Notes, fmt.Sprintf("The %s loop is in a limit cycle: %s swings by %.4g %s to each side, with a period of %.4g s.", o.Loops[l].Name, w.Name, w.Residual.Size, w.Unit, w.Residual.Period))
			}
		}
	}
	out.Notes = append(out.Notes, "Where an effort is limited, or steps in duty or friction decide, the two loops part company for other reasons than rounding: compare their figures then, not their curves.")
	return out, r.pictures(&out)
}

// pair is a row of a table of both loops.
func pair(what, unit, form string, x, y float64) []cell {
	return cells(labelled(what, unit), fmt.Sprintf(form, x), fmt.Sprintf(form, y))
}

// times is a row of times; one that is negative was not reached.
func times(what string, x, y float64) []cell {
	show := func(v float64) string {
		if v < 0 {
			return "never"
		}
		return fmt.Sprintf("%.4g", v)
	}
	return cells(labelled(what, "s"), show(x), show(y))
}

func reached(ok bool, seconds float64) float64 {
	if !ok {
		return -1
	}
	return seconds
}

func (r *Run) loops() (rows [][]cell) {
	a, b := &r.Outcome.Loops[simulate.Reference], &r.Outcome.Loops[simulate.Integer]
	add := func(row []cell) { rows = append(rows, row) }
	if r.System.Scenario.Fall != nil {
		add(pair("time upright", "s", "%.3f", a.Upright, b.Upright))
	}
	add(times("first effort at", a.FirstEffort, b.FirstEffort))
	if a.WindUp > 0 || b.WindUp > 0 {
		add(pair("integral wound up before it", "", "%.4g", a.WindUp, b.WindUp))
	}
	if a.Fell || b.Fell {
		add(times("effort cut off after the fall", a.CutOff, b.CutOff))
	}
	for i := range a.Effort {
		x, y := &a.Effort[i], &b.Effort[i]
		add(pair(x.Name+": rms", x.Unit, "%.4g", x.RMS, y.RMS))
		add(pair(x.Name+": largest", x.Unit, "%.4g", x.Biggest, y.Biggest))
		add(pair(x.Name+": at a limit", "% of ticks", "%.2f", 100*x.Saturated, 100*y.Saturated))
	}
	if r.System.Plant.Battery != nil {
		add(pair("battery: at least", "V", "%.2f", a.LowestVolts, b.LowestVolts))
	}
	if a.Restarts+b.Restarts+a.BrownOuts+b.BrownOuts > 0 {
		add(pair("restarts", "", "%.0f", float64(a.Restarts), float64(b.Restarts)))
		add(pair("brown-outs", "", "%.0f", float64(a.BrownOuts), float64(b.BrownOuts)))
	}
	return rows
}

func (r *Run) watched(i int) (rows [][]cell) {
	x, y := &r.Outcome.Loops[simulate.Reference].Watch[i], &r.Outcome.Loops[simulate.Integer].Watch[i]
	add := func(row []cell) { rows = append(rows, row) }
	add(pair(x.Name+": deviation rms", x.Unit, "%.4g", x.RMS, y.RMS))
	add(pair(x.Name+": lowest", x.Unit, "%.4g", x.Lowest, y.Lowest))
	add(pair(x.Name+": highest", x.Unit, "%.4g", x.Highest, y.Highest))
	add(times(x.Name+": settled after", reached(x.Settled, x.Settling), reached(y.Settled, y.Settling)))
	if x.Recovery >= 0 || y.Recovery >= 0 || !x.Recovered || !y.Recovered {
		add(times(x.Name+": recovered after", reached(x.Recovered, x.Recovery), reached(y.Recovered, y.Recovery)))
	}
	if x.Overshoot >= 0 || y.Overshoot >= 0 {
		add(pair(x.Name+": overshoot", x.Unit, "%.4g", max(0, x.Overshoot), max(0, y.Overshoot)))
	}
	add(pair(x.Name+": steady error", x.Unit, "%.4g", x.SteadyError, y.SteadyError))
	add(pair(x.Name+": residual swing to each side", x.Unit, "%.4g", x.Residual.Size, y.Residual.Size))
	return rows
}
