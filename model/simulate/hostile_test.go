package simulate

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"gainwright/model/plant"
	"gainwright/model/spec"
	"gainwright/model/steps"
	"gainwright/model/tier"
)

// Numbers at the ends of what can be written neither hang nor break a run: they are refused, or the machine runs away.
func TestHostileNumbers(t *testing.T) {
	const text = `controller: probe
rate: %s
inputs:
  seen: {raw: int16, unit: V, counts_per_unit: 1000}
steps:
  effort: {kind: sum, of: {seen: -1}}
outputs:
  drive: {from: effort, raw: int16, unit: V, counts_per_unit: 100}
plant:
%s
  actuators: {%s: {from: drive, full: %s V, gives: %s V, delay: %s s}}
  sensors: {seen: {of: %s, noise: %s V, delay: %s s}}
scenario:
  duration: %s s
  watch: {%s: {target: 0 V, band: 1 V}}
`
	extreme := []string{"1", "1e-30", "1e12", "-1e12", "0"}
	plants := func(a, b string) []string {
		return []string{
			fmt.Sprintf("  kind: transfer_function\n  inputs: {u: V}\n  outputs: {y: V}\n  numerator: [%s]\n  denominator: [%s, 1]", a, b),
			fmt.Sprintf("  kind: transfer_function\n  inputs: {u: V}\n  outputs: {y: V}\n  numerator: [%s, 1]\n  denominator: [1, %s, %s]", a, b, a),
			fmt.Sprintf("  kind: state_space\n  inputs: {u: V}\n  outputs: {y: V}\n  a: [[0, %s], [%s, 0]]\n  b: [[1], [%s]]\n  c: [[1, %s]]", a, b, b, a),
			fmt.Sprintf("  kind: first_order\n  inputs: {u: V}\n  outputs: {y: V}\n  gain: %s\n  time_constant: %s s\n  dead_time: %s s", a, b, b),
			fmt.Sprintf("  kind: resonance\n  inputs: {u: V}\n  outputs: {y: V}\n  gain: %s\n  frequency: %s Hz\n  damping: %s", a, b, a),
		}
	}
	ran := 0
	for _, a := range extreme {
		for _, b := range extreme {
			for _, section := range plants(a, b) {
				for _, rate := range []string{"100 Hz", "1 h", "1000 kHz"} {
					if rate == "1 h" {
						rate = "3600 s"
					}
					src := fmt.Sprintf(text, rate, section, "u", "10", b, "0", "y", "0.1", "0", "0.1", "y")
					if rate == "3600 s" {
						src = strings.Replace(src, "duration: 0.1 s", "duration: 1e6 s", 1)
					}
					s, found := spec.Read("probe.yaml", []byte(src))
					stop(t, found)
					p, found := plant.Read(s)
					sc, more := ReadScenario(s, p)
					if found.Failed() || more.Failed() {
						continue
					}
					asked, _ := steps.Lower(s)
					took := tier.Took(func() { New(s, asked, nil, p, sc).twice(1) })
					ran++
					if took > 5*time.Second {
						t.Errorf("took %v:\n%s", took, src)
					}
				}
			}
		}
	}
	if ran < 60 {
		t.Errorf("%d runs", ran)
	}
}
