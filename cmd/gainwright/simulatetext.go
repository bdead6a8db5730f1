package main

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/gen/summary"
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
	p.heading("Each loop")
	p.table("|>reference|>integer|", compared(summary.Loops(s.System, o), true))
	for i, w := range o.Loops[simulate.Reference].Watch {
		p.heading("%s", w.Name)
		p.table("|>reference|>integer|", compared(summary.Watched(o, i), false))
		for _, text := range summary.Apart(o, i) {
			p.text("  ", text)
		}
	}
	s.printSwitches(o)
	p.line("")
	p.text("", summary.Compare)
	p.cautions(s.unit)
	p.line("")
	p.findings(o.Findings.Sorted())
	p.verdict(!o.Findings.Failed(), summary.Held(s.System, o))
}

// compared makes lines of rows, each with the name of what it is a figure of where that is asked for.
func compared(rows []summary.Row, named bool) [][]string {
	var out [][]string
	for _, r := range rows {
		if named && r.Of != "" {
			r.What = r.Of + " " + r.What
		}
		out = append(out, []string{r.What, r.Values[0], r.Values[1], r.Unit})
	}
	return out
}

// verdict prints a last line.
func (p *paper) verdict(isGood bool, text string) {
	p.line("%s", p.tint(map[bool]string{true: "1;32", false: "1;31"}[isGood], text))
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
	for l, name := range []string{"reference", "integer"} {
		rows = nil
		for _, x := range st.Spread {
			if x.Most[l] < 0 || x.Most == x.Least && x.Most == [2]simulate.Reached{} {
				continue
			}
			row := []string{x.Name}
			for _, v := range []simulate.Reached{x.Least[l], x.Low[l], x.Median[l], x.High[l], x.Most[l]} {
				text := "none"
				if v >= 0 {
					text = fmt.Sprintf("%.4g", v)
				}
				row = append(row, text)
			}
			rows = append(rows, append(row, x.Unit))
		}
		p.heading("Spread over the runs, %s loop", name)
		p.table("|>least|>5 %|>median|>95 %|>most|unit", rows)
	}
	if late := slices.ContainsFunc(st.Spread, func(x simulate.Spread) bool {
		return x.Unit == "s" && max(x.Most[0], x.Most[1]) == simulate.Reached(s.Scenario.Duration)
	}); late {
		p.line("  A time that was never reached counts as the whole %g s.", s.Scenario.Duration)
	}
	s.printInfluences(st)
	rows = nil
	for _, w := range st.Worst {
		rows = append(rows, []string{w.Why, fmt.Sprint(w.Seed), fmt.Sprintf("%.4g", w.Value), w.Unit, map[bool]string{true: "not held"}[w.Failed]})
	}
	p.heading("Worst runs of the integer loop (repeat one: simulate %s --runs 1 --seed SEED)", s.Spec.File)
	p.table("|>seed|>value|unit|", rows)
	p.cautions(s.unit)
	p.line("")
	if failed := 2*st.Runs - st.Passed[0] - st.Passed[1]; failed > 0 {
		p.line("%s", p.tint("1;31", fmt.Sprintf("Not good: not all that the scenario asks for was held in each of %d runs.", st.Runs)))
		return
	}
	p.line("%s", p.tint("1;32", fmt.Sprintf("Good: both loops hold all that the scenario asks for in each of %d runs.", st.Runs)))
}

// printInfluences ranks the tolerances by what they did.
func (s simulator) printInfluences(st *simulate.Study) {
	const most = 3
	var rows [][]string
	for _, f := range st.Influences {
		row := []string{f.Name}
		for _, of := range f.Of[:min(len(f.Of), most)] {
			row = append(row, fmt.Sprintf("%s %+.2f", of.Path, of.Correlation))
		}
		if len(row) > 1 {
			rows = append(rows, append(row, "", "", "")[:1+most])
		}
	}
	if len(rows) > 0 {
		s.p.heading("Which tolerance mattered most, by rank correlation (1: the figure always rises with it, -1: it always falls)")
		s.p.table("|first|second|third", rows)
	}
}
