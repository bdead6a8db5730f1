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
	op := func(kind program.Kind, lsb *big.Rat, real program.ID, args ...program.ID) program.Op {
		return program.Op{Kind: kind, LSB: lsb, Real: real, Args: args, Bool: kind == program.Less}
	}
	state := func(next, enable program.ID, lsb *big.Rat, real int) program.StateInfo {
		return program.StateInfo{Next: next, Enable: enable, LSB: lsb, Real: real, Start: new(big.Rat), Reset: program.None, ResetTo: program.None}
	}
	show := func(value program.ID) []program.Section {
		return []program.Section{{Signals: []program.Signal{{Name: "follower", Value: value}}}}
	}
	follower := op(program.State, one, 2)
	follower.Index = 1
	integer := &program.Program{Sections: show(3), Inputs: []program.InputInfo{{Type: program.I16, LSB: quarter}},
		Ops: []program.Op{op(program.Input, quarter, 0), {Kind: program.Round, Shift: 2, LSB: one, Real: 0, Args: []program.ID{0}}, op(program.State, one, 1), follower,
			op(program.Add, one, 3, 2, 1), op(program.Less, one, 4, 0, 0)},
		States: []program.StateInfo{state(4, 5, one, 0), state(2, program.None, one, 1)}}
	realFollower := op(program.State, nil, 0)
	realFollower.Index = 1
	stored := &program.Program{Sections: show(2), Inputs: integer.Inputs,
		Ops:    []program.Op{op(program.Input, nil, 0), op(program.State, nil, 0), realFollower, op(program.Add, nil, 0, 1, 0), op(program.Less, nil, 0, 0, 0)},
		States: []program.StateInfo{state(3, 4, nil, 0), state(1, program.None, nil, 1)}}
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
