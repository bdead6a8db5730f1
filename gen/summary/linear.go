package summary

import (
	"fmt"

	"gainwright/model/loop"
)

// Stable is the verdict on the linear loop.
func Stable(v *loop.View) string {
	switch v.Stable {
	case [2]bool{true, true}:
		return "Good: the loop as a linear system is stable, with the gains asked and with those stored."
	case [2]bool{true, false}:
		return "Not good: the loop as a linear system is not stable with the gains stored, though it is with those asked."
	case [2]bool{false, true}:
		return "Not good: the loop as a linear system is not stable with the gains asked."
	}
	return "Not good: the loop as a linear system is not stable, neither with the gains asked nor with those stored."
}

// Margins are those of one cut of the loop, with the gains asked and stored.
func Margins(c *loop.Cut, stable [2]bool) []Row {
	var out []Row
	add := func(what, form, unit, without string, of func(m *loop.Margins) float64) {
		row := Row{What: what, Unit: unit}
		for i := range c.Margins {
			row.Values[i] = without
			if x := of(&c.Margins[i]); !stable[i] {
				row.Values[i] = "not stable"
			} else if x != 0 {
				row.Values[i] = fmt.Sprintf(form, x)
			}
		}
		out = append(out, row)
	}
	add("gain may grow by a factor of", "%.3f", "", "any", func(m *loop.Margins) float64 { return m.GainUp })
	add("gain may shrink to a share of", "%.3f", "", "nothing", func(m *loop.Margins) float64 { return m.GainDown })
	add("phase margin", "%.1f", "deg", "none", func(m *loop.Margins) float64 { return m.Phase })
	add("phase margin at", "%.4g", "Hz", "none", func(m *loop.Margins) float64 { return m.Crossover })
	add("delay margin", "%.4g", "s", "any", func(m *loop.Margins) float64 { return m.Delay })
	add("delay margin", "%.2f", "ticks", "any", func(m *loop.Margins) float64 { return m.DelayTicks })
	add("sensitivity peak", "%.3f", "", "none", func(m *loop.Margins) float64 { return m.Peak })
	add("sensitivity peak at", "%.4g", "Hz", "none", func(m *loop.Margins) float64 { return m.PeakAt })
	return out
}

// Later is the size of the largest pole with more delay.
func Later(v *loop.View) []Row {
	var out []Row
	for _, l := range v.Later {
		row := Row{What: plural(l.Ticks, "more tick")}
		for i, r := range l.Radius {
			row.Values[i] = fmt.Sprintf("%.6f, %s", r, map[bool]string{true: "stable", false: "not stable"}[l.Stable[i]])
		}
		out = append(out, row)
	}
	return out
}

// Pole writes a pole, or a pair of conjugates.
func Pole(z loop.Point, pair bool) string {
	if pair {
		return fmt.Sprintf("%.6f +-%.6fi", z.Re, z.Im)
	}
	return fmt.Sprintf("%.6f", z.Re)
}

// AtZero says how many poles lie at 0; nothing where there are none.
func AtZero(v *loop.View) string {
	switch v.AtZero {
	case 0:
		return ""
	case 1:
		return "Of the closed loop's poles, 1 more is at 0: delays and memories."
	}
	return fmt.Sprintf("Of the closed loop's poles, %d more are at 0: delays and memories.", v.AtZero)
}

// Deviations says what belongs to the closed-loop rounding bound: where there is none, and what the runs on the linear plant watched.
func Deviations(v *loop.View) []string {
	var out []string
	for _, d := range v.Deviation {
		if d.Why != "" {
			out = append(out, fmt.Sprintf("No bound for %s: %s.", d.Name, d.Why))
		}
		if d.Wider > 0 {
			out = append(out, fmt.Sprintf("%s: %.4g %s whatever the arctangents bend between the loops, inside the directions seen.", d.Name, d.Wider, d.Unit))
		}
	}
	out = append(out, "The bound holds while no limit and no switch acts on the difference of the two loops. The runs on the linear plant watched that:")
	for _, r := range v.Runs {
		text := fmt.Sprintf("%s, %.6g s, seed %d: ", r.Kind, r.Seconds, r.Seed)
		switch {
		case r.Speaks && r.ActedBy == "":
			text += "none acted."
		case r.Speaks:
			text += fmt.Sprintf("none acted from %.4g s on (before it, while the plants were the same, %s).", r.From, r.ActedBy)
		default:
			text += fmt.Sprintf("one acted in %s, last %s before %.4g s; the bound does not cover this run.", plural(r.Acted, "tick"), r.ActedBy, r.From)
		}
		for _, b := range r.Bends {
			if r.Speaks {
				text += fmt.Sprintf(" %s bent by at most %.3g %s between the loops, which the bound takes as given.", b.Name, b.Most, b.Unit)
			}
		}
		out = append(out, text)
	}
	return out
}
