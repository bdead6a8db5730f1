package model

import (
	"math"
	"os"
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
