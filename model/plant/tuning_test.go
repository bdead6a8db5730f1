package plant

import (
	"fmt"
	"math"
	"testing"
)

// response closes a loop around a first order with dead time with a PI in the standard form, so fast that it
// counts as continuous, and returns the output.
func response(t *testing.T, timeConstant, k, ti, seconds float64) []float64 {
	t.Helper()
	const h = 0.01
	p := readPlant(t, fmt.Sprintf(`plant:
  kind: first_order
  inputs: {drive: V}
  outputs: {level: V}
  gain: 1
  time_constant: %g s
  dead_time: 1 s
  actuators: {drive: {from: drive, full: 1e6 V, gives: 1e6 V}}
  sensors: {}
`, timeConstant))
	r, noise := p.NewRig(nil), p.NewNoise(1)
	var y []float64
	integral := 0.0
	for range int(seconds / h) {
		r.Sense(noise.Next(), nil)
		level := r.Quantities[0]
		y = append(y, level)
		e := 1 - level
		integral += k / ti * h * e
		u := k*e + integral
		r.Apply([]float64{u})
		r.Advance(0, nil)
	}
	return y
}

func peak(y []float64) (at int) {
	for i, v := range y {
		if v > y[at] {
			at = i
		}
	}
	return at
}

// A lag with dead time under two published tuning rules.
func TestTuningRules(t *testing.T) {
	// Skogestad, Simple analytic rules for model reduction and PID controller tuning, J. Process Control 13 (2003)
	// 291-309: PI with K = T/(2*L), Ti = T, for T <= 8*L; the step overshoots by some 4 % (from memory).
	y := response(t, 1, 0.5, 1, 40)
	if over := 100 * (y[peak(y)] - 1); over < 3 || over > 5 {
		t.Errorf("PI by Skogestad's rule: overshoot %.2f %%, expected some 4 %%", over)
	}
	if e := math.Abs(y[len(y)-1] - 1); e > 1e-6 {
		t.Errorf("PI by Skogestad's rule: error %.2g at the end", e)
	}
	// Ziegler and Nichols, Optimum settings for automatic controllers, Trans. ASME 64 (1942), PI by the reaction
	// curve: K = 0.9*T/L, Ti = 3.3*L, made for "quarter decay": each peak a quarter of the one before.
	y = response(t, 10, 9, 3.3, 60)
	first := peak(y)
	low := first
	for y[low+1] <= y[low] {
		low++
	}
	second := low + peak(y[low:])
	if decay := (y[second] - 1) / (y[first] - 1); decay < 0.15 || decay > 0.35 {
		t.Errorf("PI by Ziegler and Nichols: the second peak is %.2f of the first, expected about a quarter", decay)
	}
}
