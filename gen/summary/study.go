package summary

import (
	"fmt"
	"slices"

	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/simulate"
)

// Study is what many runs of a unit's system showed.
func Study(u *model.Unit, s *simulate.System, st *simulate.Study) *document.Document {
	failed := 2*st.Runs - st.Passed[0] - st.Passed[1]
	d := New(u, failed == 0)
	d.Data = document.Object{{Value: st}}
	say := func(parts ...document.Part) { d.Parts = append(d.Parts, parts...) }
	say(document.Line("%s, %d runs, seeds %d to %d", title(s), st.Runs, st.Seed, st.Seed+uint64(st.Runs)-1),
		tally("Runs that held all that the scenario asks for", st.Passed))
	if s.Scenario.Fall != nil {
		say(tally("Runs that did not fall", st.Stood))
	}
	say(spread(st, simulate.Reference, "reference"), spread(st, simulate.Integer, "integer"))
	if slices.ContainsFunc(st.Spread, func(x simulate.Spread) bool {
		return x.Unit == "s" && max(x.Most[0], x.Most[1]) == simulate.Reached(s.Scenario.Duration)
	}) {
		say(document.Note("A time that was never reached counts as the whole %g s.", s.Scenario.Duration))
	}
	if t := influences(st); len(t.Rows) > 0 {
		say(t)
	}
	worst := &document.Table{Title: fmt.Sprintf("Worst runs of the integer loop (repeat one: simulate %s --runs 1 --seed SEED)", s.Spec.File),
		Columns: document.Labels("|>seed|>value|unit|")}
	for _, w := range st.Worst {
		row := document.Texts(w.Why, fmt.Sprint(w.Seed), fmt.Sprintf("%.4g", w.Value), w.Unit, "")
		if w.Failed {
			row[4] = document.Cell{Text: "not held", Tone: document.Bad}
		}
		worst.Add(row...)
	}
	say(worst)
	verdict := document.Judge(failed == 0, fmt.Sprintf("Good: both loops hold all that the scenario asks for in each of %d runs.", st.Runs))
	if failed > 0 {
		verdict.Text = fmt.Sprintf("Not good: not all that the scenario asks for was held in each of %d runs.", st.Runs)
	}
	say(append(Cautions(u), document.Gap{}, verdict)...)
	return d
}

// tally counts runs of each loop.
func tally(title string, n [2]int) *document.Table {
	t := &document.Table{Title: title, Columns: document.Labels("|>")}
	t.AddTexts("reference", fmt.Sprint(n[0]))
	t.AddTexts("integer", fmt.Sprint(n[1]))
	return t
}

// spread is how the figures of one loop lie over the runs.
func spread(st *simulate.Study, loop int, name string) *document.Table {
	t := &document.Table{Title: "Spread over the runs, " + name + " loop", Columns: document.Labels("|>least|>5 %|>median|>95 %|>most|unit")}
	for _, x := range st.Spread {
		if x.Most[loop] < 0 || x.Most == x.Least && x.Most == [2]simulate.Reached{} {
			continue
		}
		row := document.Texts(x.Name)
		for _, v := range []simulate.Reached{x.Least[loop], x.Low[loop], x.Median[loop], x.High[loop], x.Most[loop]} {
			row = append(row, document.Cell{Text: sizeOf(v)})
		}
		t.Add(append(row, document.Cell{Text: x.Unit})...)
	}
	return t
}

// sizeOf writes a size, or none.
func sizeOf(r simulate.Reached) string {
	if r < 0 {
		return "none"
	}
	return fmt.Sprintf("%.4g", float64(r))
}

// influences ranks the tolerances by what they did.
func influences(st *simulate.Study) *document.Table {
	const most = 3
	t := &document.Table{Title: "Which tolerance mattered most, by rank correlation (1: the figure always rises with it, -1: it always falls)",
		Columns: document.Labels("|first|second|third")}
	for _, f := range st.Influences {
		row := document.Texts(f.Name, "", "", "")
		for i, of := range f.Of[:min(len(f.Of), most)] {
			row[1+i].Text = fmt.Sprintf("%s %+.2f", of.Path, of.Correlation)
		}
		if len(f.Of) > 0 {
			t.Add(row...)
		}
	}
	return t
}
