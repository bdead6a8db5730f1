package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gainwright/gen/target"
	"gainwright/model"
	"gainwright/model/finding"
	kinds "gainwright/model/target"
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

// partAnswer is what the emitted code took on a part: the figures of the text.
type partAnswer struct {
	Target   string           `json:"target"`
	Part     string           `json:"part"`
	Ticks    int              `json:"ticks"`
	Bits     int              `json:"differing_bits"`
	Worst    int              `json:"worst"` // of a tick, in Unit
	Mean     float64          `json:"mean"`
	Proven   *int             `json:"proven_worst"` // null where none is proven
	Unproven string           `json:"why_not_proven,omitempty"`
	Unit     string           `json:"unit"` // cycles or instructions
	Flash    int              `json:"flash"`
	RAM      int              `json:"ram"`
	Stack    int              `json:"stack"` // bytes, as flash and RAM
	Faults   []string         `json:"faults"`
	Finding  *finding.Finding `json:"finding,omitempty"` // where no worst tick is proven that could be
	mean     float64          // with all its digits
	good     bool
}

// on runs the emitted code on simulated parts and says what it takes there.
func (v verifier) on(u *model.Unit, parts []string, ticks int, seed uint64) error {
	v.line("%s: %s, seed %d", u.BaseName(), u.Spec.Name, seed)
	list, good := []partAnswer{}, true
	for _, name := range parts {
		m, r, err := v.onPart(u, name, ticks, seed)
		if err != nil {
			return failure{findings, err.Error()}
		}
		a := answerOn(name, m, r)
		if a.Proven == nil {
			a.Finding = unproven(u, a.Unproven)
		}
		for _, f := range a.Faults {
			v.line("\n%s: %s", name, f)
		}
		list, good = append(list, a), good && a.good
	}
	if v.json {
		err := encode(v.p, struct {
			answer
			Seed  uint64       `json:"seed"`
			Parts []partAnswer `json:"parts"`
		}{answerOf(u, good), seed, list})
		if err != nil {
			return err
		}
	} else {
		v.printOn(list, good)
	}
	if !good {
		return failure{code: findings}
	}
	return nil
}

func answerOn(name string, m target.Measured, r *trial.Result) partAnswer {
	a := partAnswer{Target: name, Part: m.Part, Ticks: m.Ticks, Worst: m.Worst, Mean: math.Round(m.Mean*10) / 10, Unit: m.Unit,
		Flash: m.Flash, RAM: m.RAM, Stack: m.Stack, Faults: []string{}, mean: m.Mean, good: r.OK()}
	if m.Proven > 0 {
		a.Proven = &m.Proven
	} else {
		a.Unproven = m.Unproven
	}
	for _, k := range r.Kinds {
		a.Bits += k.Same.Bits
		for _, f := range k.Faults {
			a.Faults = append(a.Faults, f.String())
		}
	}
	return a
}

func (v verifier) printOn(list []partAnswer, good bool) {
	var rows [][]string
	for _, a := range list {
		proven := "none, see below"
		if a.Unit != string(kinds.Cycles) {
			proven = "" // it is proven where each instruction takes a known time
		}
		if a.Proven != nil {
			proven = fmt.Sprint(*a.Proven)
		}
		rows = append(rows, []string{a.Target, a.Part, fmt.Sprint(a.Ticks), fmt.Sprint(a.Bits), fmt.Sprint(a.Worst), fmt.Sprintf("%.0f", a.mean), proven, a.Unit,
			fmt.Sprint(a.Flash), fmt.Sprint(a.RAM), fmt.Sprint(a.Stack)})
	}
	v.p.heading("The emitted C on simulated parts, bit for bit against the integer program")
	v.p.table("target|part|>ticks|>differing bits|>worst tick|>mean|>proven worst|of|>flash|>RAM|>stack", rows)
	v.p.line("  Flash, RAM and stack in bytes. Proven worst: the longest path through the machine code of a tick.")
	for _, a := range list {
		if a.Finding != nil {
			v.p.findings(finding.List{*a.Finding})
		}
	}
	v.p.line("")
	warned := slices.ContainsFunc(list, func(a partAnswer) bool { return a.Finding != nil })
	if good && warned {
		v.p.line("%s", v.p.tint("1;33", "The same bits on every part; but look at the warning above."))
	} else if good {
		v.p.line("%s", v.p.tint("1;32", "Good: the same bits on every part."))
	} else {
		v.p.line("%s", v.p.tint("1;31", "Not good: see above."))
	}
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
	f := finding.Finding{Pos: at, Severity: finding.Warning, Rule: "worst-not-proven", Message: "no worst tick is proven on avr8: the worst of those run is all that is known",
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
