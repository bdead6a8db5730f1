package golang

import (
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/tier"
)

// awkward takes names that mean something in the emitted Go.
const awkward = `controller: %s
rate: 100 Hz
target: portable
inputs:
  bit: {raw: int16, unit: deg, counts_per_unit: 100, range: [-90, 90]}
  fed: {raw: uint8, unit: deg, counts_per_unit: 2, offset: -40}
  watch: {raw: bool}
  w: {raw: int8, unit: deg, counts_per_unit: -1}
steps:
  step: {kind: sum, of: {bit: 0.7}}
  signals: {kind: sum, of: {step: 1, fed: -2.5}}
  latch: {kind: hold, of: signals, when: watch rises, limits: [-50, 50]}
  active: {kind: sum, of: {latch: 1, w: 0.3}}
  in: {kind: pid, target: latch, measured: active, unit: v, kp: 3, ki: 0.5, limits: [-12, 12]}
outputs:
  s: {from: in, raw: int16, unit: v, counts_per_unit: 100, limits: [-12, 12]}
tuning: {in.kp: [0, 9], in.ki: [0, 2]}
`

func TestAwkwardNames(t *testing.T) {
	tier.Slow(t)
	for _, name := range []string{"time", "bits_linux", "wrap32"} {
		t.Run(name, func(t *testing.T) {
			u := model.Compile(name+".yaml", []byte(strings.Replace(awkward, "%s", name, 1)))
			if !u.OK() {
				t.Fatalf("%v", u.Findings)
			}
			dir := write(t, u)
			vectors(t, dir, u)
			if out, err := run(t, dir, "vet", "./..."); err != nil {
				t.Errorf("go vet: %v\n%s", err, out)
			}
			out, err := run(t, dir, "test", "-count=1", "-v", "-skip", besideC, "./...")
			if err != nil || !strings.Contains(out, "--- PASS: TestIntegersStayWithinBounds") {
				t.Fatalf("go test: %v\n%s", err, out)
			}
		})
	}
}
