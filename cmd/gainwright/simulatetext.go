package main

import (
	"fmt"
	"math"
	"strings"

	"gainwright/model/simulate"
)

func (s simulator) title() string {
	hz, _ := s.Spec.Rate.Float64()
	return fmt.Sprintf("%s: %s, %g s at %g Hz, plant %s", s.Spec.File, s.Spec.Name, s.Scenario.Duration, hz, s.Plant.Kind.Name)
}

// print shows one run for people.
func (s simulator) print(o *simulate.Outcome) {
	p := s.p
	p.line("%s, seed %d", s.title(), o.Seed)
	a, b := &o.Loops[simulate.Reference], &o.Loops[simulate.Integer]
	both := func(what, unit, form string, x, y float64) []string {
		show := func(v float64) string {
			if v < 0 && form == "time" {
				return "-"
			}
			if form == "time" {
				return fmt.Sprintf("%.4g", v)
			}
			return fmt.Sprintf(form, v)
		}
		return []string{what, show(x), show(y), unit}
	}
	var rows [][]string
	if s.Scenario.Fall != nil {
		rows = append(rows, both("time upright", "s", "%.3f", a.Upright, b.Upright))
	}
	rows = append(rows, both("first effort at", "s", "time", a.FirstEffort, b.FirstEffort))
	if a.WindUp > 0 || b.WindUp > 0 {
		rows = append(rows, both("integral wound up before it", "", "%.4g", a.WindUp, b.WindUp))
	}
	if a.CutOff >= 0 || b.CutOff >= 0 {
		rows = append(rows, both("effort cut off after the fall", "s", "time", a.CutOff, b.CutOff))
	}
	for i := range a.Effort {
		x, y := &a.Effort[i], &b.Effort[i]
		rows = append(rows, both(x.Name+" rms", x.Unit, "%.4g", x.RMS, y.RMS), both(x.Name+" largest", x.Unit, "%.4g", x.Biggest, y.Biggest),
			both(x.Name+" at a limit", "% of ticks", "%.2f", 100*x.Saturated, 100*y.Saturated))
		if a.Fell || b.Fell {
			rows = append(rows, both(x.Name+" at the end", x.Unit, "%.4g", x.Last, y.Last))
		}
	}
	if s.Plant.Battery != nil {
		rows = append(rows, both("battery at least", "V", "%.2f", a.LowestVolts, b.LowestVolts))
	}
	if a.Restarts+b.Restarts+a.BrownOuts+b.BrownOuts > 0 {
		rows = append(rows, both("restarts", "", "%.0f", float64(a.Restarts), float64(b.Restarts)), both("brown-outs", "", "%.0f", float64(a.BrownOuts), float64(b.BrownOuts)))
	}
	p.heading("Each loop")
	p.table("|>reference|>integer|", rows)

	for i := range a.Watch {
		x, y, d := &a.Watch[i], &b.Watch[i], o.Difference[i]
		rows = [][]string{
			both("deviation rms", x.Unit, "%.4g", x.RMS, y.RMS),
			both("lowest", x.Unit, "%.4g", x.Lowest, y.Lowest),
			both("highest", x.Unit, "%.4g", x.Highest, y.Highest),
			both("settled after", "s", "time", reached(x.Settled, x.Settling), reached(y.Settled, y.Settling)),
		}
		if x.Recovery >= 0 || y.Recovery >= 0 || !x.Recovered || !y.Recovered {
			rows = append(rows, both("recovered after", "s", "time", reached(x.Recovered, x.Recovery), reached(y.Recovered, y.Recovery)))
		}
		if x.Overshoot >= 0 || y.Overshoot >= 0 {
			rows = append(rows, both("overshoot", x.Unit, "%.4g", math.Max(0, x.Overshoot), math.Max(0, y.Overshoot)))
		}
		rows = append(rows, both("steady error", x.Unit, "%.4g", x.SteadyError, y.SteadyError), both("residual, +-", x.Unit, "%.4g", x.Residual.Size, y.Residual.Size))
		p.heading("%s", x.Name)
		p.table("|>reference|>integer|", rows)
		for j, w := range []*simulate.Watched{x, y} {
			if w.Residual.Cycle {
				p.line("  The %s loop is in a limit cycle: +-%.4g %s, period %.4g s.", o.Loops[j].Name, w.Residual.Size, w.Unit, w.Residual.Period)
			}
		}
		p.line("  Apart by at most %.3g %s, rms %.3g; deviation of the integer loop over the reference's: %.4f.", d.Largest, d.Unit, d.RMS, d.RMSRatio)
	}
	s.printSwitches(o)
	p.line("\nBoth loops had the same plant, disturbances and noise. Where an effort is limited, steps in duty")
	p.line("or friction decide, they part company for other reasons than rounding: compare rms and times then.")
	p.line("")
	p.findings(o.Findings.Sorted())
	if o.Findings.Failed() {
		p.line("%s", p.tint("1;31", "Not good: see above."))
		return
	}
	p.line("%s", p.tint("1;32", "Good: both loops hold all that the scenario asks for."))
}

