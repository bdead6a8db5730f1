package trial

import (
	"math"
	"math/big"

	"gainwright/model"
	"gainwright/model/program"
)

// signal is a signal that is compared.
type signal struct {
	name, unit    string
	integer, real program.ID
	scale         scale
	local, chain  claim
	asked         claim   // against the program that was asked for
	now           float64 // the integer program's value in this tick, units
}

// claim is a bound that differences are held against.
type claim struct {
	claimed   bool
	bound     float64 // proven, rounded up
	allowance float64 // what float64 itself may add
	limit     float64 // both
	turn      float64 // of the circle around which differences are taken; 0: on a line
	unjudged  string  // why the differences are not held against the bound; empty: they are
}

// chainRule is the place among the rules of that against the whole real program.
const chainRule = 1

// rules are what a signal is held against: their names, and against what.
var rules = [3][2]string{
	{"local", "the real program fed with the integer program's signals"},
	{"chain", "the real program fed with the raw inputs"},
	{"asked", "the real program with the constants as asked, fed with the raw inputs"},
}

// claims are those of a signal by rule.
func (s *signal) claims() [3]*claim { return [3]*claim{&s.local, &s.chain, &s.asked} }

func newSignals(u *model.Unit, longest int) []signal {
	var out []signal
	local, chain := newAllowances(u, u.Stored, false, longest), newAllowances(u, u.Stored, true, longest)
	asked := newAllowances(u, u.Asked, true, longest)
	for _, b := range u.Bounds {
		sig, real := u.Integer.Sections[b.Section].Signals[b.Signal], u.Stored.Sections[b.Section].Signals[b.Signal]
		op := u.Integer.Ops[sig.Value]
		s := signal{name: sig.Name, unit: op.Unit, integer: sig.Value, real: real.Value, scale: newScale(op.LSB, op.Lo, op.Hi)}
		s.local = newClaim(b.Local, b.LocalTurn, local, b)
		s.chain = newClaim(b.Chain, b.ChainTurn, chain, b)
		if s.asked = newClaim(b.Asked, b.AskedTurn, asked, b); b.Asked == nil && sig.Angular != nil { // it is measured all the same
			s.asked.turn, _ = sig.Angular.Float64()
		}
		out = append(out, s)
	}
	return out
}

func newClaim(bound, turn *big.Rat, a *allowances, b model.Bound) claim {
	allowance, around := a.of(b.Section, b.Signal)
	if turn == nil { // where float64 cannot tell the sides of the seam, what is claimed on a line is judged around the circle
		turn = around
	}
	if bound == nil {
		return claim{}
	}
	c := claim{claimed: true, bound: up(bound), allowance: allowance}
	if turn != nil {
		c.turn, _ = turn.Float64()
	}
	c.limit = c.bound + 2*epsilon*c.bound + c.allowance // two roundings of the difference and of this sum
	if math.IsInf(c.limit, 0) || math.IsNaN(c.limit) {
		c.unjudged = "float64 cannot tell how the real program decides"
		c.allowance, c.limit = 0, math.Inf(1)
	}
	return c
}

func (c claim) difference() Difference {
	return Difference{Claimed: c.claimed, Bound: c.bound, Unjudged: c.unjudged, Turn: c.turn}
}

// scale turns counts into units.
type scale struct {
	num, den, lsb float64
	exact         bool // the result is the float64 nearest to the exact value
}

// newScale is for counts in [lo, hi]. Where the numerator fits, one division rounds once; else two roundings
// of the unit and the product are made.
func newScale(lsb *big.Rat, lo, hi int64) scale {
	s := scale{}
	s.num, _ = new(big.Float).SetInt(lsb.Num()).Float64()
	s.den, _ = new(big.Float).SetInt(lsb.Denom()).Float64()
	s.lsb, _ = lsb.Float64()
	most := new(big.Int).SetInt64(max(hi, -lo))
	s.exact = most.Mul(most, lsb.Num()).BitLen() <= 50 && lsb.Denom().BitLen() <= 53
	return s
}

func (s *scale) units(counts int64) float64 {
	if s.exact {
		return float64(counts) * s.num / s.den
	}
	return float64(counts) * s.lsb
}

// up is x, not rounded down.
func up(x *big.Rat) float64 {
	f, exact := x.Float64()
	if !exact {
		f = math.Nextafter(f, math.Inf(1))
	}
	return f
}
