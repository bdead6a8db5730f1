package main

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/trial"
)

// printTrial prints what a trial found for people.
func printTrial(p *paper, r *trial.Result) {
	p.heading("Integer program against %s, bit for bit", r.Target)
	var rows [][]string
	for _, k := range r.Kinds {
		rows = append(rows, []string{k.Name, fmt.Sprint(k.Ticks), fmt.Sprint(k.Restarts + k.Again), fmt.Sprint(k.Settings), fmt.Sprint(k.Same.Compared), fmt.Sprint(k.Same.Bits), fmt.Sprint(k.Outside)})
	}
	p.table("inputs|>ticks|>starts|>gain changes|>values compared|>differing bits|>out of range", rows)

	p.heading("Integer program against real numbers with the stored constants, largest difference seen, of what is proven")
	rows = nil
	for _, s := range r.Worst(func(trial.Kind) bool { return true }) {
		if s.Local.Bound == 0 && s.Local.Over == 0 && (!s.Chain.Claimed || s.Chain.Bound == 0 && s.Chain.Over == 0) {
			continue // exact, and seen to be
		}
		row := append([]string{s.Name}, difference(s.Local)...)
		rows = append(rows, append(append(row, difference(s.Chain)...), s.Unit))
	}
	p.table("signal|>step itself|>at most|>share|>in all|>at most|>share|unit", rows)
	p.line("  Signals that are not listed are exact.")
	judged := r.Judged()
	for _, not := range judged.Not {
		p.line("  Not judged: %s.", not)
	}
	printAsked(p, r)
	printAxes(p, r)
	for _, k := range r.Kinds {
		for _, f := range k.Faults {
			p.line("\n%s", f)
		}
	}
	p.line("")
	switch {
	case r.OK() && warned(r):
		p.line("%s", p.tint("1;33", fmt.Sprintf("%d ticks, no differing bit, every value in its range, %s; but look at the warning above.", r.Ticks, judged)))
	case r.OK():
		p.line("%s", p.tint("1;32", fmt.Sprintf("Good: %d ticks, no differing bit, every value in its range, %s.", r.Ticks, judged)))
	default:
		p.line("%s", p.tint("1;31", fmt.Sprintf("Not good: see above. %d ticks were run.", r.Ticks)))
	}
	if p.terminal {
		for _, s := range r.Speeds {
			p.line("%.0f ticks a second: %s", s.PerSecond(), s.Party)
		}
	}
}

// printAsked prints how far signals were from the program that was asked for.
func printAsked(p *paper, r *trial.Result) {
	p.heading("Integer program against the controller as asked, with the constants of the spec and the live gains as set")
	var rows [][]string
	var unjudged []string
	why := map[string][]string{} // signals
	near := r.Worst(func(k trial.Kind) bool { return k.Declared })
	for i, s := range r.Worst(func(trial.Kind) bool { return true }) {
		if s.Asked.Largest == 0 && s.Asked.Over == 0 {
			continue
		}
		row := []string{s.Name, "", fmt.Sprintf("%.3g", s.Asked.Largest), "measured", "", s.Unit}
		if near != nil {
			row[1] = fmt.Sprintf("%.3g", near[i].Asked.Largest)
		}
		if s.Asked.Claimed {
			copy(row[2:], difference(s.Asked))
			if reason := s.Asked.Unjudged; reason != "" {
				if why[reason] == nil {
					unjudged = append(unjudged, reason)
				}
				why[reason] = append(why[reason], s.Name)
			}
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		p.line("  No signal differed.")
		return
	}
	p.table("signal|>inputs as declared|>any inputs|>at most|>share|unit", rows)
	for _, reason := range unjudged {
		p.line("  Not held against the bound: %s, since %s.", strings.Join(why[reason], ", "), reason)
	}
	p.line("  Measured: no bound is proven. These are the largest differences seen, and others may be larger.")
}

// difference is what was seen, the bound, and the share of it that was reached: none where it is not judged, which is said below
// the table.
func difference(d trial.Difference) []string {
	switch {
	case !d.Claimed:
		return []string{"", "", ""}
	case d.Unjudged != "":
		return []string{fmt.Sprintf("%.3g", d.Largest), fmt.Sprintf("%.3g", d.Bound), "-"}
	case d.Over > 0:
		return []string{fmt.Sprintf("%.6g", d.Largest), fmt.Sprintf("%.6g", d.Bound), fmt.Sprintf("OVER in %d ticks", d.Over)}
	}
	return []string{fmt.Sprintf("%.3g", d.Largest), fmt.Sprintf("%.3g", d.Bound), fmt.Sprintf("%.2f", d.Ratio)}
}

// printAxes says whether the angles of a log move as their rates say.
func printAxes(p *paper, r *trial.Result) {
	if len(r.Axes) == 0 {
		return
	}
	p.heading("Axes and signs: change of the angle against the integral of its rate, a slope of +1 is right")
	var rows [][]string
	for _, a := range r.Axes {
		rows = append(rows, []string{a.Angle + " against " + a.Rate, fmt.Sprintf("%+.2f", a.Slope), fmt.Sprintf("%.2f", a.Correlation), fmt.Sprint(a.Windows), string(a.Verdict)})
	}
	p.table("angle|>slope|>correlation|>windows|verdict", rows)
	p.findings(r.Findings())
}

// warned tells whether the axes of a log look wrong.
func warned(r *trial.Result) bool {
	return slices.ContainsFunc(r.Findings(), func(f finding.Finding) bool { return f.Severity == finding.Warning })
}
