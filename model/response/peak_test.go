package response

import (
	"math"
	"math/big"
	"testing"
)

func rats(xs ...float64) []*big.Rat {
	out := make([]*big.Rat, len(xs))
	for i, x := range xs {
		out[i] = new(big.Rat).SetFloat64(x)
	}
	return out
}

// The closed forms are of 1/A(z) with poles r*exp(+-i*th): 1/(1 - r^2) at a right angle, (1 + r)/(1 - r^3) at
// 60 and 120 degrees, 1/(1 - |a|) for one pole. Recomputed here; the identity is elementary.
func TestPeakClosedForms(t *testing.T) {
	for _, c := range []struct {
		a    []float64
		want float64
	}{
		{[]float64{1, 0, 0.81}, 100.0 / 19},
		{[]float64{1, -0.9, 0.81}, 1900.0 / 271},
		{[]float64{1, 0.9, 0.81}, 1900.0 / 271},
		{[]float64{1, -15.0 / 16}, 16},
		{[]float64{1, 0, -0.25}, 4.0 / 3},
	} {
		got, _, err := Peak(rats(c.a...), [][]*big.Rat{rats(1)}, 2000)
		if err != nil {
			t.Fatal(err)
		}
		// 0.9 is no float64: the pole differs from the closed form's by a rounding
		if got[0] < c.want*(1-1e-14) || got[0] > c.want*(1+1e-9) {
			t.Errorf("1/%v: got %.15g, the closed form is %.15g", c.a, got[0], c.want)
		}
	}
}

// The reference section: cookbook low-pass at 50 Hz of 1 kHz, Q 1/sqrt 2, coefficients in 14 bits. The sums
// 1.09312021187 and 13.6423348151 are computed by testdata/reference/figures.py.
func TestPeakReferenceSection(t *testing.T) {
	q := func(x int64) *big.Rat { return big.NewRat(x, 16384) }
	a := []*big.Rat{q(16384), q(-25576), q(10508)}
	b := []*big.Rat{q(329), q(658), q(329)}
	got, _, err := Peak(a, [][]*big.Rat{b, {big.NewRat(1, 1)}}, 400)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{1.09312021187, 13.6423348151} {
		if math.Abs(got[i]-want) > 1e-10*want*10 {
			t.Errorf("sum %d: got %.12g, want %.12g", i, got[i], want)
		}
	}
}

func TestPeakRefusesUnstable(t *testing.T) {
	for _, a := range [][]float64{{1, -1}, {1, -2, 1.01}, {1, -1.0001}, {1, 0, 1}} {
		if got, _, err := Peak(rats(a...), [][]*big.Rat{rats(1)}, 5000); err == nil {
			t.Errorf("1/%v is not stable, got %v", a, got)
		}
	}
}

// TestPeakOfFewTaps: what a short response leaves is made good: 1/(1 - 1/2*z^-1) sums up to 2, three taps to 7/4.
func TestPeakOfFewTaps(t *testing.T) {
	one, half := big.NewRat(1, 1), big.NewRat(-1, 2)
	for taps := 1; taps < 12; taps++ {
		gains, _, err := Peak([]*big.Rat{one, half}, [][]*big.Rat{{one}}, taps)
		if err != nil {
			t.Fatal(err)
		}
		if gains[0] < 2 {
			t.Errorf("%d taps: %v, 2 is reached", taps, gains[0])
		}
	}
}

// A pole pair of radius 1 - 1e-6 must be quick: the time is printed, and held by a benchmark.
func BenchmarkPeakSlowPole(b *testing.B) {
	r := 1 - 1e-6
	th := 2 * math.Pi * 50 / 1000
	a := rats(1, -2*r*math.Cos(th), r*r)
	for b.Loop() {
		if _, _, err := Peak(a, [][]*big.Rat{rats(1)}, 9210391); err != nil {
			b.Fatal(err)
		}
	}
}

func TestPeakSlowPole(t *testing.T) {
	r := 1 - 1e-6
	th := 2 * math.Pi * 50 / 1000
	got, _, err := Peak(rats(1, -2*r*math.Cos(th), r*r), [][]*big.Rat{rats(1)}, 9210391)
	if err != nil {
		t.Fatal(err)
	}
	var sum float64 // computed: h(k) is r^k sin((k+1)th) / sin(th)
	for k, p := 0, 1.0; k < 16_000_000; k++ {
		sum += math.Abs(float64(p*math.Sin(float64(float64(k+1)*th)))) / math.Sin(th)
		p *= r
	}
	if got[0] < sum || got[0] > 1.001*sum {
		t.Errorf("the bound is %g, the sum %g", got[0], sum)
	}
}
