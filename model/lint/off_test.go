package lint_test

import (
	"strings"
	"testing"

	"gainwright/model"
)

// TestDrivenWhileOff: where all that enables the PIDs before an output is off, the output comes to 0, or it is said what it is, and what helps.
func TestDrivenWhileOff(t *testing.T) {
	const frame = `controller: winch
rate: 100 Hz
inputs:
  pos: {raw: int16, unit: cm, counts_per_unit: 100, range: [-300, 300]}
  vel: {raw: int16, unit: cm/s, counts_per_unit: 100, range: [-300, 300]}
  ahead: {raw: int16, unit: duty, counts_per_unit: 1, range: [-100, 100]}
  run: {raw: bool}
steps:
  ok: {kind: plausible, of: pos, range: [-299, 299], when: run}
  push: {kind: pid, target: 0, measured: pos, enable: ok, kp: 2, unit: duty, limits: [-255, 255]}
  STEP
outputs:
  motor: {from: FROM, raw: int16, unit: duty, LIMITS}
`
	const gate = ": {kind: pid, target: 0, measured: "
	for _, c := range []struct{ step, from, limits, said, remedy string }{
		{"", "push", "limits: [-255, 255], least_effort: 20", "", ""},
		{"all: {kind: sum, of: {push: 1}, offset: 45}", "all", "limits: [-255, 255]", "with push (enable: ok) off: it is 45 duty then", "from: the name of a step {kind: pid, target: 0, measured: all, kp: -1, enable: ok}"},
		{"all: {kind: sum, of: {push: 1}, offset: 45}\n  gate" + gate + "all, kp: -1, enable: ok}", "gate", "limits: [-255, 255]", "", ""},
		{"all: {kind: sum, of: {push: 1}}", "all", "limits: [20, 255]", "it is 20 duty then", ""},
		{"kept: {kind: hold, of: push, when: ok}", "kept", "limits: [-255, 255]", "it is anything in [-255, 255] duty then", ""},
		{"free" + gate + "vel, kp: 1, unit: duty, limits: [-50, 50]}\n  all: {kind: sum, of: {push: 1, free: 1}}", "all", "limits: [-255, 255]", "anything in [-50, 50]", "enable: ok, at the step free"},
		{"free" + gate + "vel, kp: 1, enable: run, unit: duty, limits: [-50, 50]}\n  all: {kind: sum, of: {push: 1, free: 1}}", "all", "limits: [-255, 255]", "", ""},
		{"outer" + gate + "pos, kp: 1, unit: cm/s, limits: [-50, 50]}\n  inner: {kind: pid, target: outer, measured: vel, enable: not run, kp: 1}", "inner", "limits: [-255, 255]", "", ""},
		{"all: {kind: sum, of: {push: 1, vel: 0.1}, unit: duty}", "all", "limits: [-255, 255]", "anything in [-32.768, 32.767]", ""},
		{"all: {kind: sum, of: {push: 1, ahead: 1}}", "all", "limits: [-255, 255]", "", ""}, // somebody else's effort
		{"soft: {kind: low_pass, of: push, time_constant: 1 s}", "soft", "limits: [-255, 255]", "", ""},
		{"soft: {kind: second_order, of: push, response: notch, frequency: 8 Hz, q: 1}", "soft", "limits: [-255, 255]", "", ""},
		{"free" + gate + "vel, kp: 1, unit: duty, limits: [-50, 50]}", "free", "limits: [-255, 255]", "", ""}, // no switch is said to hold it
	} {
		text := strings.NewReplacer("STEP", c.step, "FROM", c.from, "LIMITS", c.limits).Replace(frame)
		u := model.Compile("c.yaml", []byte(text))
		said, remedy := "", ""
		for _, f := range u.Findings {
			if f.Rule == "driven-while-off" {
				said, remedy = f.Message, f.Remedy
				if f.Pos.Line != strings.Count(text[:strings.Index(text, "motor:")], "\n")+1 {
					t.Errorf("%s: it points at line %d", c.step, f.Pos.Line)
				}
			}
		}
		if !u.OK() || !strings.Contains(said, c.said) || (said == "") != (c.said == "") || !strings.Contains(remedy, c.remedy) {
			t.Errorf("%s: %v, expected %q", c.step, u.Findings, c.said)
		}
	}
}
