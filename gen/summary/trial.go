package summary

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/trial"
)

// Trial is what a trial of a unit's three parties found.
func Trial(u *model.Unit, r *trial.Result) *document.Document {
	d := New(u, r.OK())
	warned := slices.ContainsFunc(r.Findings(), func(f finding.Finding) bool { return f.Severity == finding.Warning })
	judged, faults, inputs, axes := r.Judged(), []string{}, trialInputs(r), trialAxes(r)
	say := func(parts ...document.Part) { d.Parts = append(d.Parts, parts...) }
	say(inputs, againstStored(r), document.Note("Signals that are not listed are exact."))
	for _, not := range judged.Not {
		say(document.Note("Not judged: %s.", not))
	}
	say(againstAsked(r)...)
	if len(axes.Rows) > 0 {
		say(axes, document.Findings(r.Findings()))
	}
	for _, k := range r.Kinds {
		for _, f := range k.Faults {
			faults = append(faults, f.String())
			say(document.Gap{}, document.Line("%s", f))
		}
	}
	say(document.Gap{})
	verdict := document.Judge(r.OK(), fmt.Sprintf("%d ticks, no differing bit, every value in its range, %s", r.Ticks, judged))
	switch {
	case !r.OK():
		verdict.Text = fmt.Sprintf("Not good: see above. %d ticks were run.", r.Ticks)
	case warned:
		verdict.Text, verdict.Tone, d.Verdict = verdict.Text+"; but look at the warning above.", document.Caution, document.Caution
	default:
		verdict.Text = "Good: " + verdict.Text + "."
	}
	say(verdict)
	d.Data = document.Fields("target", r.Target, "seed", r.Seed, "ticks", r.Ticks, "inputs", inputs, "signals", trialSignals(r),
		"differences_judged", judged.Count, "not_judged", append([]string{}, judged.Not...), "axes", axes, "faults", faults)
	return d
}

// trialInputs are the kinds of inputs, and whether the integer program and the target gave the same bits.
func trialInputs(r *trial.Result) *document.Table {
	t := &document.Table{Title: "Integer program against " + r.Target + ", bit for bit",
		Columns: document.Columns("name:inputs|ticks:>ticks|starts:>starts|gain_changes:>gain changes|" +
			"values_compared:>values compared|differing_bits:>differing bits|out_of_range:>out of range")}
	for _, k := range r.Kinds {
		row := []document.Cell{document.Word(k.Name)}
		for _, n := range []int{k.Ticks, k.Restarts + k.Again, k.Settings, k.Same.Compared, k.Same.Bits, k.Outside} {
			row = append(row, document.Both(fmt.Sprint(n), n))
		}
		t.Add(row...)
	}
	return t
}

// everything and declared choose kinds of inputs: all, and those inside the ranges that the spec declares.
func everything(trial.Kind) bool    { return true }
func declared(k trial.Kind) bool    { return k.Declared }
func exact(d trial.Difference) bool { return d.Bound == 0 && d.Over == 0 }

// trialSignals are the largest differences of each signal, and their bounds, for programs: of the step itself and from the raw inputs to here, both
// against real numbers with the stored constants, and against the controller as asked, with the constants of the spec and the live
// gains as set. Where nothing is claimed there is none, or no proof.
func trialSignals(r *trial.Result) *document.Table {
	t := &document.Table{Columns: document.Columns("name|unit|own|total|as_asked")}
	near := r.Worst(declared)
	for i, s := range r.Worst(everything) {
		atDeclared := 0.0
		if near != nil {
			atDeclared = near[i].Asked.Largest
		}
		asked := document.Fields("largest", s.Asked.Largest, "largest_at_declared_inputs", atDeclared, "proven", seen(s.Asked))
		t.Put(s.Name, s.Unit, seen(s.Local), seen(s.Chain), asked)
	}
	return t
}

