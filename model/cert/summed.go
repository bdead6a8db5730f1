package cert

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// A state may be said to be the sum of others, at every tick: claims of the third kind. No box of it is inductive, since each tick adds what comes in and takes off
// what goes out. It is proven by algebra: it is so at the start, after a reset, and after an update wherever it was before; and all of them are updated, kept and
// reset together. Then it lies in the sum of the ranges of those states. Where both programs keep the sum, it is as far apart in them as those states are together.

// checkSums verifies what a program says of sums.
func checkSums(p program.View) error {
	for n, s := range p.States {
		if len(s.SumOf) == 0 {
			continue
		}
		wrong := fmt.Errorf("state %s is not proven to be the sum that it is said to be", s.Name)
		clock := p.At(s.Section)
		total, next, reset := new(big.Rat), lineOf(p, s.Next, clock), affine.Constant(new(big.Rat))
		before := affine.Symbol(stateSymbol(n))
		if s.Reset != program.None {
			reset = lineOf(p, s.ResetTo, clock)
		}
		for i, at := range s.SumOf {
			if at < 0 || at >= len(p.States) || at == n || slices.Contains(s.SumOf[:i], at) {
				return wrong
			}
			place := p.States[at]
			if place.Section != s.Section || place.Bool || s.Bool || place.Latch || s.Latch || len(place.SumOf) > 0 || place.Enable != s.Enable || place.Reset != s.Reset {
				return wrong
			}
			total.Add(total, place.Start)
			next, before = next.Sub(lineOf(p, place.Next, clock)), before.Sub(affine.Symbol(stateSymbol(at)))
			if s.Reset != program.None {
				reset = reset.Sub(lineOf(p, place.ResetTo, clock))
			}
		}
		if !equal(total, s.Start) || !next.Equal(before) || !reset.Equal(affine.Constant(new(big.Rat))) {
			return wrong
		}
	}
	return nil
}

// stateSymbol is the symbol of a state as a tick starts, below those of values.
func stateSymbol(n int) int { return -1 - n }

// lineOf is a value of either program as a sum of states and of values that are no sums, each times a constant; what is computed by another clock, and may be
// of an earlier tick, is no sum.
func lineOf(p program.View, id program.ID, clock program.Clock) affine.Form {
	op := p.Ops[id]
	if p.ClockOf(id) != clock {
		return affine.Symbol(int(id))
	}
	arg := func(i int) affine.Form { return lineOf(p, op.Args[i], clock) }
	switch op.Kind {
	case program.State:
		return affine.Symbol(stateSymbol(op.Index))
	case program.Add:
		return arg(0).Add(arg(1))
	case program.Sub:
		return arg(0).Sub(arg(1))
	case program.Scale:
		return arg(0).Scale(op.K)
	}
	return affine.Symbol(int(id))
}

// checkSumsAlike verifies that a state of the integer program is the sum of those whose real ones make its real one, in one format.
func checkSumsAlike(stored *program.Real, integer *program.Fixed) error {
	for _, s := range integer.States {
		var real []int
		for _, at := range s.SumOf {
			if !equal(integer.States[at].LSB, s.LSB) {
				return fmt.Errorf("state %s is the sum of numbers in other formats", s.Name)
			}
			real = append(real, integer.States[at].Real)
		}
		if !slices.Equal(real, stored.States[s.Real].SumOf) {
			return fmt.Errorf("state %s is another sum than in the real program", s.Name)
		}
	}
	return nil
}

// added is the sum of what is claimed of the states that a state is the sum of; nil where of one nothing is.
func added(claims []*interval.Range, places []int) *interval.Range {
	r := interval.Point(new(big.Rat))
	for _, at := range places {
		if claims[at] == nil {
			return nil
		}
		r = r.Add(*claims[at])
	}
	return &r
}
