package scale_test

import (
	"math/big"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

const oneInput = "controller: c\nrate: 100 Hz\ninputs:\n  a: {raw: int16, unit: m, counts_per_unit: 1}\nsteps:\n"

// TestThresholdBetweenCounts: a number to compare with keeps its value where the signal is counted more coarsely: only
// the counts 1 to 3 lie in [0.4, 3.3].
func TestThresholdBetweenCounts(t *testing.T) {
	u := compile(t, oneInput+"  y: {kind: window, of: a, limits: [0.4, 3.3]}\n  held: {kind: hold, of: a, when: y}\noutputs:\n  o: {from: held, raw: int16, unit: m}\n")
	m := program.NewFixedMachine(u.Integer)
	want := int64(0)
	for _, a := range []int64{0, 1, 0, 3, 4, 2, -1, 0} {
		m.Tick([]int64{a}, nil)
		if a >= 1 && a <= 3 {
			want = a
		}
		if got := m.Values[u.Integer.Outputs[0].Value]; got != want {
			t.Errorf("after %d m the output holds %d, %d is expected", a, got, want)
		}
	}
}

// TestStartInUnits: both programs start at the same value, in counts and in units.
func TestStartInUnits(t *testing.T) {
	u := compile(t, strings.Replace(oneInput, "unit: m", "unit: m/s", 1)+"  y: {kind: integrate, of: a, limits: [-9, 30], start: 22.5}\noutputs:\n  o: {from: y, raw: int16, unit: m, counts_per_unit: 100}\n")
	for n, s := range u.Integer.States {
		start := new(big.Rat).Mul(s.Start, s.LSB)
		if real := u.Stored.States[s.Real].Start; real.Cmp(start) != 0 || real.Cmp(big.NewRat(45, 2)) != 0 {
			t.Errorf("state %d starts at %s and %s, 22.5 is asked for", n, start.FloatString(3), real.FloatString(3))
		}
	}
}

// TestAccuracyMakesFiner: 16 bits give the signal steps of 1; an accuracy of a thousandth takes finer ones.
func TestAccuracyMakesFiner(t *testing.T) {
	u := compile(t, oneInput+"  y: {kind: low_pass, of: a, cutoff: 3 Hz}\n  z: {kind: low_pass, of: y, cutoff: 3 Hz}\noutputs:\n  o: {from: z, raw: int16, unit: m}\naccuracy: {y: 0.001 m}\n")
	for _, s := range u.Integer.Sections {
		for _, sig := range s.Signals {
			if lsb := u.Integer.Ops[sig.Value].LSB; sig.Name == "y" && lsb.Cmp(big.NewRat(1, 1000)) > 0 {
				t.Errorf("y is counted in %s m", lsb.FloatString(6))
			}
		}
	}
}

// TestConstantsKeepEightBits: no constant is stored with an error of more than 1 in 512.
func TestConstantsKeepEightBits(t *testing.T) {
	for name, text := range specs(t) {
		for _, c := range compile(t, text).Constants {
			off := new(big.Rat).Sub(c.Stored, c.Asked)
			if off.Abs(off).Cmp(new(big.Rat).Abs(new(big.Rat).Quo(c.Asked, big.NewRat(512, 1)))) > 0 && !c.Live {
				t.Errorf("%s: %s is %s, stored as %s", name, c.Name, c.Asked.FloatString(9), c.Stored.FloatString(9))
			}
		}
	}
}

// TestAngleTooWide: sides that the arctangent does not take are a finding with its remedy, not a certificate refused.
func TestAngleTooWide(t *testing.T) {
	u := model.Compile("spec.yaml", []byte("controller: c\nrate: 100 Hz\ninputs:\n  a: {raw: int32, unit: m, counts_per_unit: 1}\n  b: {raw: int32, unit: m, counts_per_unit: 1}\n"+
		"steps:\n  y: {kind: angle, of: [a, b]}\noutputs:\n  o: {from: y, raw: int16, unit: deg}\n"))
	if len(u.Findings) == 0 || u.Findings[0].Rule != "angle-too-wide" {
		t.Errorf("%v", u.Findings)
	}
}
