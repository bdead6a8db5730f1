package summary

import (
	"fmt"
	"math"
	"reflect"
	"slices"

	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/loop"
)

// Stable is the verdict on the linear loop.
func Stable(v *loop.View) document.Sentence {
	say := func(text string) document.Sentence { return document.Judge(v.Stable == [2]bool{true, true}, text) }
	switch v.Stable {
	case [2]bool{true, true}:
		return say("Good: the loop as a linear system is stable, with the gains asked and with those stored.")
	case [2]bool{true, false}:
		return say("Not good: the loop as a linear system is not stable with the gains stored, though it is with those asked.")
	case [2]bool{false, true}:
		return say("Not good: the loop as a linear system is not stable with the gains asked.")
	}
	return say("Not good: the loop as a linear system is not stable, neither with the gains asked nor with those stored.")
}

// Cut is one place, or several at which the loop shows the same margins, and what they are with the gains asked and stored.
type Cut struct {
	*loop.Cut // the first of them
	Index     int
	places    string
	table     *document.Table
}

// Cuts are the places at which the loop is cut; those that show the same are told once.
func Cuts(v *loop.View) []Cut {
	var out []Cut
	for i := range v.Cuts {
		c := Cut{&v.Cuts[i], i, Place(&v.Cuts[i]), margins(&v.Cuts[i], v.Stable)}
		at := slices.IndexFunc(out, func(o Cut) bool { return reflect.DeepEqual(o.table.Rows, c.table.Rows) })
		if at < 0 {
			out = append(out, c)
		} else {
			out[at].places += ", and the same " + c.places
		}
	}
	for i := range out {
		out[i].table.Title = "Loop cut " + out[i].places
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
func margins(c *loop.Cut, stable [2]bool) *document.Table {
	t := &document.Table{Columns: document.Columns("|:>gains asked|:>stored|unit")}
	add := func(what, form, unit, without string, of func(m *loop.Margins) float64) {
		row := document.Texts(what, without, without, unit)
		for i := range c.Margins {
			if x := of(&c.Margins[i]); x != 0 {
				row[1+i].Text = fmt.Sprintf(form, x)
			}
		}
		t.Add(row...)
	}
	// A loop that is not stable has no room to lose its stability in.
	alive := func(what, form, unit, without string, of func(m *loop.Margins) float64) {
		if stable == [2]bool{} {
			return
		}
		add(what, form, unit, without, of)
		for i := range stable {
			if !stable[i] {
				t.Rows[len(t.Rows)-1].Cells[1+i] = document.Cell{Text: "not stable", Tone: document.Bad}
			}
		}
	}
	if stable != [2]bool{true, true} {
		row := document.Texts("stable with the gain times", "1", "1", "")
		for i := range c.Margins {
			if !stable[i] {
				row[1+i].Text = factors(c.Margins[i].Stable)
			}
		}
		t.Add(row...)
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
	return t
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

// bandwidth says what is meant by it, and from where gains and margins are counted.
const bandwidth = "Bandwidth: the highest frequency at which the size of L/(1+L) falls through 0.707. A phase margin below 0 is what a loop that is not stable lags too much. " +
	"Behind a PID all that it feeds is cut at once: its gains kp, ki and kd turned together."

// later is the size of the largest pole with more delay.
func later(v *loop.View) *document.Table {
	t := &document.Table{Title: "With more delay: largest pole", Columns: document.Columns("|:>gains asked|:>stored|unit")}
	for _, l := range v.Later {
		row := document.Texts(plural(l.Ticks, "more tick"), "", "", "")
		for i, r := range l.Radius {
			row[1+i].Text = fmt.Sprintf("%.6f, stable", r)
			if !l.Stable[i] {
				row[1+i] = document.Cell{Text: fmt.Sprintf("%.6f, not stable", r), Tone: document.Bad}
			}
		}
		t.Add(row...)
	}
	return t
}

// mostPoles is how many poles are shown, the largest; long delays have many more.
const mostPoles = 16

// poles are those of the closed loop, a pair of conjugates on one line.
func poles(v *loop.View) *document.Table {
	t := &document.Table{Title: "Poles of the sampled closed loop", Columns: document.Labels("gains asked|stored|>moved|>Hz|>damping")}
	text := func(z loop.Point, pair bool) string {
		if pair {
			return fmt.Sprintf("%.6f +-%.6fi", z.Re, z.Im)
		}
		return fmt.Sprintf("%.6f", z.Re)
	}
	for _, q := range v.Poles[:min(len(v.Poles), mostPoles)] {
		t.AddTexts(text(q.Asked, q.Pair), text(q.Stored, q.Pair), fmt.Sprintf("%.2g", q.Moved), fmt.Sprintf("%.4g", q.Hz), fmt.Sprintf("%.3f", q.Damping))
	}
	return t
}

// atZero says how many poles are not shown and how many lie at 0; nothing where there are none.
func atZero(v *loop.View) string {
	if left := len(v.Poles) - mostPoles; left > 0 {
		z := v.Poles[mostPoles].Stored
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

// Linear is the linear view of a unit's loop by itself.
func Linear(u *model.Unit, v *loop.View) *document.Document {
	verdict := Stable(v)
	d := New(u, verdict.Tone == document.Good)
	d.Data = document.Object{{Value: v}}
	d.Parts = []document.Part{document.Line("%s: %s, tick %.4g s, plant %s", u.File, u.Spec.Name, v.Period, u.Plant.Kind.Name), LinearChapter(u, v)}
	d.Parts = append(append(d.Parts, Cautions(u)...), document.Gap{}, verdict)
	return d
}

// LinearChapter is what is known of the linear view.
func LinearChapter(u *model.Unit, v *loop.View) document.Chapter {
	out := document.Chapter{ID: "linear", Title: "The closed loop as a linear system"}
	say := func(parts ...document.Part) { out.Parts = append(out.Parts, parts...) }
	say(document.Aside("The machine linearised at rest and sampled at every tick, the controller at its working point: no limit acts, switches stand as they do when it has settled. Asked is with the gains of the spec, stored with those of the integer program."),
		poles(v))
	if text := atZero(v); text != "" {
		say(document.Say("%s", text))
	}
	for _, c := range Cuts(v) {
		say(c.table)
	}
	say(document.Say(bandwidth), later(v))
	say(deviations(v)...)
	if seconds, how := computing(u); seconds > 0 {
		say(document.Say("The controller's own %.3g us count as delay: %s.", 1e6*seconds, how))
	}
	for _, n := range v.Notes {
		say(document.Note("Taken as linear: %s.", n))
	}
	return out
}