// seen is the largest difference seen, its bound, in how many ticks it was over it, why the bound does not speak, and where the difference is taken
// around a circle the turn of that.
func seen(d trial.Difference) any {
	if !d.Claimed {
		return document.Null
	}
	var turn any
	if d.Turn != 0 {
		turn = d.Turn
	}
	return document.Fields("largest", d.Largest, "bound", d.Bound, "ticks_over", d.Over, "not_held_against", document.Some(d.Unjudged), "period", turn)
}

// againstStored are the signals that are not exact, or were not seen to be.
func againstStored(r *trial.Result) *document.Table {
	t := &document.Table{Title: "Integer program against real numbers with the stored constants, largest difference seen, of what is proven",
		Columns: document.Labels("signal|>step itself|>at most|>share|>in all|>at most|>share|unit")}
	for _, s := range r.Worst(everything) {
		if exact(s.Local) && (!s.Chain.Claimed || exact(s.Chain)) {
			continue
		}
		row := append(document.Texts(s.Name), difference(s.Local)...)
		t.Add(append(append(row, difference(s.Chain)...), document.Cell{Text: s.Unit})...)
	}
	return t
}

// againstAsked says how far signals were from the program that was asked for.
func againstAsked(r *trial.Result) []document.Part {
	t := &document.Table{Title: "Integer program against the controller as asked, with the constants of the spec and the live gains as set",
		Columns: document.Labels("signal|>inputs as declared|>any inputs|>at most|>share|unit")}
	var unjudged []string
	why := map[string][]string{} // signals
	near := r.Worst(declared)
	for i, s := range r.Worst(everything) {
		if s.Asked.Largest == 0 && s.Asked.Over == 0 {
			continue
		}
		row := document.Texts(s.Name, "", fmt.Sprintf("%.3g", s.Asked.Largest), "measured", "", s.Unit)
		if near != nil {
			row[1].Text = fmt.Sprintf("%.3g", near[i].Asked.Largest)
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
		t.Add(row...)
	}
	if len(t.Rows) == 0 {
		return []document.Part{t, document.Note("No signal differed.")}
	}
	out := []document.Part{t}
	for _, reason := range unjudged {
		out = append(out, document.Note("Not held against the bound: %s, since %s.", strings.Join(why[reason], ", "), reason))
	}
	return append(out, document.Note("Measured: no bound is proven. These are the largest differences seen, and others may be larger."))
}

// difference is what was seen, the bound, and the share of it that was reached: none where it is not judged, which is said below
// the table.
func difference(d trial.Difference) []document.Cell {
	switch {
	case !d.Claimed:
		return document.Texts("", "", "")
	case d.Unjudged != "":
		return document.Texts(fmt.Sprintf("%.3g", d.Largest), fmt.Sprintf("%.3g", d.Bound), "-")
	case d.Over > 0:
		row := document.Texts(fmt.Sprintf("%.6g", d.Largest), fmt.Sprintf("%.6g", d.Bound), fmt.Sprintf("OVER in %d ticks", d.Over))
		row[2].Tone = document.Bad
		return row
	}
	return document.Texts(fmt.Sprintf("%.3g", d.Largest), fmt.Sprintf("%.3g", d.Bound), fmt.Sprintf("%.2f", d.Ratio))
}

// trialAxes says whether the angles of a log move as their rates say.
func trialAxes(r *trial.Result) *document.Table {
	t := &document.Table{Title: "Axes and signs: change of the angle against the integral of its rate, a slope of +1 is right",
		Columns: document.Columns("angle:angle|rate|slope:>slope|correlation:>correlation|windows:>windows|verdict:verdict")}
	for _, a := range r.Axes {
		t.Put(document.Both(a.Angle+" against "+a.Rate, a.Angle), a.Rate, document.Both(fmt.Sprintf("%+.2f", a.Slope), a.Slope),
			document.Both(fmt.Sprintf("%.2f", a.Correlation), a.Correlation),
			document.Both(fmt.Sprint(a.Windows), a.Windows), document.Word(string(a.Verdict)))
	}
	return t
}
