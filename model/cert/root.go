package cert

import (
	"math/big"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// The rules of a square root, of 0 where the argument is less. In integers it is the whole number next to it: at most half a count off. One count of
// the argument is the square of one of the root. Roots of rational numbers are bounded from both sides by rational ones.
func init() {
	const kind = program.Root
	shapes[kind] = &shape{args: 1, within: inside62}
	translationRules[kind] = func(t *translation, _ program.ID, op *program.FixedOp, _ *program.RealOp) error {
		return unless(equal(t.lsb(op, 0), mul(op.LSB, op.LSB)), "a count of the argument is not the square of one of the root")
	}
	rangeRules[kind] = func(o *evaluated) (interval.Range, affine.Form) {
		a := o.arg(0)
		if o.fixed != nil {
			nearest := func(x *big.Rat) *big.Rat { return whole(program.NearestRoot(interval.Floor(x).Int64())) }
			in, ok := a.Meet(inside62)
			if !ok {
				in = inside62 // refused by its shape
			}
			return interval.Range{Lo: nearest(in.Lo), Hi: nearest(in.Hi)}, o.own()
		}
		return interval.Range{Lo: rootBelow(a.Lo), Hi: rootAbove(a.Hi)}, o.own()
	}
	differenceRules[kind] = func(o *beside) gap {
		if !o.known || o.turn != nil {
			return gap{}
		}
		half := mul(o.op.LSB, big.NewRat(1, 2))
		r := rootsApart(o.units(0), o.in[0].r)
		return fresh(o.id, apart{known: true, r: r.Add(interval.Range{Lo: new(big.Rat).Neg(half), Hi: half})})
	}
	driftRules[kind] = driftRule{nil, func(o *drifting) apart {
		if !o.known || o.turn != nil {
			return apart{}
		}
		a, ok := o.ranged(o.op.Args[0])
		if !ok {
			a = interval.Point(new(big.Rat)) // nothing is known of it: the steepest place is taken
		}
		return apart{known: true, r: rootsApart(a, o.in[0].r)}
	}}
}

// rootsApart is where root(x) - root(x-e) lies, with x in a: for e > 0 it is in [0, min(root(e), e/(root(x) + root(x-e)))], and turned round for e < 0. Both
// roots are of 0 where the argument is less, which moves them no further apart.
func rootsApart(a, e interval.Range) interval.Range {
	other := a.Sub(e)
	below := new(big.Rat).Add(rootBelow(a.Lo), rootBelow(other.Lo))
	most := func(e *big.Rat) *big.Rat {
		if e.Sign() <= 0 {
			return new(big.Rat)
		}
		r := rootAbove(e)
		if below.Sign() > 0 {
			r = interval.Min(r, quo(e, below))
		}
		return r
	}
	return interval.Range{Lo: new(big.Rat).Neg(most(new(big.Rat).Neg(e.Lo))), Hi: most(e.Hi)}
}

// rootBits are bits behind the point of the bounds of a root, in terms of the denominator.
const rootBits = 48

// rootBelow is at most the root of max(x, 0): with x = p/q it is the root of p*q*4^n, rounded down, over q*2^n.
func rootBelow(x *big.Rat) *big.Rat {
	if x.Sign() <= 0 {
		return new(big.Rat)
	}
	n := new(big.Int).Mul(x.Num(), x.Denom())
	n.Sqrt(n.Lsh(n, 2*rootBits))
	return new(big.Rat).SetFrac(n, new(big.Int).Lsh(x.Denom(), rootBits))
}

// rootAbove is at least the root of max(x, 0).
func rootAbove(x *big.Rat) *big.Rat {
	r := rootBelow(x)
	if x.Sign() > 0 && mul(r, r).Cmp(x) < 0 {
		r.Add(r, new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Lsh(x.Denom(), rootBits)))
	}
	return r
}
