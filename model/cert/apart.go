package cert

import (
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// apart is what is known of how far a value in one program is from the same value in another, in units.
type apart struct {
	known bool // false: nothing is known
	r     interval.Range
	turn  *big.Rat // not nil: the two values may lie on different sides of a circle's seam, and the difference is modulo this turn
}

// zero tells whether the two values are equal; a difference of 0 around a circle is no such thing.
func (g apart) zero() bool { return g.known && g.turn == nil && g.r.IsZero() }

// around is g on a circle; equal values stay equal on a line.
func (g apart) around(turn *big.Rat) apart {
	if turn != nil && !g.zero() {
		g.turn = turn
	}
	return g
}

// shown is g as what may be claimed: nil where nothing is known, or where it is known around another circle than the one that the value lives on.
func (g apart) shown(circle *big.Rat) (r *interval.Range, turn *big.Rat) {
	if !g.known || g.turn != nil && !equal(g.turn, circle) {
		return nil, nil
	}
	return &g.r, g.turn
}

// operands are what is known of an operation's arguments.
type operands struct {
	in    []apart
	known bool     // of all, around one circle at most
	same  bool     // all are equal in both programs
	turn  *big.Rat // of that circle
}

func operandsOf(in []apart) operands {
	o := operands{in: in, known: true, same: true}
	for _, g := range in {
		o.known, o.same = o.known && g.known, o.same && g.zero()
		if g.turn != nil {
			o.known = o.known && (o.turn == nil || equal(o.turn, g.turn))
			o.turn = g.turn
		}
	}
	return o
}

// equals is where both programs have the same value.
func equals() apart { return apart{known: true, r: interval.Point(new(big.Rat))} }

// exactly is the rule of what is the same in both programs.
func exactly(operands) apart { return equals() }

// unknown is the rule where nothing is known.
func unknown(operands) apart { return apart{} }

// limited is the rule of limits and extremes: none moves its values further apart than its arguments are.
func limited(o operands) apart {
	if !o.known || o.turn != nil {
		return apart{}
	}
	g := equals()
	for _, a := range o.in {
		g.r = g.r.Hull(a.r)
	}
	return g
}

// sized is the rule of sizes: their difference may have either sign.
func sized(o operands) apart {
	g := limited(o)
	if g.known {
		g.r = g.r.Hull(g.r.Neg())
	}
	return g
}

// decided is the rule of decisions: where an argument may differ, the two programs may decide differently.
func decided(o operands) apart {
	if !o.same {
		return apart{}
	}
	return equals()
}

// chosen is the rule of a choice that both programs make alike.
func chosen(o operands) apart {
	if !o.known || !o.in[0].zero() {
		return apart{}
	}
	return apart{true, o.in[1].r.Hull(o.in[2].r), o.turn}
}

// after is the difference that a tick, a reset or the start leads a state to; nil where nothing is known. circle is the turn of the circle
// that the state lives on, or nil; seen is what is known of a value.
func after(s *program.StateInfo, start interval.Range, circle *big.Rat, seen func(program.ID) apart) *interval.Range {
	around := false
	for _, id := range []program.ID{s.Next, s.ResetTo} {
		if id == program.None {
			continue
		}
		r, turn := seen(id).shown(circle)
		if r == nil {
			return nil
		}
		start, around = start.Hull(*r), around || turn != nil
	}
	for _, id := range []program.ID{s.Enable, s.Reset} {
		if id != program.None && !seen(id).zero() {
			return nil
		}
	}
	if around && start.IsZero() {
		return nil // a claim of 0 says equal, not equal but for whole turns
	}
	return &start
}

// circleOf is the turn of the circle that a state of a real program lives on, or nil: its next value is wrapped.
func circleOf(p *program.Real, n int) *big.Rat {
	if op := &p.Ops[p.States[n].Next]; op.Kind == program.Wrap {
		return op.K
	}
	return nil
}

// awayFromSeam tells whether neither value is ever as much as half a turn out, so that neither takes a turn off: one
// lies in its range, the other as far from it as the difference r says.
func awayFromSeam(value, r interval.Range, turn *big.Rat) bool {
	half := quo(turn, big.NewRat(2, 1))
	both := value.Hull(value.Sub(r))
	return both.Lo.Cmp(new(big.Rat).Neg(half)) >= 0 && both.Hi.Cmp(half) < 0
}
