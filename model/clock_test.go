package model_test

import (
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/finding"
)

// benchOf are two slow loops beside a fast one; the clocks are those of the slow ones.
func benchOf(one, other string) string {
	return `controller: bench
rate: 1 kHz
target: avr8
inputs:
  speed: {raw: int16, unit: rpm, counts_per_unit: 8, range: [-3000, 3000]}
  warmth: {raw: int16, unit: degC, counts_per_unit: 64, range: [-20, 120]}
  depth: {raw: int16, unit: cm, counts_per_unit: 64, range: [0, 100]}
steps:
  spin: {kind: pid, target: 1000, measured: speed, kp: 0.1, ki: 0.5, unit: duty, limits: [-255, 255]}
  heat: {kind: pid, target: 60, measured: warmth, kp: 2, ki: 0.5, unit: duty, limits: [0, 255]` + one + `}
  fill: {kind: pid, target: 40, measured: depth, kp: 2, ki: 0.5, unit: duty, limits: [0, 255]` + other + `}
outputs:
  motor: {from: spin, raw: int16, unit: duty, limits: [-255, 255]}
  heater: {from: heat, raw: int16, unit: duty, limits: [0, 255]}
  pump: {from: fill, raw: int16, unit: duty, limits: [0, 255]}
`
}

// TestPhasesAreProposed: where slow steps meet and other phases keep them apart, these are proposed; what is proposed is written, and then nothing more is.
func TestPhasesAreProposed(t *testing.T) {
	proposed := func(one, other string) *finding.Finding {
		u := model.Compile("bench.yaml", []byte(benchOf(one, other)))
		if !u.OK() || (u.Cost.Later == nil) != (one == "" && other == "") {
			t.Fatal(u.Findings, u.Cost.Later)
		}
		if l := u.Cost.Later; l != nil && (l.Worst > u.Cost.Total+1e-6 || l.Mean >= l.Worst) {
			t.Errorf("%s %s: a mean of %v, the worst later tick %v, the first %v", one, other, l.Mean, l.Worst, u.Cost.Total)
		}
		for i := range u.Findings {
			if f := &u.Findings[i]; f.Rule == "phases-meet" {
				return f
			}
		}
		return nil
	}
	const every = ", every: 4 ticks"
	f := proposed(every, every)
	if f == nil {
		t.Fatal("two loops that meet in each fourth tick: nothing is proposed")
	}
	text, step, is := strings.Cut(f.Remedy, ", at the step ")
	if !is || f.Severity != finding.Note {
		t.Fatalf("%v", f)
	}
	written := map[string]string{"heat": every, "fill": every}
	written[step] += ", " + text
	if again := proposed(written["heat"], written["fill"]); again != nil {
		t.Errorf("written as proposed, there is more: %v", again)
	}
	if f := proposed(", every: 3 ticks", ", every: 4 ticks"); f != nil {
		t.Errorf("loops of 3 and 4 ticks meet at whatever phase: %v", f)
	}
	if f := proposed("", ""); f != nil {
		t.Errorf("no step is slower: %v", f)
	}
}
