package report

import (
	"fmt"

	"gainwright/gen/summary"
	"gainwright/model"
)

func formats(s *summary.Summary) section {
	out := section{ID: "formats", Title: "Formats and headroom", Intro: []string{
		"The range of each value is certified: it holds for any raw input, any live gain in its range and any number of ticks. The bar shows the bits of its type that the range needs; the rest is headroom.",
		"Qm.n: m integer bits besides the sign and n fraction bits. Qm.n x 1/131: counted in such fractions of 1/131 of the unit.",
	}}
	for _, part := range []struct {
		title string
		list  []summary.Value
	}{{"Signals", s.Signals}, {"States, kept from tick to tick", s.States}} {
		t := table{Caption: part.title, Head: columns("name", "step", "format", ">certified range", "bits used")}
		for _, v := range part.list {
			step := v.Step
			if step == v.Name {
				step = "" // most steps have one signal, which bears their name
			}
			if v.IsSwitch() {
				t.Rows = append(t.Rows, cells(v.Name, step, "switch", "0 or 1", ""))
				continue
			}
			used := float64(v.Bits) - float64(v.Headroom)
			row := cells(v.Name, step, v.Form+" in "+v.Type, labelled(v.Range(), v.Unit), fmt.Sprintf("%.1f of %d, %.1f free", used, v.Bits, float64(v.Headroom)))
			row[4].Bar = &bar{100 * used / float64(v.Bits)}
			t.Rows = append(t.Rows, row)
		}
		if len(t.Rows) > 0 {
			out.Tables = append(out.Tables, t)
		}
	}
	return out
}

func constants(s *summary.Summary) section {
	out := section{ID: "constants", Title: "Constants, asked and stored"}
	changed := table{Caption: "Changed by rounding, or live", Head: columns("name", ">asked", ">stored", ">error", ">count", "")}
	exact := table{Caption: "Stored exactly", Head: columns("name", ">value", ">count"), Folded: true}
	exactly := 0
	for _, c := range s.Constants {
		if c.Exact {
			exactly++
		}
		switch {
		case c.Live:
			changed.Rows = append(changed.Rows, cells(c.Name, c.AskedText(), c.StoredText(), c.ErrorText(), fmt.Sprint(c.Count), c.Note()))
		case c.Exact:
			exact.Rows = append(exact.Rows, cells(c.Name, c.AskedText(), fmt.Sprint(c.Count)))
		default:
			changed.Rows = append(changed.Rows, cells(c.Name, c.AskedText(), c.StoredText(), c.ErrorText(), fmt.Sprint(c.Count), c.Note()))
		}
	}
	out.Intro = []string{fmt.Sprintf("%d of %d constants are stored exactly. The error of each other one is a change of gains or limits, known and fixed; what rounding does at every tick stands below.", exactly, len(s.Constants))}
	t := table{Caption: "Gains and filters as asked", Head: columns("name", ">asked", ">per tick", "live range", ">one count of its setter")}
	for _, k := range s.Settings {
		tick := k.Tick()
		if tick != "" && k.PerTick == nil {
			tick += " ticks"
		}
		t.Rows = append(t.Rows, cells(k.Step+"."+k.Name, k.Text(), tick, k.Range(), k.Count))
	}
	for _, t := range []table{t, changed, exact, liveGains(s), integrals(s)} {
		if len(t.Rows) > 0 {
			out.Tables = append(out.Tables, t)
		}
	}
	return out
}

// liveGains says of each live gain what check says of it.
func liveGains(s *summary.Summary) table {
	t := table{Caption: summary.LiveGainsTitle, Head: columns("gain", ">"+summary.SmallestGain, ">"+summary.WithinGain, ">"+summary.WorstGain)}
	for _, l := range s.LiveGains {
		t.Rows = append(t.Rows, cells(l.Gain, l.SmallestText(), l.WithinText(), l.WorstText()))
	}
	return t
}

// integrals says of each integral what check says of it.
func integrals(s *summary.Summary) table {
	t := table{Caption: summary.IntegralsTitle, Head: columns("step", ">"+summary.SmallestHead, ">"+summary.WindUpHead, ">"+summary.LargestHead)}
	for _, i := range s.Integrals {
		t.Rows = append(t.Rows, cells(i.Step, i.SmallestText(), i.WindUpText(), i.LargestText()))
	}
	return t
}

func bounds(s *summary.Summary) section {
	out := section{ID: "bounds", Title: "Rounding, at most", Intro: []string{
		"Proven for every tick, any raw input and any live gain in its range: how far the integers can be from real numbers with the stored constants, and in the last column from the controller as asked, with the constants of the spec.",
	}}
	t := table{Caption: "Every signal: rounding of its step alone, and of everything from the raw inputs to here", Head: columns("signal", "kind", ">step alone", "in all", "as asked")}
	out.List = s.InWords()
	for _, b := range s.Bounds {
		t.Rows = append(t.Rows, cells(b.Signal, b.Kind, b.OwnText(), b.TotalText(), b.AskedText()))
	}
	if len(t.Rows) > 0 {
		out.Tables = append(out.Tables, t)
	}
	if len(s.Witnesses) == 0 {
		out.Notes = append(out.Notes, "How close real inputs come to these bounds was not searched for: report --witness does so.")
		return out
	}
	t = table{Caption: "Witnesses: inputs that come close to a bound, each run bit-exactly", Head: columns("signal", "what", ">bound", ">reached", "unit", "share of the bound", "by")}
	for _, w := range s.Witnesses {
		row := cells(w.Signal, w.What, fmt.Sprintf("%.6g", w.Bound), fmt.Sprintf("%.6g", w.Reached), w.Unit, fmt.Sprintf("%.2f %%", 100*w.Share), w.How)
		row[5].Bar = &bar{Percent: 100 * min(1, max(0, w.Share))}
		t.Rows = append(t.Rows, row)
	}
	out.Tables = append(out.Tables, t)
	return out
}

func cost(u *model.Unit, c *summary.Cost) section {
	out := section{ID: "cost", Title: "Cost of a tick", Intro: []string{fmt.Sprintf("About %.0f %s on %s, by table and without a compiler; verify --on measures it.", c.Tick, c.Unit, c.Target), c.Error.String()}}
	if b := u.Budget; b != nil {
		rate, _ := u.Spec.Rate.Float64()
		out.Intro = append(out.Intro, fmt.Sprintf("The budget leaves %.0f clock cycles in each tick.", b.Left(rate)))
	}
	most, rest := 0.0, float64(c.Tick)
	for _, s := range c.Steps {
		most, rest = max(most, float64(s.Cost)), rest-float64(s.Cost)
	}
	most = max(most, rest)
	t := table{Caption: "Share of each step", Head: columns("step", string(c.Unit))}
	add := func(name string, cost float64) {
		row := cells(name, fmt.Sprintf("%.0f", cost))
		row[1].Bar = &bar{Percent: 100 * cost / most}
		t.Rows = append(t.Rows, row)
	}
	for _, s := range c.Steps {
		if s.Cost >= 0.5 {
			add(s.Step, float64(s.Cost))
		}
	}
	if rest >= 0.5 {
		add("call, and what belongs to no step", rest)
	}
	if most > 0 {
		out.Tables = append(out.Tables, t)
	}
	if c.Searched > 0 {
		text := c.InVain()
		if len(c.Changes) > 0 {
			text = fmt.Sprintf("%d changes of formats were tried, and these were taken:", c.Searched)
		}
		out.Intro, out.List = append(out.Intro, text), c.Changes
	}
	return out
}
