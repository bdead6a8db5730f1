package golang

import (
	"testing"

	"gainwright/model"
)

// TestSwitchHandedOn: the package of a controller that hands a switch on, at each tick or held, passes what the go command looks at before it runs a test.
func TestSwitchHandedOn(t *testing.T) {
	u := model.Compile("c.yaml", []byte(`controller: c
rate: 1 kHz
inputs:
  x: {raw: int16, unit: m, counts_per_unit: 100}
  armed: {raw: bool}
steps:
  seen: {kind: formula, value: armed}
  held: {kind: formula, value: seen, every: 4 ticks}
  y: {kind: formula, value: "if held then x else 0 m"}
outputs:
  o: {from: y, raw: int16, unit: m}
`))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	if out, err := run(t, write(t, u), "vet", "./..."); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
