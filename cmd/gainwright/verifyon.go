package main

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/gen/target"
	"gainwright/model"
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
	var rows [][]string
	bad := 0
	for _, name := range parts {
		m, r, err := v.onPart(u, name, ticks, seed)
		if err != nil {
			return failure{findings, err.Error()}
		}
		differ := 0
		for _, k := range r.Kinds {
			differ += k.Same.Bits
			for _, f := range k.Faults {
				v.p.line("\n%s: %s", name, f)
			}
		}
		if !r.OK() {
			bad++
		}
		proven := m.Unproven
		if m.Proven > 0 {
			proven = fmt.Sprint(m.Proven)
		}
		rows = append(rows, []string{name, m.Part, fmt.Sprint(m.Ticks), fmt.Sprint(differ), fmt.Sprint(m.Worst), fmt.Sprintf("%.0f", m.Mean), proven, m.Unit,
			fmt.Sprint(m.Flash), fmt.Sprint(m.RAM), fmt.Sprint(m.Stack)})
	}
	v.p.heading("The emitted C on simulated parts, bit for bit against the integer program")
	v.p.table("target|part|>ticks|>differing bits|>worst tick|>mean|>proven worst|of|>flash|>RAM|>stack", rows)
	v.p.line("  Flash, RAM and stack in bytes. Proven worst: the longest path through the machine code of a tick.")
	v.p.line("")
	if bad > 0 {
		v.p.line("%s", v.p.tint("1;31", "Not good: see above."))
		return failure{code: findings}
	}
	v.p.line("%s", v.p.tint("1;32", "Good: the same bits on every part."))
	return nil
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
