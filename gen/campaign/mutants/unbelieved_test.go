package mutants

import (
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"gainwright/gen/c"
	"gainwright/model/program"
)

// TestUnbelieved: 37 degrees less the filtered reading is 4736 counts less at least -27201 while a reading of 640 counts or more is believed: a sixth of
// that and five sixths of -32768. That has 16 bits, and without belief nothing is made from it: in ticks from any state, with any input, it makes no
// difference where 2^16 is taken off what has more.
func TestUnbelieved(t *testing.T) {
	u, _, _ := generated(t, "incubator")
	p := u.Integer
	narrow := *p
	narrow.Ops = slices.Clone(p.Ops)
	e := slices.Index(c.Locals(u), "heat_error")
	target := p.Ops[e].Args[0]
	narrow.Ops[target].K = new(big.Rat).Sub(p.Ops[target].K, big.NewRat(1<<16, 1))
	for id, op := range p.Ops {
		if id != e && slices.Contains(op.Args, target) || p.Ops[target].Kind != program.Const {
			t.Fatalf("%s is more than what the error is taken from", p.Ops[target].Name)
		}
	}
	last := slices.IndexFunc(p.States, func(s program.FixedState) bool { return s.Name == "believed_last" })
	rng := rand.New(rand.NewPCG(1, 1))
	anywhere := func(lo, hi int64) int64 {
		switch rng.IntN(4) {
		case 0:
			return lo
		case 1:
			return hi
		}
		return lo + rng.Int64N(hi-lo+1)
	}
	one, other := program.NewFixedMachine(p), program.NewFixedMachine(&narrow)
	in, coefs, seen := make([]int64, len(p.Inputs)), make([]int64, len(p.Coefs)), 0
	for range 300_000 {
		for i, s := range p.States {
			one.State[i] = anywhere(s.Lo, s.Hi)
		}
		if in[0] = anywhere(p.Inputs[0].Type.Range()); rng.IntN(2) == 0 { // mostly a reading that can be believed, beside the last
			in[0] = anywhere(640, 7680)
			one.State[last] = in[0]
		}
		copy(other.State, one.State)
		for i, k := range p.Coefs {
			coefs[i] = k.Setter.Apply(anywhere(k.Setter.XLo, k.Setter.XHi))
		}
		if one.Tick(in, coefs); one.Values[e] <= math.MaxInt16 {
			continue
		}
		seen++
		other.Tick(in, coefs)
		same := slices.Equal(one.State, other.State)
		for _, o := range p.Outputs {
			same = same && one.Values[o.Value] == other.Values[o.Value]
		}
		if !same {
			t.Fatalf("%v, %v: an error of %d is used", in, one.State, one.Values[e])
		}
	}
	if seen < 1000 {
		t.Errorf("%d ticks with a large error show nothing", seen)
	}
}
