package model_test

import (
	"fmt"
	"testing"

	"gainwright/model"
	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/formats"
	"gainwright/model/program"
)

// quotient is a controller whose step y is a over what is limited to be far from 0, with a format found for it.
func quotient(t *testing.T, counts [3]string, limits string) (asked *program.Real, r *formats.Result, y program.ID) {
	t.Helper()
	u := model.Compile("quotient.yaml", fmt.Appendf(nil, `controller: quotient
rate: 10 Hz
inputs:
  a: {raw: int8, unit: m, counts_per_unit: %s}
  b: {raw: int8, unit: m, counts_per_unit: %s}
steps:
  away: {kind: clamp, of: b, limits: [%s]}
  y: {kind: sum, of: {a: 1, away: 1}}
outputs:
  o: {from: y, raw: int32, unit: m, counts_per_unit: %s}
`, counts[0], counts[1], limits, counts[2]))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	asked = u.Asked.Clone()
	for i := range asked.Ops {
		if op := &asked.Ops[i]; op.Kind == program.Add && asked.Sections[op.Section].Name == "y" {
			op.Kind, y = program.Quotient, program.ID(i)
			for n, a := range op.Args { // what Align put between
				if asked.Ops[a].Change {
					op.Args[n] = asked.Ops[a].Args[0]
				}
			}
		}
	}
	if asked.Ops[y].Kind != program.Quotient {
		t.Fatal("no sum to make a quotient of")
	}
	asked = formats.Align(u.Spec, asked)
	far, near, err := formats.Reach(asked)
	if err != nil {
		return asked, nil, y
	}
	found, findings := formats.Find(formats.Request{Spec: u.Spec, Asked: asked, Reach: far, Declared: near})
	if findings.Failed() {
		t.Fatal(findings)
	}
	return asked, &found, y
}

// TestQuotientsOfSignals: a quotient of two signals gets a format of its own, whatever each of them is counted in, and what is proven of it and of
// what it is handed on to holds for all pairs of raw values of 8 bits.
func TestQuotientsOfSignals(t *testing.T) {
	for _, v := range []struct {
		counts [3]string
		limits string
	}{{[3]string{"4", "4", "1"}, "1, 20"}, {[3]string{"10", "3", "200"}, "-30, -2"}, {[3]string{"131/7", "100/9", "3/2"}, "1, 9"}} {
		_, r, y := quotient(t, v.counts, v.limits)
		if r == nil {
			t.Fatalf("%v: no ranges", v)
		}
		if err := r.Integer.Verify(); err != nil {
			t.Error(err)
		}
		var err error
		if r.Certificate.Chain, _, err = bound.Whole(r.Stored, r.Integer, r.Certificate.Ops); err != nil {
			t.Fatal(err)
		}
		if err := cert.Check(r.Stored, r.Integer, r.Certificate); err != nil {
			t.Errorf("%v: %v", v, err)
		}
		whole, real := program.NewFixedMachine(r.Integer), program.NewRealMachine(r.Stored)
		in, most := make([]float64, 2), 0.0
		for a := int64(-128); a < 128; a++ {
			for b := int64(-128); b < 128; b++ {
				for i, raw := range []int64{a, b} {
					lsb, _ := r.Stored.Inputs[i].LSB.Float64()
					in[i] = float64(raw) * lsb
				}
				whole.Tick([]int64{a, b}, nil)
				real.Tick(in, nil, nil)
				args := r.Stored.Ops[y].Args
				if exact := real.Values[args[0]] / real.Values[args[1]]; r.Stored.Ops[y].Kind == program.Quotient && real.Values[y] != exact {
					t.Fatalf("%v: the quotient of %v and %v is %v", v, real.Values[args[0]], real.Values[args[1]], real.Values[y])
				}
				for s, sec := range r.Integer.Sections {
					for j, sig := range sec.Signals {
						claim := r.Certificate.Chain.Signals[s][j]
						lsb, _ := r.Integer.Ops[sig.Value].LSB.Float64()
						off := float64(whole.Values[sig.Value])*lsb - real.Values[r.Stored.Sections[s].Signals[j].Value]
						if claim == nil || off < float(claim.Lo)-1e-9 || off > float(claim.Hi)+1e-9 {
							t.Fatalf("%v: %s is off by %v at %d and %d, %v is claimed", v, sig.Name, off, a, b, claim)
						}
						if sig.Name == "y" {
							most = max(most, off, -off, 0)
						}
					}
				}
			}
		}
		op := r.Integer.Ops[r.Integer.Sections[len(r.Integer.Sections)-2].Signals[0].Value]
		t.Logf("%v: off by %.3g at most, in counts of %v, %v", v, most, op.LSB, op.Type.Bits())
	}
}

// TestQuotientByWhatMayBeZero: no range is found, and so it is refused, where the limits of the divisor let 0 in.
func TestQuotientByWhatMayBeZero(t *testing.T) {
	for _, limits := range []string{"0, 20", "-3, 20", "-20, 0"} {
		if _, r, _ := quotient(t, [3]string{"4", "4", "1"}, limits); r != nil {
			t.Errorf("over what is in [%s]: accepted", limits)
		}
	}
}
