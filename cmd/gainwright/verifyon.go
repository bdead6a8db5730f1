package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gainwright/gen/document"
	"gainwright/gen/summary"
	"gainwright/gen/target"
	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/trial"
)

// partTicks is how many ticks a simulated part runs where nothing else is asked for.
const partTicks = 200_000

// parts reads the list of a flag such as avr8,cortex-m0.
func parts(list string) ([]string, error) {
	var out []string
	for p := range strings.SplitSeq(list, ",") {
		if p = strings.TrimSpace(p); !slices.Contains(target.Parts(), p) {
			return nil, wrong("no part is simulated for %q%s", p, meant(p, target.Parts(), "there are "+strings.Join(target.Parts(), ", ")))
		}
		if !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out, nil
}

// on runs the emitted code on simulated parts and says what it takes there.
func (v verifier) on(u *model.Unit, parts []string, ticks int, seed uint64) error {
	v.p.line("%s: %s, seed %d", u.BaseName(), u.Spec.Name, seed)
	t, good, found := partTable(), true, finding.List{}
	for _, name := range parts {
		m, r, err := v.onPart(u, name, ticks, seed)
		if err != nil {
			return failure{findings, err.Error()}
		}
		for _, f := range faults(r) {
			v.p.line("\n%s: %s", name, f)
		}
		var missing *finding.Finding
		if m.Proven == 0 {
			missing = unproven(u, m.Unproven)
		}
		if missing != nil {
			found = append(found, *missing)
		}
		addPart(t, name, m, r, missing)
		good = good && r.OK()
	}
	d := summary.New(u, good)
	d.Data = document.Fields("seed", seed, "parts", t)
	verdict := document.Judge(good, "Good: the same bits on every part.")
	if !good {
		verdict.Text = "Not good: see above."
	} else if len(found) > 0 {
		verdict.Text, verdict.Tone = "The same bits on every part; but look at the warning above.", document.Caution
	}
	d.Parts = []document.Part{t, document.Note("Flash, RAM and stack in bytes. Proven worst: the longest path through the machine code of a tick."),
		document.Findings(found), document.Gap{}, verdict}
	return v.p.show(d)
}

// partTable has a row for each part: what the emitted code took there, a tick in its unit, and bytes. Where no worst tick is proven, programs find why,
// and where one could be, a finding.
func partTable() *document.Table {
	return &document.Table{Title: "The emitted C on simulated parts, bit for bit against the integer program",
		Columns: document.Columns("target:target|part:part|ticks:>ticks|differing_bits:>differing bits|worst:>worst tick|mean:>mean|proven_worst:>proven worst|why_not_proven|unit:of|" +
			"flash:>flash|ram:>RAM|stack:>stack|faults|finding")}
}

func addPart(t *document.Table, name string, m target.Measured, r *trial.Result, missing *finding.Finding) {
	whole := func(n int) document.Cell { return document.Both(fmt.Sprint(n), n) }
	proven, why, bits := document.Cell{Value: document.Null}, document.Some(m.Unproven), 0
	switch {
	case m.Proven > 0:
		proven, why = whole(m.Proven), nil
	case m.Unproven != "":
		proven.Text = "none, see below"
	}
	var found any
	if missing != nil {
		found = missing
	}
	for _, k := range r.Kinds {
		bits += k.Same.Bits
	}
	t.Put(document.Word(name), document.Word(m.Part), whole(m.Ticks), whole(bits), whole(m.Worst), document.Both(fmt.Sprintf("%.0f", m.Mean),
		math.Round(m.Mean*10)/10), proven, why, document.Word(m.Unit),
		whole(m.Flash), whole(m.RAM), whole(m.Stack), faults(r), found)
}

// faults are those of all kinds of inputs.
func faults(r *trial.Result) []string {
	out := []string{}
	for _, k := range r.Kinds {
		for _, f := range k.Faults {
			out = append(out, f.String())
		}
	}
	return out
}

// unproven says why no worst tick is proven on AVR, and what to do; nil where none is expected.
func unproven(u *model.Unit, why string) *finding.Finding {
	if why == "" {
		return nil
	}
	var wide []string
	at := finding.Pos{File: u.File}
	for _, op := range u.Integer.Ops {
		if name := u.Integer.Sections[op.Section].Name; op.Type.Bits() == 64 && !slices.Contains(wide, name) {
			if wide = append(wide, name); len(wide) == 1 {
				at.Line, at.Col = u.Integer.Sections[op.Section].Line, 1
			}
		}
	}
	f := finding.Finding{Pos: at, Severity: finding.Warning, Rule: "worst-not-proven",
		Message: "no worst tick is proven on avr8: the worst of those run is all that is known",
		Because: []string{"in the machine code, " + why}, Remedy: "a wider allowance of time than the worst tick seen, or --on another part"}
	if len(wide) > 0 {
		f.Because = append(f.Because, "numbers of 64 bits are computed by routines of the compiler's library, whose loops depend on the numbers: in "+strings.Join(wide, ", "))
		f.Remedy = "fewer counts_per_unit, a narrower raw type or a coarser accuracy, so that " + strings.Join(wide, ", ") + " need 32 bits at most"
	}
	var list finding.List
	list.Add(f)
	return &list[0]
}

func (v verifier) onPart(u *model.Unit, name string, ticks int, seed uint64) (target.Measured, *trial.Result, error) {
	s, err := target.NewSimulated(v.ctx, name, u)
	if err != nil {
		return target.Measured{}, nil, err
	}
	defer s.Close()
	show := newProgress(v.side, ticks)
	defer show.end()
	r, err := trial.Verify(v.ctx, u, trial.Options{Ticks: ticks, Seed: seed, Target: s})
	if err != nil {
		return target.Measured{}, nil, fmt.Errorf("the run on %s came to no end: %w", name, err)
	}
	return s.Measured(), r, nil
}
