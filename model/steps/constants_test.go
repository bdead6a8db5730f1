package steps_test

import (
	"fmt"
	"strings"
	"testing"

	"gainwright/model/program"
	"gainwright/model/spec"
	"gainwright/model/steps"
)

// TestConstantsAreNumbers: a constant means what the number written in its place means, wherever a number may stand.
func TestConstantsAreNumbers(t *testing.T) {
	const text = `controller: bench
rate: TICK
CONSTANTSinputs:
  angle: {raw: int16, unit: deg, counts_per_unit: COUNTS, range: [-END, END], offset: ZERO}
  armed: {raw: bool}
steps:
  slow: {kind: low_pass, of: angle, time_constant: SETTLE}
  mean: {kind: sum, of: {slow: HALF, angle: HALF}, offset: ZERO}
  push: {kind: pid, target: ZERO, measured: mean, kp: STRONG, limits: [-MOST, MOST], enable: "armed and abs(angle) < END - 1"}
  mixed: {kind: formula, value: "clamp(push * HALF + gain * (angle - ZERO), -MOST, MOST)", numbers: {gain: STRONG}}
outputs:
  drive: {from: mixed, raw: int16, unit: duty, counts_per_unit: 10, limits: [-MOST, MOST], least_effort: COARSE}
tuning:
  push.kp: [0, STRONGEST]
accuracy:
  drive: COARSE
`
	values := [][3]string{{"TICK", "tick", "10 ms"}, {"COUNTS", "counts", "100"}, {"END", "end_angle", "30 deg"}, {"ZERO", "zero_angle", "0.5 deg"}, {"SETTLE", "settle", "0.2 s"}, {"HALF", "half", "0.5"},
		{"STRONGEST", "strongest", "6"}, {"STRONG", "strong", "5 duty/deg"}, {"MOST", "most", "100 duty"}, {"COARSE", "coarse", "0.3 duty"}}
	lowered := func(constants bool) *program.Real {
		list, out := "", text
		for _, v := range values {
			if constants {
				list += "  " + v[1] + ": " + v[2] + "\n"
				out = strings.ReplaceAll(out, v[0], v[1])
			} else {
				out = strings.ReplaceAll(out, v[0], v[2])
			}
		}
		if list != "" {
			list = "constants:\n" + list
		}
		s, found := spec.Read("bench.yaml", []byte(strings.Replace(out, "CONSTANTS", list, 1)))
		p, more := steps.Lower(s)
		if found = append(found, more...); found.Failed() {
			t.Fatal(found)
		}
		return p
	}
	show := func(p *program.Real) string {
		var b strings.Builder
		for _, op := range p.Ops {
			fmt.Fprintln(&b, op.Kind, op.Args, op.Index, op.K, op.Unit, op.Name)
		}
		for _, s := range p.States {
			fmt.Fprintln(&b, s.Name, s.Start, s.Next)
		}
		for _, in := range p.Inputs {
			fmt.Fprintln(&b, in.Name, in.LSB, in.Lo, in.Hi, in.Offset)
		}
		for _, o := range p.Outputs {
			fmt.Fprintln(&b, o.Name, o.Lo, o.Hi, o.LSB)
		}
		for _, g := range p.Gains {
			fmt.Fprintln(&b, g.Name, g.Value, g.Lo, g.Hi, g.Unit)
		}
		return b.String()
	}
	names, numbers := show(lowered(true)), show(lowered(false))
	if names != numbers {
		t.Errorf("with constants:\n%s\nwith numbers:\n%s", names, numbers)
	}
}
