package steps_test

import (
	"strings"
	"testing"

	"gainwright/model/spec"
	"gainwright/model/steps"
)

const fed = `controller: c
rate: 100 Hz
inputs:
  a: {raw: int16, unit: m, counts_per_unit: 100}
  v: {raw: int16, unit: V, counts_per_unit: 100}
steps:
  e: {kind: pid, target: 0, measured: a, kp: 3, ki: 1, limits: [-5, 5]}
`

// TestEffortUnit: the effort has the one unit that what it feeds leaves it, and none where nothing tells or two things tell differently.
func TestEffortUnit(t *testing.T) {
	const out = "\noutputs:\n  o: {from: y, raw: int16, unit: V}\n"
	for _, c := range []struct{ rest, want string }{
		{"  y: {kind: sum, of: {e: 1}}" + out, "V"},
		{"  y: {kind: sum, of: {e: 0.5, v: 1}}" + out, "V"},
		{"  y: {kind: sum, of: {v: 1, e: -1}, limits: [-5, 5]}" + out, "V"},
		{"  s: {kind: sum, of: {e: 1}}\n  f: {kind: low_pass, of: s, cutoff: 3 Hz}\n  y: {kind: clamp, of: f, limits: [-2, 2]}" + out, "V"},
		{"  y: {kind: pid, target: e, measured: v, kp: 1, limits: [-5, 5]}" + out, "V"}, // the outer one of two
		{"  y: {kind: sum, of: {e: 12}, unit: V}" + out, ""},                            // the factor may lead to it
		{"  y: {kind: sum, of: {e: 12}, unit: V}\n  z: {kind: sum, of: {e: 1}}" + out + "  p: {from: z, raw: int16, unit: duty}\n", "duty"},
	} {
		p := lower(t, fed+c.rest)
		found := false
		for _, s := range p.Sections {
			if s.Name == "e" {
				found = true
				if got := p.Ops[s.Signals[0].Value].Unit; got != c.want {
					t.Errorf("%s: the unit is %q, expected %q", c.rest, got, c.want)
				}
				if want := strings.TrimSuffix(c.want+"/m", "/m") + "/m"; s.Settings[0].Name != "kp" || s.Settings[0].Unit != want {
					t.Errorf("%s: kp is in %q, expected %q", c.rest, s.Settings[0].Unit, want)
				}
			}
		}
		if !found {
			t.Errorf("%s: there is no e", c.rest)
		}
	}
}

// TestEffortUnitToWrite: where the unit cannot be told, the finding says what to write at which step, and that is accepted.
func TestEffortUnitToWrite(t *testing.T) {
	text := fed + "  s: {kind: sum, of: {v: 1, e: 1}, limits: [-5, 5]}\n  y: {kind: sum, of: {e: 1}, limits: [-5, 5]}\noutputs:\n" +
		"  o: {from: s, raw: int16, unit: V}\n  p: {from: y, raw: int16, unit: duty}\n"
	s, found := spec.Read("x", []byte(text))
	if found.Failed() {
		t.Fatal(found)
	}
	_, found = steps.Lower(s)
	if len(found) == 0 || found[0].Key != "steps.s.of.e" || found[0].Remedy != "unit: V, at the step e" {
		t.Fatal(found)
	}
	text = strings.Replace(strings.Replace(text, "measured: a,", "measured: a, unit: V,", 1), "unit: duty", "unit: V", 1)
	lower(t, text)
}
