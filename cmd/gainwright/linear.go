package main

import (
	"fmt"
	"io"
	"slices"

	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/loop"
)

// linear takes the linear view of a loop and prints it.
func linear(u *model.Unit, p *paper, side io.Writer, json bool) error {
	v, err := loop.New(summary.Loop(u))
	if err != nil {
		f := finding.Finding{Pos: u.Spec.Plant.Pos, Severity: finding.Error, Rule: "no-linear-view", Key: "plant", Message: err.Error(), Remedy: "shorter delays, or simulate without --linear"}
		newPaper(side).findings(finding.List{f})
		return failure{code: findings}
	}
	if json {
		if err := encode(p, struct {
			answer
			*loop.View
		}{answerOf(u, v.Stable[0] && v.Stable[1]), v}); err != nil {
			return err
		}
	} else {
		printLinear(u, v, p)
	}
	if !v.Stable[0] || !v.Stable[1] {
		return failure{code: findings}
	}
	return nil
}

func printLinear(u *model.Unit, v *loop.View, p *paper) {
	p.line("%s: %s, tick %.4g s, plant %s", u.File, u.Spec.Name, v.Period, u.Plant.Kind.Name)
	p.heading("Poles of the sampled closed loop")
	var rows [][]string
	for _, q := range v.Poles[:min(len(v.Poles), summary.MostPoles)] {
		rows = append(rows, []string{summary.Pole(q.Asked, q.Pair), summary.Pole(q.Stored, q.Pair), fmt.Sprintf("%.2g", q.Moved), fmt.Sprintf("%.4g", q.Hz), fmt.Sprintf("%.3f", q.Damping)})
	}
	p.table("gains asked|stored|>moved|>Hz|>damping", rows)
	if text := summary.AtZero(v); text != "" {
		p.text("  ", text)
	}
	for _, c := range summary.Cuts(v) {
		p.heading("Loop cut %s", c.Places)
		p.table("|>gains asked|>stored|", compared(c.Rows, false))
	}
	p.text("  ", summary.Bandwidth)
	p.heading("With more delay: largest pole")
	p.table("|>gains asked|>stored|", compared(summary.Later(v), false))
	printDeviation(v, p)
	if text := summary.Computing(u); text != "" {
		p.text("  ", text)
	}
	for _, n := range v.Notes {
		p.line("  Taken as linear: %s.", n)
	}
	p.cautions(u)
	p.line("")
	p.verdict(v.Stable[0] && v.Stable[1], summary.Stable(v))
}

// found is what the search for the worst noise came to.
func found(d loop.Deviation) string {
	if d.Found == 0 {
		return ""
	}
	return fmt.Sprintf("%.3g", d.Found)
}

// printDeviation shows the closed-loop rounding bound beside what the runs showed.
func printDeviation(v *loop.View, p *paper) {
	if len(v.Deviation) == 0 {
		return
	}
	p.heading("How far rounding can push the linear plant: proven, and seen in both loops side by side")
	var rows [][]string
	head := "|>bound|>found|unit|>arithmetic|>sensor counts|>actuator steps|>start|>bend"
	for _, r := range v.Runs {
		head += "|>seen " + r.Kind
	}
	for i, d := range v.Deviation {
		row := []string{d.Name, fmt.Sprintf("%.4g", d.Bound), found(d), d.Unit, fmt.Sprintf("%.3g", d.Arithmetic), fmt.Sprintf("%.3g", d.Sensors), fmt.Sprintf("%.3g", d.Actuators), fmt.Sprintf("%.2g", d.Start), fmt.Sprintf("%.2g", d.Bend)}
		if d.Why != "" {
			row = []string{d.Name, "none", "", d.Unit, "", "", "", "", ""}
		}
		for _, r := range v.Runs {
			mark := ""
			if !r.Speaks {
				mark = " *"
			}
			row = append(row, fmt.Sprintf("%.3g%s", r.Largest[i], mark))
		}
		rows = append(rows, row)
	}
	p.table(head, rows)
	if slices.ContainsFunc(v.Runs, func(r loop.Run) bool { return !r.Speaks }) {
		p.line("  * The bound does not cover this run, as said below.")
	}
	for _, text := range summary.Deviations(v) {
		p.text("  ", text)
	}
}
