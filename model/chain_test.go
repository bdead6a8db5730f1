package model

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"gainwright/model/steps"
)

// TestChainIsMerged: the range of a chain of filters is that of the whole chain, not the product of what each can do.
// The sums of absolute impulse responses are computed here, in five plain lines.
func TestChainIsMerged(t *testing.T) {
	src, err := os.ReadFile("../testdata/specs/chain.yaml")
	if err != nil {
		t.Fatal(err)
	}
	u := Compile("chain.yaml", src)
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	sections := []steps.Section{
		steps.Cookbook("notch", 50, 1000, 1, 0), steps.Cookbook("notch", 80, 1000, 1, 0),
		steps.Cookbook("notch", 110, 1000, 1, 0), steps.Cookbook("low_pass", 40, 1000, 0.7, 0)}
	whole, product := 0.0, 1.0
	signal := make([]float64, 4000)
	signal[0] = 1
	for _, s := range sections {
		alone := make([]float64, len(signal))
		alone[0] = 1
		product *= sumOf(filtered(alone, s))
		signal = filtered(signal, s)
	}
	whole = sumOf(signal)
	for _, sec := range u.Integer.Sections {
		if sec.Name != "lp" {
			continue
		}
		op := u.Integer.Ops[sec.Signals[0].Value]
		gain := float64(op.Hi) / 32767
		t.Logf("bounded by %.3f, the chain's peak gain is %.3f, the product of the sections' is %.3f", gain, whole, product)
		if gain < whole || gain > 1.02*whole {
			t.Errorf("the range is %.3f of the input's, the chain's peak gain is %.3f", gain, whole)
		}
	}
	if whole > product/2 {
		t.Errorf("the chain's gain %.3f is no less than the product %.3f: this test shows nothing", whole, product)
	}
}

func filtered(x []float64, s steps.Section) []float64 {
	y := make([]float64, len(x))
	at := func(v []float64, k int) float64 {
		if k < 0 {
			return 0
		}
		return v[k]
	}
	for k := range x {
		y[k] = s.B0*x[k] + s.B1*at(x, k-1) + s.B2*at(x, k-2) - s.A1*at(y, k-1) - s.A2*at(y, k-2)
	}
	return y
}

func sumOf(h []float64) float64 {
	s := 0.0
	for _, x := range h {
		s += math.Abs(x)
	}
	return s
}

// TestEightFiltersAreOne: eight filters of second order in series, with what each rounding left over, are bounded as one of sixteenth order, also where
// that many poles lie close to 1. Each is a notch, which passes on what those before it rounded by about as much as it is.
func TestEightFiltersAreOne(t *testing.T) {
	for _, c := range []struct {
		structure string
		hz        float64
	}{{"feedback_2", 20}, {"automatic", 5}, {"transposed", 5}} {
		var src strings.Builder
		src.WriteString("controller: c\nrate: 1 kHz\ninputs:\n  x: {raw: int16, unit: m, counts_per_unit: 1000}\nsteps:\n")
		of := "x"
		for i := range 8 {
			fmt.Fprintf(&src, "  f%d: {kind: second_order, of: %s, response: notch, frequency: %g Hz, q: 1, structure: %s}\n", i, of, c.hz*(1+0.75*float64(i)), c.structure)
			of = fmt.Sprint("f", i)
		}
		src.WriteString("outputs:\n  o: {from: f7, raw: int32, unit: m, counts_per_unit: 1000}\n")
		u := Compile("c.yaml", []byte(src.String()))
		if !u.OK() {
			t.Errorf("%s at %g Hz: %v", c.structure, c.hz, u.Findings)
			continue
		}
		sum := 0.0
		for _, b := range u.Bounds {
			if b.Chain == nil || b.Local == nil {
				t.Fatalf("%s at %g Hz: no bound for section %d", c.structure, c.hz, b.Section)
			}
			own, _ := b.Local.Float64()
			sum += own
			if in, _ := b.Chain.Float64(); u.Integer.Sections[b.Section].Name == "f7" {
				t.Logf("%s at %g Hz: %.4g in all, the steps' own add up to %.4g", c.structure, c.hz, in, sum)
				if c.structure != "transposed" && in > 1.8*sum { // cut after two sections it was 6 and 12 times as much; transposed at 5 Hz was refused
					t.Errorf("%s at %g Hz: %.4g in all, the steps' own add up to %.4g", c.structure, c.hz, in, sum)
				}
			}
		}
	}
}
