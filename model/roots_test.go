package model_test

import (
	"fmt"
	"math"
	"testing"

	"gainwright/model"
	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/formats"
	"gainwright/model/program"
)

// TestRootsOfSignals: a root of a signal gets a format of its own, whatever the signal and the output are counted in, and what is proven of it and of what it is
// handed on to holds for all raw values.
func TestRootsOfSignals(t *testing.T) {
	for _, counts := range [][2]string{{"4", "1"}, {"10", "200"}, {"131/7", "100/9"}, {"0.25", "1000"}, {"200", "3/2"}} {
		u := model.Compile("root.yaml", fmt.Appendf(nil, `controller: root
rate: 10 Hz
inputs:
  a: {raw: int16, unit: m, counts_per_unit: %s}
steps:
  y: {kind: formula, value: "abs(a)", unit: m}
outputs:
  o: {from: y, raw: int32, unit: m, counts_per_unit: %s}
`, counts[0], counts[1]))
		if !u.OK() {
			t.Fatal(u.Findings)
		}
		asked, y := u.Asked.Clone(), program.None
		for i := range asked.Ops {
			if op := &asked.Ops[i]; op.Kind == program.Abs {
				op.Kind, y = program.Root, program.ID(i)
				for asked.Ops[op.Args[0]].Change { // what Align put between
					op.Args[0] = asked.Ops[op.Args[0]].Args[0]
				}
			}
		}
		if y == program.None {
			t.Fatal("nothing to make a root of")
		}
		asked = formats.Align(u.Spec, asked)
		far, near, none := formats.Reach(asked)
		if none != nil {
			t.Fatal(none)
		}
		r, findings := formats.Find(formats.Request{Spec: u.Spec, Asked: asked, Reach: far, Declared: near})
		if findings.Failed() {
			t.Fatal(findings)
		}
		if err := r.Integer.Verify(); err != nil {
			t.Error(err)
		}
		var err error
		if r.Certificate.Chain, _, err = bound.Whole(r.Stored, r.Integer, r.Certificate.Ops); err != nil {
			t.Fatal(err)
		}
		if err := cert.Check(r.Stored, r.Integer, r.Certificate); err != nil {
			t.Errorf("%v: %v", counts, err)
		}
		whole, real := program.NewFixedMachine(r.Integer), program.NewRealMachine(r.Stored)
		lsb, _ := r.Stored.Inputs[0].LSB.Float64()
		most := 0.0
		for a := int64(-32768); a < 32768; a++ {
			whole.Tick([]int64{a}, nil)
			real.Tick([]float64{float64(a) * lsb}, nil, nil)
			for s, sec := range r.Integer.Sections {
				for j, sig := range sec.Signals {
					claim := r.Certificate.Chain.Signals[s][j]
					count, _ := r.Integer.Ops[sig.Value].LSB.Float64()
					off := float64(whole.Values[sig.Value])*count - real.Values[r.Stored.Sections[s].Signals[j].Value]
					if claim == nil || off < float(claim.Lo)-1e-9 || off > float(claim.Hi)+1e-9 {
						t.Fatalf("%v: %s is off by %v at %d, %v is claimed", counts, sig.Name, off, a, claim)
					}
					if sig.Name == "y" {
						most = max(most, math.Abs(off))
					}
				}
			}
		}
		for i, op := range r.Integer.Ops {
			if op.Kind == program.Root {
				t.Logf("%v: off by %.3g at most, in counts of %v, %v bits, of %v bits", counts, most, op.LSB, op.Type.Bits(), r.Integer.Ops[r.Integer.Ops[i].Args[0]].Type.Bits())
			}
		}
	}
}
