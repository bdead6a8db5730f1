package report

import (
	"fmt"

	"gainwright/gen/summary"
)

// Sentence is the verdict on the run.
func (r *Run) Sentence() string {
	return summary.Held(r.System, r.Outcome)
}

func (r *Run) section() (section, error) {
	sc, o := r.System.Scenario, r.Outcome
	out := section{ID: "run", Title: "The closed loop in time"}
	out.Intro = append(out.Intro, fmt.Sprintf("Plant %s, %g s, seed %d. The reference is the controller in float64 with the gains as asked, the other is the integer program bit by bit as the C computes it.",
		r.System.Plant.Kind.Name, sc.Duration, o.Seed))
	if sc.HeldUntil > 0 {
		out.List = append(out.List, fmt.Sprintf("%g s: the machine is let go", sc.HeldUntil))
	}
	for _, d := range sc.Disturbances {
		what := d.About
		if what == "" {
			what = d.Name
		}
		out.List = append(out.List, fmt.Sprintf("%g s: %s", d.At, what))
	}
	for _, f := range sc.Faults {
		what := f.About
		if what == "" {
			what = "a fault"
		}
		out.List = append(out.List, fmt.Sprintf("%g s: %s", f.At, what))
	}
	t := table{Caption: "What each loop did", Head: columns("", ">reference", ">integer"), Rows: compared(summary.Loops(r.System, o))}
	for i := range sc.Watch {
		t.Rows = append(t.Rows, compared(summary.Watched(o, i))...)
		out.Notes = append(out.Notes, summary.Apart(o, i)...)
	}
	out.Tables = append(out.Tables, t)
	out.Notes = append(out.Notes, summary.Compare)
	return out, r.pictures(&out)
}

// compared makes rows of a table of rows in words.
func compared(rows []summary.Row) (out [][]cell) {
	for _, r := range rows {
		if r.Of != "" {
			r.What = r.Of + ": " + r.What
		}
		out = append(out, cells(labelled(r.What, r.Unit), r.Values[0], r.Values[1]))
	}
	return out
}
