package steps_test

import (
	"fmt"
	"slices"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// latched is a check that trips when the reading jumps by more than 1 V in a tick.
const latched = `controller: probe
rate: 1 Hz
target: avr8
inputs:
  x: {raw: int16, unit: V, counts_per_unit: 1, range: [-100, 100]}
  seen_to: {raw: bool}
steps:
  s: {kind: plausible, of: x, fastest: 1 V/s, range: [-100, 100]%s}
  p: {kind: pid, target: 50, measured: x, enable: s, unit: V, kp: 1, limits: [0, 100]}
outputs:
  o: {from: p, raw: int16, unit: V, counts_per_unit: 1, limits: [0, 100]}
`

// TestTripOutlastsRestart: a restart forgets neither a trip nor that its reset was on; a reset that comes on ends it, and so does the start.
// The real program and the integer one agree.
func TestTripOutlastsRestart(t *testing.T) {
	const restart, start = -1, -2
	type drive struct {
		x, clear int64
		on       bool
	}
	jumps := []drive{{0, 0, true}, {50, 0, false}, {50, 0, false}}
	for name, c := range map[string]struct {
		reset string
		then  []drive // an x of restart or start with a clear below 0 is one
	}{
		"no reset":           {"", []drive{{x: restart, clear: -1}, {50, 0, false}, {50, 1, false}, {x: restart, clear: -1}, {50, 0, false}, {x: start, clear: -1}, {50, 0, true}}},
		"a reset":            {", reset: seen_to", []drive{{x: restart, clear: -1}, {50, 0, false}, {50, 1, true}, {50, 1, true}}},
		"it was on before":   {", reset: seen_to", []drive{{50, 1, true}, {99, 1, false}, {x: restart, clear: -1}, {50, 1, false}, {50, 0, false}, {50, 1, true}}},
		"it comes on in one": {", reset: seen_to", []drive{{50, 0, false}, {x: restart, clear: -1}, {50, 1, true}}},
	} {
		u := model.Compile("probe.yaml", []byte(fmt.Sprintf(latched, c.reset)))
		if !u.OK() {
			t.Fatal(u.Findings)
		}
		whole, real := program.NewFixedMachine(u.Integer), program.NewRealMachine(u.Asked)
		signal := func(p *program.Frame) program.ID {
			i := slices.IndexFunc(p.Sections, func(s program.Section) bool { return s.Name == "s" })
			return p.Sections[i].Signals[0].Value
		}
		for n, d := range append(slices.Clone(jumps), c.then...) {
			switch {
			case d.clear < 0 && d.x == restart:
				whole.Restart()
				real.Restart()
				continue
			case d.clear < 0:
				whole.Start()
				real.Start()
				continue
			}
			whole.Tick([]int64{d.x, d.clear}, nil)
			real.Tick([]float64{float64(d.x), float64(d.clear)}, nil, nil)
			if got, exact := whole.Values[signal(&u.Integer.Frame)] != 0, real.Values[signal(&u.Asked.Frame)] != 0; got != d.on || exact != d.on {
				t.Errorf("%s, %d: on %v, in real numbers %v, want %v", name, n, got, exact, d.on)
			}
		}
	}
}