// reached is the time, or one that is shown as none.
func reached(ok bool, seconds float64) float64 {
	if !ok {
		return -1
	}
	return seconds
}

func (s simulator) printSwitches(o *simulate.Outcome) {
	var rows [][]string
	for i, a := range o.Loops[simulate.Reference].Switches {
		rows = append(rows, []string{a.Name, changes(a), changes(o.Loops[simulate.Integer].Switches[i])})
	}
	if len(rows) > 0 {
		s.p.heading("Switches of the controller, seconds at which they changed")
		s.p.table("|reference|integer", rows)
	}
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

// printStudy shows many runs for people.
func (s simulator) printStudy(st *simulate.Study) {
	p := s.p
	p.line("%s, %d runs, seeds %d to %d", s.title(), st.Runs, st.Seed, st.Seed+uint64(st.Runs)-1)
	p.heading("Runs that held all that the scenario asks for")
	rows := [][]string{{"reference", fmt.Sprint(st.Passed[0])}, {"integer", fmt.Sprint(st.Passed[1])}}
	p.table("|>", rows)
	if s.Scenario.Fall != nil {
		p.heading("Runs that did not fall")
		p.table("|>", [][]string{{"reference", fmt.Sprint(st.Stood[0])}, {"integer", fmt.Sprint(st.Stood[1])}})
	}
	rows = nil
	for _, x := range st.Spread {
		if x.Most == x.Least && x.Most == [2]float64{} || x.Most[0] < 0 && x.Most[1] < 0 {
			continue
		}
		row := []string{x.Name}
		for l := range x.Least {
			row = append(row, fmt.Sprintf("%.4g", x.Least[l]), fmt.Sprintf("%.4g", x.Median[l]), fmt.Sprintf("%.4g", x.Most[l]))
		}
		rows = append(rows, append(row, x.Unit))
	}
	p.heading("Spread: least, median and largest of the runs")
	p.table("|>reference|>|>|>integer|>|>|unit", rows)
	rows = nil
	for _, w := range st.Worst {
		rows = append(rows, []string{w.Why, fmt.Sprint(w.Seed), fmt.Sprintf("%.4g", w.Value), w.Unit, map[bool]string{true: "not held"}[w.Failed]})
	}
	p.heading("Worst runs of the integer loop (repeat one: simulate %s --runs 1 --seed SEED)", s.Spec.File)
	p.table("|>seed|>value|unit|", rows)
	p.line("")
	if failed := 2*st.Runs - st.Passed[0] - st.Passed[1]; failed > 0 {
		p.line("%s", p.tint("1;31", fmt.Sprintf("Not good: not all that the scenario asks for was held in each of %d runs.", st.Runs)))
		return
	}
	p.line("%s", p.tint("1;32", fmt.Sprintf("Good: both loops hold all that the scenario asks for in each of %d runs.", st.Runs)))
}
