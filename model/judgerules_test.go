package model_test

import (
	"fmt"
	"strings"
	"testing"

	"gainwright/model"
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
		"a derivative filter of a ten-thousandth of a tick": {
			"  c: {kind: pid, target: 0, measured: x, kp: 1, kd: 0.001, derivative_filter: 1 us, unit: duty, limits: [-100, 100]}", "100", "", "filter-speed", "0.0001 ticks"},
	} {
		u := model.Compile("spec.yaml", fmt.Appendf(nil, frame, c.steps, c.counts, c.more))
		if !u.OK() {
			t.Fatalf("%s: %v", name, u.Findings)
		}
		said := ""
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
