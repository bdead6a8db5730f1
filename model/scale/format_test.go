package scale

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// TestFit: the ends of a word, to the count. A wide word leaves two counts for sums of rounded values.
func TestFit(t *testing.T) {
	one := big.NewRat(1, 1)
	for _, c := range []struct {
		lo, hi int64
		bits   int
		want   int
	}{
		{-32768, 32767, 16, 0}, {-32768, 32768, 16, -1}, {-32769, 0, 16, -1}, {0, 32767, 16, 0}, {-16384, 16383, 16, 1}, {0, 16384, 16, 0},
		{0, 1<<31 - 3, 32, 0}, {0, 1<<31 - 2, 32, -1}, {-1<<31 + 2, 0, 32, 0}, {-1<<31 + 1, 0, 32, -1},
	} {
		if got := fit(interval.Ints(c.lo, c.hi), one, c.bits); got != c.want {
			t.Errorf("[%d, %d] in %d bits: %d fraction bits, %d is right", c.lo, c.hi, c.bits, got, c.want)
		}
	}
}

// TestSettingFits32Bits: whatever the gain and what it is merged with, setting times multiplier and the half fit int32.
func TestSettingFits32Bits(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 20_000 {
		top := new(big.Rat).SetFloat64(math.Exp(r.Float64()*20 - 10))
		ratio := new(big.Rat).SetFloat64(math.Exp(r.Float64()*20-8) * float64(1-2*r.IntN(2)))
		s, err := newSetter(program.Gain{Lo: new(big.Rat), Hi: top, Value: top}, ratio)
		if err != nil || s.XHi > 100_000 || s.Shift == 1 { // a large gain keeps whole steps, a large multiplier its bits
			continue
		}
		if most := math.Abs(float64(s.XHi)*float64(s.M)) + math.Exp2(float64(s.Shift-1)); s.Shift < 31 && most >= 1<<31 {
			t.Fatalf("gain up to %s times %s: %d * %d needs more than 32 bits", top.FloatString(6), ratio.FloatString(6), s.XHi, s.M)
		}
		if size := math.Abs(float64(s.M)); s.Shift < 60 && (size < 1<<13 || size >= 1<<15) {
			t.Fatalf("gain up to %s times %s: the multiplier %d is not one of 14 or 15 bits", top.FloatString(6), ratio.FloatString(6), s.M)
		}
	}
}

// TestArctanEntries: each entry is the true angle to the nearest count.
func TestArctanEntries(t *testing.T) {
	for _, f := range arctanForms {
		a := newArctan(f.quotient, f.entries, f.fraction)
		pieces := len(a.Entries) - 2
		for i, got := range a.Entries[:pieces+1] {
			exact := math.Atan(float64(i)/float64(pieces)) * 180 / math.Pi * math.Exp2(float64(f.fraction))
			if math.Abs(float64(got)-exact) > 0.5+1e-9 {
				t.Errorf("form %v: entry %d is %d, the angle is %.3f", f, i, got, exact)
			}
		}
	}
}
