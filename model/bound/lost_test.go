package bound_test

import (
	"math/big"
	"testing"

	"gainwright/model/bound"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// TestLostDifference: a sum of rounded values drifts away from the real one without end, and so does a state that only follows
// it: nothing is said of the signal that shows that one.
func TestLostDifference(t *testing.T) {
	one, quarter := big.NewRat(1, 1), big.NewRat(1, 4)
	op := func(kind program.Kind, lsb *big.Rat, real program.ID, args ...program.ID) program.FixedOp {
		return program.FixedOp{Op: program.Op{Kind: kind, Args: args, Bool: kind == program.Less}, LSB: lsb, Real: real}
	}
	state := func(next, enable program.ID, lsb *big.Rat, real int) program.FixedState {
		return program.FixedState{StateInfo: program.StateInfo{Next: next, Enable: enable, Start: new(big.Rat), Reset: program.None, ResetTo: program.None}, LSB: lsb, Real: real}
	}
	show := func(value program.ID) []program.Section {
		return []program.Section{{Signals: []program.Signal{{Name: "follower", Value: value}}}}
	}
	follower := op(program.State, one, 2)
	follower.Index = 1
	integer := &program.Fixed{Frame: program.Frame{Sections: show(3), Inputs: []program.InputInfo{{Type: program.I16, LSB: quarter}}},
		Ops: []program.FixedOp{op(program.Input, quarter, 0), {Op: program.Op{Kind: program.Round, Args: []program.ID{0}}, Shift: 2, LSB: one, Real: 0}, op(program.State, one, 1), follower,
			op(program.Add, one, 3, 2, 1), op(program.Less, one, 4, 0, 0)},
		States: []program.FixedState{state(4, 5, one, 0), state(2, program.None, one, 1)}}
	realFollower := op(program.State, nil, 0).Op
	realFollower.Index = 1
	real := func(op program.Op) program.RealOp { return program.RealOp{Op: op} }
	stored := &program.Real{Frame: program.Frame{Sections: show(2), Inputs: integer.Inputs},
		Ops:    []program.RealOp{real(op(program.Input, nil, 0).Op), real(op(program.State, nil, 0).Op), real(realFollower), real(op(program.Add, nil, 0, 1, 0).Op), real(op(program.Less, nil, 0, 0, 0).Op)},
		States: []program.RealState{{StateInfo: state(3, 4, nil, 0).StateInfo}, {StateInfo: state(1, program.None, nil, 1).StateInfo}}}
	ranges := make([]interval.Range, len(integer.Ops))
	for i := range ranges {
		ranges[i] = interval.Ints(-1<<20, 1<<20)
	}
	found, _, err := bound.Differences(stored, integer, ranges, false)
	if err != nil {
		t.Fatal(err)
	}
	if found.States[0] != nil || found.States[1] != nil {
		t.Errorf("the states are said to stay within %v and %v", found.States[0], found.States[1])
	}
	if r := found.Signals[0][0]; r != nil {
		t.Errorf("the follower is said to stay within [%v, %v]", r.Lo, r.Hi)
	}
}
