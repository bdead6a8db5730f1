package scale_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"
)

// TestCountOfASetting: where the spec says what one count of a setting is, that is what it is, from the coarsest to the
// finest that fits, and each setting becomes the nearest coefficient but for the 14 bits of the constant that merges it.
func TestCountOfASetting(t *testing.T) {
	const text = `controller: c
rate: 100 Hz
inputs:
  x: {raw: int16, unit: deg, counts_per_unit: 100, range: [-90, 90]}
steps:
  pull: {kind: pid, target: 0, measured: x, unit: duty, kp: 3, limits: [-200, 200]}
outputs:
  out: {from: pull, raw: int16, unit: duty, counts_per_unit: 10, limits: [-200, 200]}
tuning: {pull.kp: %s}
`
	for digits := range 8 {
		count := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(digits)), nil))
		u := compile(t, fmt.Sprintf(text, "{range: [1, 100], count: "+count.FloatString(digits)+"}"))
		c := u.Integer.Coefs[0]
		s := c.Setter
		for value, x := range map[int64]int64{1: s.XLo, 3: s.XStart, 100: s.XHi} {
			if new(big.Rat).Mul(count, big.NewRat(x, 1)).Cmp(big.NewRat(value, 1)) != 0 {
				t.Errorf("in counts of %s, %d is set by %d", count.FloatString(digits), value, x)
			}
		}
		unit := new(big.Rat).Quo(c.LSB, u.Stored.Coefs[0].Factor)
		for k := range int64(1001) {
			x := s.XLo + (s.XHi-s.XLo)*k/1000
			exact := new(big.Rat).Quo(new(big.Rat).Mul(big.NewRat(x, 1), count), unit)
			off := new(big.Rat).Sub(big.NewRat(s.Apply(x), 1), exact)
			most := new(big.Rat).Abs(exact)
			most.Add(most.Mul(most, big.NewRat(1, 1<<14)), big.NewRat(501, 1000))
			if off.Abs(off).Cmp(most) > 0 {
				t.Fatalf("in counts of %s, the setting %d gives %d, %s is exact", count.FloatString(digits), x, s.Apply(x), exact.FloatString(4))
			}
		}
	}
	// The rule for a count that is not written: 10,000 to 100,000 for the range's larger end.
	for _, c := range []struct{ span, per string }{{"[1, 99]", "1000"}, {"[1, 100]", "100"}, {"[1, 1000]", "10"}} {
		u := compile(t, fmt.Sprintf(text, c.span))
		if got := fmt.Sprint(u.Integer.Coefs[0].Setter.Digits); got != fmt.Sprint(strings.Count(c.per, "0")) {
			t.Errorf("%s is set in counts of 10^-%s", c.span, got)
		}
	}
}
