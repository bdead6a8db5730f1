package response

import (
	"math"
	"math/big"
	"slices"
)

// peaks is Peak for the many numerators of a recursion, of which most are alike. The sum of |h(k)| does not change with
// the sign of a numerator or when it comes some ticks later; it is 0 for a numerator of zeros, and |c| where
// the numerator is c times the denominator, of which nothing but an impulse is left.
func peaks(den []*big.Rat, numerators [][]*big.Rat, taps int) (gains []float64, loss float64, err error) {
	var different [][]*big.Rat
	at := make([]int, len(numerators)) // in different
	gains = make([]float64, len(numerators))
	for i, b := range numerators {
		at[i] = -1
		b = bare(b)
		if len(b) == 0 {
			continue
		}
		if c, ok := times(b, den); ok {
			gains[i] = upward(c)
			continue
		}
		alike := func(d []*big.Rat) bool {
			return slices.EqualFunc(b, d, func(x, y *big.Rat) bool { return x.Cmp(y) == 0 })
		}
		if at[i] = slices.IndexFunc(different, alike); at[i] < 0 {
			at[i] = len(different)
			different = append(different, b)
		}
	}
	found, loss, err := Peak(den, different, taps)
	if err != nil {
		return nil, 0, err
	}
	for i, d := range at {
		if d >= 0 {
			gains[i] = found[d]
		}
	}
	return gains, loss, nil
}

// bare takes zeros off both ends and makes the first number positive.
func bare(b []*big.Rat) []*big.Rat {
	for len(b) > 0 && b[0].Sign() == 0 {
		b = b[1:]
	}
	for len(b) > 0 && b[len(b)-1].Sign() == 0 {
		b = b[:len(b)-1]
	}
	if len(b) == 0 || b[0].Sign() > 0 {
		return b
	}
	out := make([]*big.Rat, len(b))
	for i, x := range b {
		out[i] = new(big.Rat).Neg(x)
	}
	return out
}

// times tells whether b is c times a; a starts with 1.
func times(b, a []*big.Rat) (c *big.Rat, ok bool) {
	if len(a) != len(b) {
		return nil, false
	}
	for i := range a {
		if b[i].Cmp(mul(b[0], a[i])) != 0 {
			return nil, false
		}
	}
	return b[0], true
}

// upward is |x|, not rounded down.
func upward(x *big.Rat) float64 {
	f, exact := new(big.Rat).Abs(x).Float64()
	if !exact {
		f = math.Nextafter(f, math.Inf(1))
	}
	return f
}
