package lint_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/program"
)

// TestRulesSayWhatIsTrue holds findings for a practitioner against specs small enough to work out by hand.
func TestRulesSayWhatIsTrue(t *testing.T) {
	const frame = `controller: c
rate: 100 Hz
inputs:
  x: {raw: int16, unit: m, counts_per_unit: 1, range: [-1000, 1000]}
  y: {raw: int16, unit: m, counts_per_unit: 100, range: [-100, 100]}
steps:
%s
outputs:
  o: {from: c, raw: int16, unit: duty, counts_per_unit: %s, limits: [-1, 99]}
%s`
	for name, c := range map[string]struct{ steps, counts, more, rule, want string }{
		"a count of 0.001 m moves the effort by 0.1 duty": {
			"  f: {kind: sum, of: {x: 0.001}}\n  c: {kind: pid, target: 0, measured: f, kp: 1, kd: 1, unit: duty, limits: [-100, 100]}", "100", "", "derivative-noise", ""},
		"a count of 50 m moves it by 5000": {
			"  f: {kind: sum, of: {x: 50}}\n  c: {kind: pid, target: 0, measured: f, kp: 1, kd: 1, unit: duty, limits: [-100, 100]}", "100", "", "derivative-noise", "by 5e+03 duty"},
		"the coarser sensor counts": {
			"  c: {kind: pid, target: y, measured: x, derivative: error, kp: 1, kd: 1, unit: duty, limits: [-100, 100]}", "100", "", "derivative-noise", "by 100 duty"},
		"0.001 m is finer than 0.01 m": {
			"  f: {kind: sum, of: {x: 0.001}}\n  c: {kind: pid, target: 0, measured: f, kp: 1, unit: duty, limits: [-100, 100]}", "100", "accuracy: {f: 0.01 m}", "coarse-input", ""},
		"50 m is coarser than 10 m": {
			"  f: {kind: sum, of: {x: 50}}\n  c: {kind: pid, target: 0, measured: f, kp: 0.01, unit: duty, limits: [-100, 100]}", "100", "accuracy: {f: 10 m}", "coarse-input", "is 50 m"},
		"an effort has its own resolution": {
			"  c: {kind: pid, target: 0, measured: x, kp: 0.001, unit: duty, limits: [-100, 100]}", "100", "accuracy: {c: 0.02 duty}", "coarse-input", ""},
		"a turned output reaches its limits": {
			"  c: {kind: pid, target: 0, measured: x, kp: 1, unit: duty, limits: [-100, 100]}", "-100", "", "limit-out-of-reach", ""},
		"a turned output gets to 40": {
			"  c: {kind: pid, target: 0, measured: x, kp: 1, unit: duty, limits: [-100, 40]}", "-100", "", "limit-out-of-reach", "it gets to 40 at most"},
		"an output gets down to 20": {
			"  c: {kind: pid, target: 0, measured: x, kp: 1, unit: duty, limits: [20, 100]}", "100", "", "limit-out-of-reach", "it gets to 20 at least"},
		"an output whose one count is more than its effort reaches": {
			"  c: {kind: pid, target: 0, measured: x, kp: 0.00001, unit: duty, limits: [-1, 1]}", "0.05", "", "limit-out-of-reach", "always 0 counts"},
		"a derivative filter of a ten-thousandth of a tick": {
			"  c: {kind: pid, target: 0, measured: x, kp: 1, kd: 0.001, derivative_filter: 1 us, unit: duty, limits: [-100, 100]}", "100", "", "filter-speed", "0.0001 ticks"},
		"a low notch in the transposed form": {
			"  d: {kind: sum, of: {y: 1}, unit: duty}\n  c: {kind: second_order, of: d, response: notch, frequency: 0.1 Hz, q: 0.7071, structure: transposed}", "100", "", "response-moved", "of its largest gain"},
		"the same in the automatic form": {
			"  d: {kind: sum, of: {y: 1}, unit: duty}\n  c: {kind: second_order, of: d, response: notch, frequency: 0.1 Hz, q: 0.7071}", "100", "", "response-moved", ""},
	} {
		u := model.Compile("spec.yaml", fmt.Appendf(nil, frame, c.steps, c.counts, c.more))
		said := ""
		for _, f := range u.Findings {
			if f.Severity == finding.Error && f.Rule != "rounding-large" { // which says that it is too coarse to be emitted
				t.Fatalf("%s: %v", name, u.Findings)
			}
		}
		for _, f := range u.Findings {
			if f.Rule == c.rule {
				said += f.Message + "\n"
			}
		}
		if (said == "") != (c.want == "") || !strings.Contains(said, c.want) {
			t.Errorf("%s: %s says %q, expected %q", name, c.rule, said, c.want)
		}
	}
}

