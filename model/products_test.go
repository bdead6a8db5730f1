package model_test

import (
	"fmt"
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/formats"
	"gainwright/model/program"
)

// TestProductsOfSignals: a product of two signals gets a format of its own, whatever each of them is counted in, and what is proven of it and of
// what it is handed on to holds for all pairs of raw values of 8 bits. A live gain beside it keeps its coefficient.
func TestProductsOfSignals(t *testing.T) {
	for _, counts := range [][3]string{{"4", "4", "1"}, {"10", "3", "2"}, {"131/7", "100/9", "3/2"}} {
		u := model.Compile("product.yaml", fmt.Appendf(nil, `controller: product
rate: 10 Hz
inputs:
  a: {raw: int8, unit: m, counts_per_unit: %s}
  b: {raw: int8, unit: m, counts_per_unit: %s}
steps:
  e: {kind: pid, target: 0, measured: a, kp: 2, limits: [-100, 100]}
  y: {kind: sum, of: {a: 1, b: 1}}
outputs:
  o: {from: y, raw: int16, unit: m, counts_per_unit: %s}
  p: {from: e, raw: int16, unit: m, counts_per_unit: 10}
tuning: {e.kp: [0, 4]}
`, counts[0], counts[1], counts[2]))
		if !u.OK() {
			t.Fatal(u.Findings)
		}
		asked := u.Asked.Clone()
		var product program.ID
		for i := range asked.Ops {
			if op := &asked.Ops[i]; op.Kind == program.Add && asked.Sections[op.Section].Name == "y" {
				op.Kind, product = program.Mul, program.ID(i)
				for n, a := range op.Args { // what Align put between
					if asked.Ops[a].Change {
						op.Args[n] = asked.Ops[a].Args[0]
					}
				}
			}
		}
		asked = formats.Align(u.Spec, asked)
		far, near, err := formats.Reach(asked)
		if err != nil {
			t.Fatal(err)
		}
		r, found := formats.Find(formats.Request{Spec: u.Spec, Asked: asked, Reach: far, Declared: near})
		if found.Failed() {
			t.Fatal(found)
		}
		if err := r.Integer.Verify(); err != nil {
			t.Error(err)
		}
		if r.Certificate.Chain, _, err = bound.Whole(r.Stored, r.Integer, r.Certificate.Ops); err != nil {
			t.Fatal(err)
		}
		if err := cert.Check(r.Stored, r.Integer, r.Certificate); err != nil {
			t.Errorf("%v: %v", counts, err)
		}
		whole, real := program.NewFixedMachine(r.Integer), program.NewRealMachine(r.Stored)
		in, coefs := make([]float64, 2), []float64{2}
		for a := int64(-128); a < 128; a++ {
			for b := int64(-128); b < 128; b++ {
				for i, raw := range []int64{a, b} {
					lsb, _ := r.Stored.Inputs[i].LSB.Float64()
					in[i] = float64(raw) * lsb
				}
				set := r.Integer.Coefs[0].Setter
				whole.Tick([]int64{a, b}, []int64{set.Apply(set.XStart)})
				real.Tick(in, coefs, nil)
				if exact := in[0] * in[1]; real.Values[product] != exact {
					t.Fatalf("%v: the product of %v and %v is %v", counts, in[0], in[1], real.Values[product])
				}
				for s, sec := range r.Integer.Sections {
					for j, sig := range sec.Signals {
						claim := r.Certificate.Local.Signals[s][j]
						lsb, _ := r.Integer.Ops[sig.Value].LSB.Float64()
						off := float64(whole.Values[sig.Value])*lsb - real.Values[r.Stored.Sections[s].Signals[j].Value]
						if sig.Name == "y" && (claim == nil || off < float(claim.Lo)-1e-9 || off > float(claim.Hi)+1e-9) {
							t.Fatalf("%v: %s is off by %v at %d and %d, %v is claimed", counts, sig.Name, off, a, b, claim)
						}
					}
				}
			}
		}
	}
}

func float(x *big.Rat) float64 {
	f, _ := x.Float64()
	return f
}
