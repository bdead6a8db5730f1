package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

const (
	mostSetting = 1 << 30 // settings and multipliers: their product and a half stay inside 62 bits
	mostDigits  = 30
	mergedBits  = 14 // a multiplier is right to half a unit of at least so many bits
)

// checkSetters verifies what each setter does with each setting. Let r be the counts of the coefficient that a setting of 1
// stands for. Then for every setting x that the setter lets through, which are those from the one nearest to the low
// end of the tuning range to the one nearest to its high end:
//
//	the coefficient is floor(x*M/2^Shift + 1/2), so it is at most 1/2 + |x|*|M/2^Shift - r| counts from x*r;
//	that is at most one count, or half a count and x*r/2^14;
//	it never falls where x*r rises, nor rises where x*r falls: the floor of a line that M gives its direction.
//
// M is the whole number nearest to r*2^Shift. The setting at start is the one nearest to the gain's value.
func checkSetters(integer *program.Fixed) error {
	first := map[int]program.Setter{} // by gain
	for _, c := range integer.Coefs {
		wrong := func(why string) error { return fmt.Errorf("coefficient %s: %s", c.Name, why) }
		s := c.Setter
		if c.LSB == nil || c.LSB.Sign() <= 0 || s.Digits < 0 || s.Digits > mostDigits ||
			s.XLo < -mostSetting || s.XHi > mostSetting || s.M < -mostSetting || s.M > mostSetting || s.Shift < 1 || s.Shift > 60 {
			return wrong("its setter may overflow")
		}
		if other, ok := first[c.Gain]; ok && (s.Digits != other.Digits || s.XLo != other.XLo || s.XHi != other.XHi || s.XStart != other.XStart) {
			return wrong("its gain has settings of another meaning at another coefficient")
		}
		first[c.Gain] = s
		g, step := integer.Gains[c.Gain], s.Step()
		if g.Count != nil && !equal(g.Count, step) {
			return wrong("a setting of 1 does not stand for what the spec asks")
		}
		if !nearest(s.XLo, quo(g.Lo, step)) || !nearest(s.XHi, quo(g.Hi, step)) || !nearest(s.XStart, quo(g.Value, step)) ||
			s.XLo > s.XStart || s.XStart > s.XHi {
			return wrong("its settings are not those of the tuning range")
		}
		r, size := c.Ratio(), new(big.Rat).SetInt(pow2(s.Shift))
		if !nearest(s.M, mul(r, size)) {
			return wrong("its multiplier is not the nearest one to its gain")
		}
		off := quo(new(big.Rat).SetInt64(s.M), size)
		off.Abs(off.Sub(off, r))
		most := new(big.Rat).SetInt64(max(s.XHi, -s.XLo))
		if mul(off, most).Cmp(big.NewRat(1, 2)) > 0 && mul(off, new(big.Rat).SetInt(pow2(mergedBits))).Cmp(new(big.Rat).Abs(r)) > 0 {
			return wrong("its multiplier is too coarse for its gain")
		}
	}
	return nil
}

// nearest tells whether no whole number is nearer to r than n.
func nearest(n int64, r *big.Rat) bool {
	d := new(big.Rat).SetInt64(n)
	return d.Abs(d.Sub(d, r)).Cmp(big.NewRat(1, 2)) <= 0
}

// reach is where a coefficient can be set to.
func reach(s program.Setter) interval.Range {
	a, b := s.Apply(s.XLo), s.Apply(s.XHi)
	return interval.Ints(min(a, b), max(a, b))
}
