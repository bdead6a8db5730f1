package cert

import (
	"math/big"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// The rules of a quotient of two values. In integers it is floor(a/b + 1/2): at most half a count from a/b. The divisor keeps away from 0,
// with one sign: in the integer program its certified range says so, in the real one that range and the difference between the two.
func init() {
	const kind = program.Quotient
	shapes[kind] = &shape{args: 2, within: inside62, result: true}
	translationRules[kind] = func(t *translation, _ program.ID, op *program.FixedOp, _ *program.RealOp) error {
		return unless(equal(op.LSB, quo(t.lsb(op, 0), t.lsb(op, 1))), "the formats do not divide")
	}
	rangeRules[kind] = func(o *evaluated) (interval.Range, affine.Form) {
		r, ok := quotients(o.arg(0), o.arg(1))
		if ok && o.fixed != nil {
			half := big.NewRat(1, 2)
			floor := func(x *big.Rat) *big.Rat { return new(big.Rat).SetInt(interval.Floor(new(big.Rat).Add(x, half))) }
			r = interval.Range{Lo: floor(r.Lo), Hi: floor(r.Hi)}
		}
		return r, o.own()
	}
	differenceRules[kind] = (*beside).quotient
	driftRules[kind] = driftRule{nil, by(decided)}
}

// quotients is {x/y}; ok is false where y may be 0: then there is no end to it.
func quotients(a, b interval.Range) (r interval.Range, ok bool) {
	if b.Lo.Sign()*b.Hi.Sign() <= 0 {
		return r, false
	}
	return a.Mul(interval.Range{Lo: new(big.Rat).Inv(b.Hi), Hi: new(big.Rat).Inv(b.Lo)}), true
}

// quotient: x/y - (x-e)/(y-f) = (e - f*x/y)/(y-f), with x and y those of the integer program; on top comes what the division rounds. Nothing is
// known where y-f, the divisor of the real program, may be 0 or of the other sign.
func (o *beside) quotient() gap {
	if !o.known || o.turn != nil {
		return gap{}
	}
	x, y, e, f := o.units(0), o.units(1), o.in[0].r, o.in[1].r
	exact, ok := quotients(x, y)
	if !ok {
		return gap{}
	}
	real := y.Sub(f)
	r, ok := quotients(e.Sub(f.Mul(exact)), real)
	if !ok || real.Lo.Sign() != y.Lo.Sign() {
		return gap{}
	}
	half := mul(o.op.LSB, big.NewRat(1, 2))
	return o.multiplied(r.Add(interval.Range{Lo: new(big.Rat).Neg(half), Hi: half}))
}
