package formats_test

import (
	"testing"

	"gainwright/model"
)

// TestRefined: formats are made finer inside a step until the accuracy asked for is met, also where only a rounding in the middle is too
// coarse.
func TestRefined(t *testing.T) {
	for _, c := range []struct{ text, signal string }{
		{"controller: c\nrate: 1 kHz\ntarget: cortex-m0\ninputs:\n  gyro: {raw: int16, unit: deg/s, counts_per_unit: 16.4, range: [-500, 500]}\n" +
			"  lean: {raw: int16, unit: deg, counts_per_unit: 64, range: [-90, 90]}\nsteps:\n" +
			"  roll: {kind: complementary, angle: lean, rate: gyro, time_constant: 0.5 s}\n" +
			"outputs:\n  o: {from: roll, raw: int16, unit: deg}\naccuracy: {roll: 0.001 deg, o: 0.6 deg}\n", "roll"},
		{"controller: c\nrate: 100 Hz\ninputs:\n  x: {raw: int16, unit: m, counts_per_unit: 1}\nsteps:\n  y: {kind: low_pass, of: x, time_constant: 1 s}\n" +
			"outputs:\n  o: {from: y, raw: int32, unit: m, counts_per_unit: 1000}\naccuracy: {y: 0.001 m}\n", "y"},
	} {
		u := model.Compile("c.yaml", []byte(c.text))
		if !u.OK() {
			t.Fatal(u.Findings)
		}
		for _, f := range u.Findings {
			if f.Rule == "accuracy-missed" {
				t.Errorf("%s: %v", c.signal, f)
			}
		}
	}
}
