package cert

import (
	"math/big"
	"testing"

	"gainwright/model/program"
)

// TestStartsAnywhere: a state of a part that has claims of the second kind, in any of the three claims, may not be kept; the
// neighbour in another part may.
func TestStartsAnywhere(t *testing.T) {
	p := &program.Fixed{Frame: program.Frame{Sections: []program.Section{{Name: "filter", Kind: "second_order"}, {Name: "notch", Kind: "second_order"}, {Name: "push", Kind: "pid"}}}}
	for s := range p.Sections {
		n := len(p.Ops)
		p.Ops = append(p.Ops, program.FixedOp{Op: program.Op{Kind: program.State, Index: s, Section: s}})
		if s == 1 { // the notch joins the filter that it reads
			p.Ops = append(p.Ops, program.FixedOp{Op: program.Op{Kind: program.Add, Args: []program.ID{0, program.ID(n)}, Section: s}})
		}
		if s == 2 {
			p.Ops = append(p.Ops, program.FixedOp{Op: program.Op{Kind: program.Clamp, Args: []program.ID{program.ID(n), 0, 0}, Section: s}})
		}
		p.States = append(p.States, program.FixedState{StateInfo: program.StateInfo{Section: s, Start: new(big.Rat), Next: program.ID(len(p.Ops) - 1), Enable: program.None, Reset: program.None}})
	}
	for _, k := range []struct {
		c    Certificate
		want [3]bool
	}{
		{Certificate{}, [3]bool{true, true, true}},
		{Certificate{Taps: []int{50}}, [3]bool{false, false, true}},
		{Certificate{Taps: []int{0, 50, 0}}, [3]bool{false, false, true}},
		{Certificate{Local: Errors{Taps: []int{0, 0, 50}}}, [3]bool{true, true, false}},
		{Certificate{Chain: Errors{Taps: []int{50, -1, 0}}}, [3]bool{false, false, true}},
		{Certificate{Asked: Errors{Taps: []int{50, 50, 50}}}, [3]bool{false, false, true}}, // the last one is limited
	} {
		for n, want := range k.want {
			if got := StartsAnywhere(p, &k.c, n); got != want {
				t.Errorf("%+v: state %d may start anywhere: %v, want %v", k.c, n, got, want)
			}
		}
	}
}

// TestLatchesAreChecked: a latch that is one in one program alone is refused, and so is one whose start a claim rests on.
func TestLatchesAreChecked(t *testing.T) {
	frame := program.Frame{Sections: []program.Section{{Name: "filter"}}}
	state := func(latch bool) program.StateInfo {
		return program.StateInfo{Name: "trip", Latch: latch, Start: new(big.Rat)}
	}
	op := program.Op{Kind: program.State}
	for _, k := range []struct {
		stored, integer bool
		c               Certificate
		ok              bool
	}{
		{true, true, Certificate{}, true},
		{true, false, Certificate{}, false},
		{false, true, Certificate{}, false},
		{true, true, Certificate{Taps: []int{50}}, false},
		{false, false, Certificate{Taps: []int{50}}, true},
	} {
		if err := checkLatches(&program.Real{Frame: frame, Ops: []program.RealOp{{Op: op}}, States: []program.RealState{{StateInfo: state(k.stored)}}},
			&program.Fixed{Frame: frame, Ops: []program.FixedOp{{Op: op}}, States: []program.FixedState{{StateInfo: state(k.integer)}}}, &k.c); (err == nil) != k.ok {
			t.Errorf("%+v: %v", k, err)
		}
	}
}
