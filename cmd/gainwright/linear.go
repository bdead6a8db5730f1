package main

import (
	"fmt"
	"io"

	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/loop"
)

// linear takes the linear view of a loop and prints it.
func linear(u *model.Unit, p *paper, side io.Writer, json bool) error {
	v, err := loop.New(&loop.System{Spec: u.Spec, Asked: u.Asked, Stored: u.Stored, Integer: u.Integer, Plant: u.Plant, Scenario: u.Scenario})
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
	for _, q := range v.Poles {
		rows = append(rows, []string{complexText(q.Asked, q.Pair), complexText(q.Stored, q.Pair), fmt.Sprintf("%.2g", q.Moved), fmt.Sprintf("%.4g", q.Hz), fmt.Sprintf("%.3f", q.Damping)})
	}
	p.table("gains asked|stored|>moved|>Hz|>damping", rows)
	if v.AtZero > 0 {
		p.line("  and %d at 0, of delays and memories", v.AtZero)
	}
	for i := range v.Cuts {
		p.heading("Loop cut at %s", v.Cuts[i].Output)
		p.table("|>gains asked|>stored|", marginRows(&v.Cuts[i], v.Stable))
	}
	p.heading("With more delay: largest pole")
	rows = nil
	for _, l := range v.Later {
		row := []string{fmt.Sprintf("%d more ticks", l.Ticks)}
		if l.Ticks == 1 {
			row[0] = "1 more tick"
		}
		for i, r := range l.Radius {
			row = append(row, fmt.Sprintf("%.6f %s", r, map[bool]string{true: "stable", false: "not stable"}[l.Stable[i]]))
		}
		rows = append(rows, row)
	}
	p.table("|>gains asked|>stored", rows)
	printDeviation(v, p)
	for _, n := range v.Notes {
		p.line("  Taken as linear: %s.", n)
	}
	p.line("")
	if v.Stable[0] && v.Stable[1] {
		p.line("%s", p.tint("1;32", "Good: the loop is stable, with the gains asked and with those stored."))
		return
	}
	who := "with the gains asked"
	if v.Stable[0] {
		who = "with the gains stored"
	}
	p.line("%s", p.tint("1;31", "Not good: the loop is not stable "+who+"."))
}

func complexText(z loop.Point, pair bool) string {
	if pair {
		return fmt.Sprintf("%.6f +-%.6fi", z.Re, z.Im)
	}
	return fmt.Sprintf("%.6f", z.Re)
}

func marginRows(c *loop.Cut, stable [2]bool) [][]string {
	var rows [][]string
	add := func(what, form, unit, without string, of func(m *loop.Margins) float64) {
		row := []string{what}
		for i := range c.Margins {
			text := without
			if x := of(&c.Margins[i]); !stable[i] {
				text = "-"
			} else if x != 0 {
				text = fmt.Sprintf(form, x)
			}
			row = append(row, text)
		}
		rows = append(rows, append(row, unit))
	}
	add("gain may grow by a factor of", "%.3f", "", "any", func(m *loop.Margins) float64 { return m.GainUp })
	add("and shrink to", "%.3f", "", "nothing", func(m *loop.Margins) float64 { return m.GainDown })
	add("phase margin", "%.1f", "degrees", "none", func(m *loop.Margins) float64 { return m.Phase })
	add("at", "%.4g", "Hz", "none", func(m *loop.Margins) float64 { return m.Crossover })
	add("delay margin", "%.4g", "s", "any", func(m *loop.Margins) float64 { return m.Delay })
	add("", "%.2f", "ticks", "any", func(m *loop.Margins) float64 { return m.DelayTicks })
	add("sensitivity peak", "%.3f", "", "none", func(m *loop.Margins) float64 { return m.Peak })
	add("at", "%.4g", "Hz", "none", func(m *loop.Margins) float64 { return m.PeakAt })
	return rows
}

// printDeviation shows the closed-loop rounding bound beside what the runs showed.
func printDeviation(v *loop.View, p *paper) {
	if len(v.Deviation) == 0 {
		return
	}
	p.heading("How far rounding can push the linear plant: proven, and seen in both loops side by side")
	var rows [][]string
	head := "|>bound|unit|>arithmetic|>sensor counts|>actuator steps|>start|>bend"
	for _, r := range v.Runs {
		head += "|>seen " + r.Kind
	}
	for i, d := range v.Deviation {
		row := []string{d.Name, fmt.Sprintf("%.4g", d.Bound), d.Unit, fmt.Sprintf("%.3g", d.Arithmetic), fmt.Sprintf("%.3g", d.Sensors), fmt.Sprintf("%.3g", d.Actuators), fmt.Sprintf("%.2g", d.Start), fmt.Sprintf("%.2g", d.Bend)}
		if d.Why != "" {
			row = []string{d.Name, "none", d.Unit, "", "", "", "", ""}
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
	for _, d := range v.Deviation {
		if d.Why != "" {
			p.line("  No bound for %s: %s.", d.Name, d.Why)
		}
		if d.Wider > 0 {
			p.line("  %s: %.4g %s with the largest bend that the arctangents can have in the directions seen.", d.Name, d.Wider, d.Unit)
		}
	}
	p.line("  The bound holds while no limit and no switch acts on the difference of the two loops; the runs watched that:")
	for _, r := range v.Runs {
		switch {
		case r.Speaks && r.ActedBy == "":
			p.line("  %s, %.4g s, seed %d: none acted.", r.Kind, r.Seconds, r.Seed)
		case r.Speaks:
			p.line("  %s, %.4g s, seed %d: none acted from %.4g s on (before it, while the plants were the same, %s).", r.Kind, r.Seconds, r.Seed, r.From, r.ActedBy)
		default:
			p.line("  %s, %.4g s, seed %d: one acted in %d ticks, last %s before %.4g s; the bound does not speak there (*).", r.Kind, r.Seconds, r.Seed, r.Acted, r.ActedBy, r.From)
		}
		for _, b := range r.Bends {
			if r.Speaks {
				p.line("    %s bent by at most %.3g %s between the loops; what that did is in the bound as it was seen.", b.Name, b.Most, b.Unit)
			}
		}
	}
}
