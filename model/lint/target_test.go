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
  wanted: {raw: int16, unit: degC, counts_per_unit: 128, range: [90, 95]}
  either: {raw: int16, unit: degC, counts_per_unit: 128, range: [70, 95]}
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
		{"310 degC", "believed", finding.Error, "never kept", "target: (a value in [-20, 80])"},
		{"310", "believed", finding.Error, "never kept", "target: 36.85 degC, if 310 is in K"},
		{"98.6", "armed", finding.Error, "never kept", "target: 37 degC, if 98.6 is in degF"},
		{"80", "armed", "", "", ""},
		{"70", "armed", "", "", ""},
		{"70", "believed", finding.Warning, "outside the range [5, 60] degC in which believed believes temperature", "target: (a value between 5 and 60); or at the step believed, a range that reaches further; or target: 21.11111111 degC, if 70 is in degF"},
		{"60", "upright", finding.Warning, "at the edge of the range [5, 60]", "target: (a value between 5 and 60); or at the step believed, a range that reaches further; or target: 15.55555556 degC, if 60 is in degF"},
		{"-3 degC", "upright", finding.Warning, "outside the range [5, 60]", "target: (a value between 5 and 60); or at the step believed, a range that reaches further"},
		{"wanted", "armed", finding.Warning, "the target wanted lies in [90, 95], and smooth comes to rest in [-20, 80] degC as long as inputs keep their declared ranges: it is never kept", "target: (a value in [-20, 80])"},
		{"either", "armed", "", "", ""}, // some of its range can be kept
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
		if got.Pos.Line != 12 || got.Pos.Col != strings.Index(strings.Split(text, "\n")[11], c.target+", measured")+1 {
			t.Errorf("%s: it points at %v", c.target, got.Pos)
		}
		meant := strings.Index(got.Remedy, " degC, if ")
		if meant < 0 {
			continue
		}
		got.Remedy = got.Remedy[strings.LastIndex(got.Remedy[:meant], "target:"):]
		if v := model.Compile("c.yaml", []byte(applied(text, got))); !v.OK() || strings.Contains(fmt.Sprint(v.Findings), "target-out-of-reach") {
			t.Errorf("%s with %s: %v", c.target, got.Remedy, v.Findings)
		}
	}
}

// TestTargetBehindFilters: a filter comes to rest where its input is, whatever it starts at; one that takes the level away is another signal, which
// no range of the reading holds for.
func TestTargetBehindFilters(t *testing.T) {
	const frame = `controller: bath
rate: 4 Hz
inputs:
  t: {raw: int16, unit: K, counts_per_unit: 64, range: [270, 370]}
steps:
  believed: {kind: plausible, of: t, range: [280, 360]}
  filtered: {kind: second_order, of: t, response: %s, frequency: 0.4 Hz, q: 0.5}
  heat: {kind: pid, target: %s, measured: filtered, enable: believed, kp: 5, unit: percent, limits: [-100, 100]}
outputs:
  u: {from: heat, raw: int16, unit: percent, counts_per_unit: 10, limits: [-100, 100]}
`
	for _, c := range []struct{ response, target, remedy string }{
		{"low_pass", "37", "target: 310.15 K, if 37 is in degC; or target: 275.9277778 K, if 37 is in degF; or target: (a value in [270, 370])"},
		{"notch", "37", "target: 310.15 K, if 37 is in degC"},
		{"low_pass", "300", ""},
		{"high_pass", "0", ""},
		{"band_pass", "0.5", ""},
	} {
		remedy := ""
		for _, f := range model.Compile("c.yaml", fmt.Appendf(nil, frame, c.response, c.target)).Findings {
			if f.Rule == "target-out-of-reach" {
				remedy = f.Remedy
			}
		}
		if !strings.HasPrefix(remedy, c.remedy) || (remedy == "") != (c.remedy == "") {
			t.Errorf("%s at %s: %q, expected %q", c.target, c.response, remedy, c.remedy)
		}
	}
}

// TestSignalInAnotherUnit: what is named instead of it is a step that converts it, and never what is measured.
func TestSignalInAnotherUnit(t *testing.T) {
	const frame = `controller: press
rate: 100 Hz
inputs:
  force: {raw: int16, unit: kN, counts_per_unit: 100, range: [0, 200]}
  wanted: {raw: int16, unit: %s, counts_per_unit: 0.1, range: [0, 200000]}
  speed: {raw: int16, unit: kN/min, counts_per_unit: 10}
steps:
  %s
  push: {kind: pid, target: wanted, measured: force, measured_rate: speed, kp: 0.02, kd: 0.1, unit: V, limits: [-10, 10]}
outputs:
  u: {from: push, raw: int16, unit: V, counts_per_unit: 1000, limits: [-10, 10]}
`
	for unit, want := range map[string][]string{
		"N":   {"the name of a step {kind: sum, of: {wanted: 0.001}, unit: kN}", "the name of a step {kind: sum, of: {speed: 0.01666666667}, unit: kN/s}"},
		"psi": {"a value in kN", "the name of a step {kind: sum, of: {speed: 0.01666666667}, unit: kN/s}"},
	} {
		text := fmt.Sprintf(frame, unit, "")
		u := model.Compile("c.yaml", []byte(text))
		var got []string
		for _, f := range u.Findings {
			got = append(got, f.Remedy)
		}
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s: %q", unit, got)
		}
	}
	text := fmt.Sprintf(frame, "N", "aim: {kind: sum, of: {wanted: 0.001}, unit: kN}\n  change: {kind: sum, of: {speed: 0.01666666667}, unit: kN/s}")
	text = strings.NewReplacer("target: wanted", "target: aim", "measured_rate: speed", "measured_rate: change").Replace(text)
	if u := model.Compile("c.yaml", []byte(text)); len(u.Findings) > 0 {
		t.Error(u.Findings)
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
