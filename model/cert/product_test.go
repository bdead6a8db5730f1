package cert_test

import (
	"math"
	"math/big"
	"testing"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// TestProductOfSignals: two numbers of 8 bits, each rounded or not, are multiplied. Of all 65536 pairs none leaves the certified range or is further
// from the exact product than is claimed; the range is reached, the difference nearly, and a smaller claim is refused.
func TestProductOfSignals(t *testing.T) {
	for _, shifts := range [][2]uint{{0, 0}, {2, 0}, {0, 3}, {2, 3}, {4, 4}} {
		p := newPair(2)
		for _, q := range p.frames() {
			q.Inputs[0].Type, q.Inputs[1].Type = program.I8, program.I8
		}
		sides := [2]place{{0, 0}, {1, 1}}
		lsb := big.NewRat(1, 1)
		for i, shift := range shifts {
			own := big.NewRat(1<<shift, 1)
			if shift > 0 {
				sides[i] = p.rounded(sides[i], shift, own)
			}
			lsb = new(big.Rat).Mul(lsb, own)
		}
		x := p.both(program.Op{Kind: program.Mul}, lsb, sides[0], sides[1])
		p.signal("product", x)
		c := p.certify(t)
		claim := c.Local.Signals[0][0]
		whole := program.NewFixedMachine(&p.whole)
		unit, _ := lsb.Float64()
		lo, hi, least, most := int64(math.MaxInt64), int64(math.MinInt64), 0.0, 0.0
		for a := int64(-128); a < 128; a++ {
			for b := int64(-128); b < 128; b++ {
				whole.Tick([]int64{a, b}, nil)
				v := whole.Values[x.z]
				lo, hi = min(lo, v), max(hi, v)
				d := float64(v)*unit - float64(a*b)
				least, most = min(least, d), max(most, d)
			}
		}
		if r := c.Ops[x.z]; !r.Holds(interval.Ints(lo, hi)) || !interval.Ints(lo, hi).Holds(r) {
			t.Errorf("%v: [%d, %d] is reached, %v certified", shifts, lo, hi, r)
		}
		low, _ := claim.Lo.Float64()
		high, _ := claim.Hi.Float64()
		if least < low || most > high {
			t.Errorf("%v: the difference goes from %v to %v, [%v, %v] is claimed", shifts, least, most, low, high)
		}
		if size := max(-low, high); size > 1.25*max(-least, most) {
			t.Errorf("%v: the difference is said to reach %v, %v is reached", shifts, size, max(-least, most))
		}
		if shifts == [2]uint{} {
			continue
		}
		forged := *c
		forged.Local.Signals = [][]*interval.Range{{{Lo: claim.Lo, Hi: new(big.Rat).Sub(claim.Hi, big.NewRat(1, 8))}}}
		if cert.Check(&p.real, &p.whole, &forged) == nil {
			t.Errorf("%v: a claim that is too small was accepted", shifts)
		}
	}
}
