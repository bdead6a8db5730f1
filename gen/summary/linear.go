package summary

import (
	"fmt"
	"math"
	"slices"

	"gainwright/model"
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

// Cut is one place, or several at which the loop shows the same margins, and what they are with the gains asked and stored.
type Cut struct {
	First  string // of the places
	Places string
	Rows   []Row
}

// Cuts are the places at which the loop is cut; those that show the same are told once.
func Cuts(v *loop.View) []Cut {
	var out []Cut
	for i := range v.Cuts {
		place := Place(&v.Cuts[i])
		c := Cut{place, place, margins(&v.Cuts[i], v.Stable)}
		at := slices.IndexFunc(out, func(o Cut) bool { return slices.Equal(o.Rows, c.Rows) })
		if at < 0 {
			out = append(out, c)
		} else {
			out[at].Places += ", and the same " + c.Places
		}
	}
	return out
}

// Place says where a loop is cut.
func Place(c *loop.Cut) string {
	if c.PID != "" {
		return "behind " + c.PID
	}
	return "at " + c.Output
}

// margins are those of one cut of the loop. Of a loop that is not stable they say how far it is from stability.
func margins(c *loop.Cut, stable [2]bool) []Row {
	var out []Row
	add := func(what, form, unit, without string, of func(m *loop.Margins) float64) {
		row := Row{What: what, Unit: unit}
		for i := range c.Margins {
			row.Values[i] = without
			if x := of(&c.Margins[i]); x != 0 {
				row.Values[i] = fmt.Sprintf(form, x)
			}
		}
		out = append(out, row)
	}
	// A loop that is not stable has no room to lose its stability in.
	alive := func(what, form, unit, without string, of func(m *loop.Margins) float64) {
		if stable == [2]bool{} {
			return
		}
		add(what, form, unit, without, of)
		for i := range stable {
			if !stable[i] {
				out[len(out)-1].Values[i] = "not stable"
			}
		}
	}
	if stable != [2]bool{true, true} {
		row := Row{What: "stable with the gain times"}
		for i := range c.Margins {
			if row.Values[i] = factors(c.Margins[i].Stable); stable[i] {
				row.Values[i] = "1"
			}
		}
		out = append(out, row)
	}
	alive("gain may grow by a factor of", "%.3f", "", "any", func(m *loop.Margins) float64 { return m.GainUp })
	alive("gain may shrink to a share of", "%.3f", "", "nothing", func(m *loop.Margins) float64 { return m.GainDown })
	add("phase margin", "%.1f", "deg", "none", func(m *loop.Margins) float64 { return m.Phase })
	add("phase margin at", "%.4g", "Hz", "none", func(m *loop.Margins) float64 { return m.Crossover })
	alive("delay margin", "%.4g", "s", "any", func(m *loop.Margins) float64 { return m.Delay })
	alive("delay margin", "%.2f", "ticks", "any", func(m *loop.Margins) float64 { return m.DelayTicks })
	add("sensitivity peak", "%.3f", "", "none", func(m *loop.Margins) float64 { return m.Peak })
	add("sensitivity peak at", "%.4g", "Hz", "none", func(m *loop.Margins) float64 { return m.PeakAt })
	add("bandwidth (-3 dB)", "%.4g", "Hz", "none", func(m *loop.Margins) float64 { return m.Bandwidth })
	return out
}

// factors writes the factors of the gain with which a loop would be stable.
func factors(f *[2]float64) string {
	switch {
	case f == nil:
		return "none"
	case f[0] <= 0 && f[1] < 0:
		return fmt.Sprintf("%.4g to %.4g", f[1], f[0])
	case f[0] < 0:
		return fmt.Sprintf("%.4g and less", f[0])
	case f[1] == 0:
		return fmt.Sprintf("%.4g and more", f[0])
	case f[0] == 0:
		return fmt.Sprintf("less than %.4g", f[1])
	}
	return fmt.Sprintf("%.4g to %.4g", f[0], f[1])
}

// Bandwidth says what is meant by it, and from where gains and margins are counted.
const Bandwidth = "Bandwidth: the highest frequency at which the size of L/(1+L) falls through 0.707. A phase margin below 0 is what a loop that is not stable lags too much. " +
	"Behind a PID all that it feeds is cut at once: its gains kp, ki and kd turned together."

// Computing says which delay was taken for the controller's own work; nothing where there is none.
func Computing(u *model.Unit) string {
	seconds, how := computing(u)
	if seconds == 0 {
		return ""
	}
	return fmt.Sprintf("The controller's own %.3g us count as delay: %s.", 1e6*seconds, how)
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

// MostPoles is how many poles are shown, the largest; long delays have many more.
const MostPoles = 16

// AtZero says how many poles are not shown and how many lie at 0; nothing where there are none.
func AtZero(v *loop.View) string {
	if left := len(v.Poles) - MostPoles; left > 0 {
		z := v.Poles[MostPoles].Stored
		return fmt.Sprintf("%d more poles or pairs are no larger than %.6f, and %d are at 0: delays and memories.", left, math.Hypot(z.Re, z.Im), v.AtZero)
	}
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
	for _, d := range v.Deviation {
		if d.Found > 0 {
			out = append(out, fmt.Sprintf("%s: noise chosen tick by tick against it, from rest, came to %.3g %s, %.0f %% of what is proven for such a run.", d.Name, d.Found, d.Unit, 100*d.Share))
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
