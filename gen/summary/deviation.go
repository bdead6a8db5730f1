package summary

import (
	"fmt"
	"slices"

	"gainwright/gen/document"
	"gainwright/model/loop"
)

// deviations is the closed-loop rounding bound beside what the runs showed: where there is none, and what the runs on the linear plant watched.
func deviations(v *loop.View) (out []document.Part) {
	if len(v.Deviation) == 0 {
		return nil
	}
	say := func(format string, args ...any) { out = append(out, document.Say(format, args...)) }
	head := "|>bound|>found|unit|>arithmetic|>sensor counts|>actuator steps|>start|>bend"
	for _, r := range v.Runs {
		head += "|>seen " + r.Kind
	}
	t := &document.Table{Title: "How far rounding can push the linear plant: proven, and seen in both loops side by side", Columns: document.Labels(head)}
	for i, d := range v.Deviation {
		row := document.Texts(d.Name, "none", "", d.Unit, "", "", "", "", "")
		if d.Why == "" {
			row = document.Texts(d.Name, fmt.Sprintf("%.4g", d.Bound), "", d.Unit, fmt.Sprintf("%.3g", d.Arithmetic), fmt.Sprintf("%.3g", d.Sensors),
				fmt.Sprintf("%.3g", d.Actuators), fmt.Sprintf("%.2g", d.Start), fmt.Sprintf("%.2g", d.Bend))
		}
		if d.Why == "" && d.Found != 0 {
			row[2].Text = fmt.Sprintf("%.3g", d.Found)
		}
		for _, r := range v.Runs {
			mark := ""
			if !r.Speaks {
				mark = " *"
			}
			row = append(row, document.Cell{Text: fmt.Sprintf("%.3g%s", r.Largest[i], mark)})
		}
		t.Add(row...)
	}
	out = append(out, t)
	if slices.ContainsFunc(v.Runs, func(r loop.Run) bool { return !r.Speaks }) {
		out = append(out, document.Note("* The bound does not cover this run, as said below."))
	}
	for _, d := range v.Deviation {
		if d.Why != "" {
			say("No bound for %s: %s.", d.Name, d.Why)
		}
		if d.Wider > 0 {
			say("%s: %.4g %s whatever the arctangents bend between the loops, inside the directions seen.", d.Name, d.Wider, d.Unit)
		}
	}
	for _, d := range v.Deviation {
		if d.Found > 0 {
			say("%s: noise chosen tick by tick against it, from rest, came to %.3g %s, %.0f %% of what is proven for such a run.", d.Name, d.Found, d.Unit, 100*d.Share)
		}
	}
	say("The bound holds while no limit and no switch acts on the difference of the two loops. The runs on the linear plant watched that:")
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
		say("%s", text)
	}
	return out
}