// TestFiltersAtRest runs filters far below the rate, with their stored coefficients, on a constant: what passes at rest is what is asked for. Stored
// one by one, the coefficients of a notch at 1 Hz of 1 kHz left a gain of 0, at 5 Hz one of 1.14.
func TestFiltersAtRest(t *testing.T) {
	for response, gain := range map[string]float64{"notch": 1, "peaking, gain_db: 6": 1, "low_pass": 1, "high_pass": 0, "band_pass": 0} {
		for _, hz := range []string{"1", "5", "20", "50", "200"} {
			u := model.Compile("spec.yaml", fmt.Appendf(nil, `controller: c
rate: 1 kHz
inputs:
  x: {raw: int16, unit: m, counts_per_unit: 3000}
steps:
  f: {kind: second_order, of: x, frequency: %s Hz, q: 0.7071, response: %s}
outputs:
  o: {from: f, raw: int32, unit: m, counts_per_unit: 1000}
`, hz, response))
			if !u.OK() {
				t.Fatal(u.Findings)
			}
			m := program.NewRealMachine(u.Stored)
			for range 20_000 {
				m.Tick([]float64{2}, nil, nil)
			}
			if got := m.Values[u.Stored.Outputs[0].Value] / 2; math.Abs(got-gain) > 0.004 {
				t.Errorf("%s at %s Hz passes %.4g at rest, %g is asked for", response, hz, got, gain)
			}
		}
	}
}

// TestFinerHelps writes what the finding of a missed accuracy says, and sees that it helps.
func TestFinerHelps(t *testing.T) {
	const frame = `controller: c
rate: 100 Hz
inputs:
  x: {raw: int16, unit: duty, counts_per_unit: 3000}
steps:
  k: %s
outputs:
  o: {from: k, raw: int32, unit: duty, counts_per_unit: %s}
%s`
	for _, c := range []struct{ step, counts, more, remedy, better string }{
		{"{kind: second_order, of: x, response: low_pass, frequency: 2 Hz, q: 0.7071, structure: direct}", "1000", "", "structure: automatic at the step k",
			"{kind: second_order, of: x, response: low_pass, frequency: 2 Hz, q: 0.7071, structure: automatic}"},
		{"{kind: pid, target: 1, measured: x, kp: 1000, limits: [-30000, 30000]}", "10000", "formats: {k: Q15.3}", "another format than Q15.3, or none, for k under formats",
			"{kind: pid, target: 1, measured: x, kp: 1000, limits: [-30000, 30000]}"},
	} {
		missed := func(step, more string) string {
			u := model.Compile("spec.yaml", fmt.Appendf(nil, frame, step, c.counts, more))
			if !u.OK() {
				t.Fatal(u.Findings)
			}
			for _, f := range u.Findings {
				if f.Rule == "accuracy-missed" {
					return f.Remedy
				}
			}
			return ""
		}
		if got := missed(c.step, c.more); !strings.Contains(got, c.remedy) {
			t.Errorf("%s: the remedy is %q, expected %q", c.step, got, c.remedy)
		}
		if got := missed(c.better, ""); got != "" {
			t.Errorf("%s: with %s and no format the accuracy is missed all the same (%s)", c.step, c.better, got)
		}
	}
}
