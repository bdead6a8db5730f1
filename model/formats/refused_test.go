package formats_test

import (
	"fmt"
	"strings"
	"testing"

	"gainwright/model"
)

// TestSettlingHelps: filters with poles too close to the unit circle are refused with a remedy that can be written, and helps.
func TestSettlingHelps(t *testing.T) {
	refused := func(response string) string {
		u := model.Compile("spec.yaml", fmt.Appendf(nil, `controller: c
rate: 1 kHz
inputs:
  x: {raw: int16, unit: g, counts_per_unit: 3000}
steps:
  k: {kind: second_order, of: x, response: %s}
outputs:
  o: {from: k, raw: int32, unit: g, counts_per_unit: 1000}
`, response))
		if u.OK() {
			return ""
		}
		return u.Findings[0].Remedy
	}
	for _, c := range [][2]string{
		{"notch, frequency: 0.01 Hz, q: 0.7071", "notch, frequency: 1 Hz, q: 0.7071"},
		{"low_pass, frequency: 0.003 Hz, q: 0.7071", "low_pass, frequency: 0.3 Hz, q: 0.7071"},
		{"peaking, gain_db: 60, frequency: 499.99 Hz, q: 100", "peaking, gain_db: 60, frequency: 400 Hz, q: 10"},
	} {
		if got := refused(c[0]); !strings.Contains(got, "a frequency further from 0") {
			t.Errorf("%s: the remedy is %q", c[0], got)
		}
		if got := refused(c[1]); got != "" {
			t.Errorf("%s is refused all the same: %q", c[1], got)
		}
	}
}
