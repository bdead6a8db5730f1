package loop

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"gainwright/model/response"
)

// The reference biquad of the project's tables: both routes to its peak gain agree, the float one here and the exact checker's.
func TestPeakAgainstTheChecker(t *testing.T) {
	// low-pass, 1 kHz, 50 Hz, Q 1/sqrt(2), in 2^-14
	b, a := []int64{329, 658, 329}, []int64{16384, -25576, 10508}
	rats := func(xs []int64) (out []*big.Rat) {
		for _, x := range xs {
			out = append(out, big.NewRat(x, 16384))
		}
		return out
	}
	gains, _, err := response.Peak(rats(a), [][]*big.Rat{rats(b)}, 4000)
	if err != nil {
		t.Fatal(err)
	}
	f := func(x int64) float64 { return float64(x) / 16384 }
	m := matrix{{-f(a[1]), -f(a[2])}, {1, 0}}
	d, err := decays(m)
	if err != nil {
		t.Fatal(err)
	}
	// y = b0*w(k) + b1*w(k-1) + b2*w(k-2), w = u - a1*w - a2*w: with the newest w eliminated
	row := matrix{{f(b[1]) - f(b[0])*f(a[1]), f(b[2]) - f(b[0])*f(a[2])}}
	sums, _ := d.peaks([]float64{1, 0}, row)
	close(t, "peak gain", sums[0]+f(b[0]), gains[0], 1e-6)
}

// Signs chosen against the response reach the sum, and nothing goes beyond it.
func TestPeakIsReached(t *testing.T) {
	a := matrix{{0.9, 300, 0}, {-0.0004, 0.95, 1e-4}, {0, 0, 0.7}}
	b, c := []float64{0, 0.01, 2}, []float64{1, 50, 0}
	d, err := decays(a)
	if err != nil {
		t.Fatal(err)
	}
	sums, high := d.peaks(b, matrix{c})
	step := func(x []float64, u float64) []float64 {
		out := make([]float64, len(x))
		for i := range x {
			out[i] = b[i] * u
			for j, v := range x {
				out[i] += a[i][j] * v
			}
		}
		return out
	}
	see := func(x []float64) (y float64) {
		for i, v := range x {
			y += c[i] * v
		}
		return y
	}
	const n = 3000
	var h []float64
	x, most := step(make([]float64, 3), 1), 0.0
	for range n {
		h = append(h, see(x))
		most = math.Max(most, math.Abs(see(x)))
		x = step(x, 0)
	}
	close(t, "highest point", high[0], most, 1e-6)
	x = make([]float64, 3)
	for k := range n {
		x = step(x, math.Copysign(1, h[n-1-k]))
	}
	if got := see(x); got > sums[0] || got < 0.9999*sums[0] {
		t.Errorf("signs reach %.9g of %.9g", got, sums[0])
	}
}

// What does not decay is not bounded.
func TestNoDecayNoBound(t *testing.T) {
	for _, a := range []matrix{{{1}}, {{-1}}, {{1.01}}, {{0, 1}, {-1, 0}}, {{0.5, 1e6}, {0, 1}}} {
		if d, err := decays(a); err == nil {
			t.Errorf("%v decays, by %g", a, d.sum)
		}
	}
	if _, err := decays(matrix{{1 - 1e-7}}); err == nil || !strings.Contains(err.Error(), "too slowly") {
		t.Errorf("a pole at 1 - 1e-7: %v", err)
	}
	if d, err := decays(matrix{{0.999}}); err != nil || d.sum < 1000 || d.sum > 1400 {
		t.Errorf("0.999: %v, %v; the sum is 1000", d, err)
	}
}
