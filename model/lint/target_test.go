package lint_test

import (
	"fmt"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/finding"
)

// TestTargetOutOfReach: a target is held against what the measured value can be, and against what the check behind enable believes.
func TestTargetOutOfReach(t *testing.T) {
	const frame = `controller: oven
rate: 1 Hz
inputs:
  temperature: {raw: int16, unit: degC, counts_per_unit: 128, range: [-20, 80]}
  armed: {raw: bool}
steps:
  believed: {kind: plausible, of: temperature, range: [5, 60]}
  upright: {kind: window, of: temperature, limits: [-20, 79], when: believed}
  smooth: {kind: low_pass, of: temperature, time_constant: 5 s}
  heat: {kind: pid, target: %s, measured: smooth, enable: %s, kp: 12, ki: 0.02, limits: [0, 100]}
outputs:
  heater: {from: heat, raw: int16, unit: percent, counts_per_unit: 10, limits: [0, 100]}
`
	for _, c := range []struct {
		target, enable string
		severity       finding.Severity // empty: nothing is said
		said, remedy   string
	}{
		{"37", "believed", "", "", ""},
		{"310 degC", "believed", finding.Error, "never reached", "target: (a value in [-20, 80])"},
		{"310", "believed", finding.Error, "never reached", "target: 36.85 degC, if 310 is in K"},
		{"98.6", "armed", finding.Error, "never reached", "target: 37 degC, if 98.6 is in degF"},
		{"80", "armed", "", "", ""},
		{"70", "armed", "", "", ""},
		{"70", "believed", finding.Warning, "outside the range [5, 60] degC in which believed believes temperature", "target: 21.11111111 degC, if 70 is in degF"},
		{"60", "upright", finding.Warning, "at the edge of the range [5, 60]", "target: 15.55555556 degC, if 60 is in degF"},
		{"-3 degC", "upright", finding.Warning, "outside the range [5, 60]", "target: (a value in [5, 60])"},
	} {
		text := fmt.Sprintf(frame, c.target, c.enable)
		u := model.Compile("c.yaml", []byte(text))
		var got finding.Finding
		for _, f := range u.Findings {
			if f.Rule == "target-out-of-reach" {
				got = f
			}
		}
		if got.Severity != c.severity || !strings.Contains(got.Message, c.said) || !strings.HasPrefix(got.Remedy, c.remedy) || (c.severity == finding.Error) == u.OK() {
			t.Errorf("%s with %s: %v, expected %q %q", c.target, c.enable, u.Findings, c.severity, c.said)
			continue
		}
		if c.severity == "" {
			continue
		}
		if got.Pos.Line != 10 || got.Pos.Col != strings.Index(strings.Split(text, "\n")[9], c.target+", measured")+1 {
			t.Errorf("%s: it points at %v", c.target, got.Pos)
		}
		if !strings.Contains(got.Remedy, " if ") {
			continue
		}
		if v := model.Compile("c.yaml", []byte(applied(text, got))); !v.OK() || strings.Contains(fmt.Sprint(v.Findings), "target-out-of-reach") {
			t.Errorf("%s with %s: %v", c.target, got.Remedy, v.Findings)
		}
	}
}

// TestTimeWithoutUnit: a bare number is a time in seconds, and that is said.
func TestTimeWithoutUnit(t *testing.T) {
	text := strings.Replace(bench, "derivative_filter: 50 ms", "derivative_filter: 0.05", 1)
	u := model.Compile("c.yaml", []byte(text))
	if len(u.Findings) != 1 || u.Findings[0].Rule != "time-without-unit" || u.Findings[0].Remedy != "derivative_filter: 0.05 s" {
		t.Fatal(u.Findings)
	}
	if v := model.Compile("c.yaml", []byte(applied(text, u.Findings[0]))); len(v.Findings) > 0 {
		t.Error(v.Findings)
	}
}
