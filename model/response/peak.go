package response

import (
	"errors"
	"fmt"
	"math"
	"math/big"
)

// mostTaps keeps a certificate from asking for a computation without end.
const mostTaps = 1 << 25

// unit is the largest relative error of one float64 operation.
const unit = 0x1p-53

// ErrCoarse says that float64 rounds too much for a recursion, however many taps are taken: its poles lie too close to one another and to 1.
var ErrCoarse = errors.New("float64 is too coarse for the impulse response of this recursion")

// Peak bounds sums of impulse responses of b/A in both directions, for several numerators b at once.
//
// A = 1 + a[1]*z^-1 + ... + a[m]*z^-m. The approximate impulse response g of 1/A is found by running the
// recursion for taps ticks in float64; what it misses, delta = A*g - 1, is bounded as it goes, rounding
// errors and the cut tail included. Then, in sums of absolute values, |b/A| <= |b*g| / (1 - |delta|): where
// |delta| < 1 that proves stability too, with no eigenvalues and no separate tail.
// Returned are upper bounds of sum |h(k)| for each numerator, and |delta|.
func Peak(a []*big.Rat, numerators [][]*big.Rat, taps int) (gains []float64, loss float64, err error) {
	m := len(a) - 1
	if m < 0 || a[0].Cmp(big.NewRat(1, 1)) != 0 {
		return nil, 0, fmt.Errorf("a denominator starts with 1")
	}
	if taps < 1 || taps > mostTaps {
		return nil, 0, fmt.Errorf("%d taps of an impulse response, 1 to %d are expected", taps, mostTaps)
	}
	af := floats(a)
	bf := make([][]float64, len(numerators))
	longest := m
	for i, b := range numerators {
		bf[i] = floats(b)
		longest = max(longest, len(b)-1)
	}
	past := make([]float64, longest+1) // past[j] is the tap j ticks ago
	sums, slack := make([]float64, len(bf)), make([]float64, len(bf))
	delta := 0.0
	ops := float64(2*m + 4) // roundings in one tap, generously: conversions of the coefficients, products, sums
	af = af[1:]
	for k := 0; k < taps+longest; k++ {
		if k == longest && 1 <= m && longest <= 2 {
			k, delta = pair(k, taps, af, bf, past, sums, slack, delta, ops*unit)
		}
		if k&4095 == 0 && !(delta < 1) { // it only grows
			return nil, 0, ErrCoarse
		}
		var y, local float64
		for j, c := range af {
			p := float64(c * past[j])
			y -= p
			local += math.Abs(p)
		}
		if k == 0 {
			y = 1
		}
		if k < taps {
			local += math.Abs(y)
			delta += ops * unit * local
		} else { // beyond the end g is 0: what A*g leaves there is residual
			delta += local * (1 + ops*unit)
			y = 0
		}
		for j := longest; j > 0; j-- {
			past[j] = past[j-1]
		}
		past[0] = y
		for i, b := range bf {
			var s, t float64
			for j, c := range b {
				p := float64(c * past[j])
				s += p
				t += math.Abs(p)
			}
			sums[i] += math.Abs(s)
			slack[i] += t
		}
	}
	if math.IsInf(delta, 0) || math.IsNaN(delta) {
		return nil, 0, fmt.Errorf("the recursion is unstable")
	}
	grow := 1 + float64(taps+longest+8)*2*unit // the sums themselves are float64 sums of positive numbers
	delta *= grow
	if !(delta < 1) {
		return nil, 0, fmt.Errorf("the recursion is not stable, or decays too slowly for %d taps", taps)
	}
	for i := range sums {
		sums[i] = (sums[i] + slack[i]*float64(len(bf[i])+2)*2*unit) * grow / (1 - delta) * (1 + 8*unit)
	}
	return sums, delta, nil
}

// pair is the loop of Peak from tick k to taps for a recursion of order two at most, which is nearly all that there are: the same
// operations in the same order on numbers that stay in registers.
func pair(k, taps int, af []float64, bf [][]float64, past, sums, slack []float64, delta, share float64) (int, float64) {
	var a [2]float64
	copy(a[:], af)
	b := make([][3]float64, len(bf))
	for i := range bf {
		copy(b[i][:], bf[i])
	}
	var x [3]float64
	copy(x[:], past)
	for ; k < taps; k++ {
		p, q := float64(a[0]*x[0]), float64(a[1]*x[1])
		y := -p - q
		local := math.Abs(p) + math.Abs(q)
		local += math.Abs(y)
		delta += float64(share * local)
		x[2], x[1], x[0] = x[1], x[0], y
		for i := range b {
			c := &b[i]
			p, q, r := float64(c[0]*y), float64(c[1]*x[1]), float64(c[2]*x[2])
			sums[i] += math.Abs(p + q + r)
			slack[i] += math.Abs(p) + math.Abs(q) + math.Abs(r)
		}
	}
	copy(past, x[:])
	return k, delta
}

func floats(rs []*big.Rat) []float64 {
	out := make([]float64, len(rs))
	for i, r := range rs {
		out[i], _ = r.Float64()
	}
	return out
}
