package steps_test

import (
	"slices"
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

// TestEffortUnit: the effort has the unit that what it feeds leaves it, and none where nothing tells.
func TestEffortUnit(t *testing.T) {
	const out = "\noutputs:\n  o: {from: y, raw: int16, unit: V}\n"
	const aside = "  y: {kind: pid, target: 0, measured: v, kp: 1, enable: near_it, limits: [-5, 5]}" + out
	for _, c := range []struct{ rest, want string }{
		{"  y: {kind: sum, of: {e: 1}}" + out, "V"},
		{"  y: {kind: sum, of: {e: 0.5, v: 1}}" + out, "V"},
		{"  y: {kind: sum, of: {v: 1, e: -1}, limits: [-5, 5]}" + out, "V"},
		{"  s: {kind: sum, of: {e: 1}}\n  f: {kind: low_pass, of: s, cutoff: 3 Hz}\n  y: {kind: clamp, of: f, limits: [-2, 2]}" + out, "V"},
		{"  y: {kind: pid, target: e, measured: v, kp: 1, limits: [-5, 5]}" + out, "V"}, // the outer one of two
		{"  near_it: {kind: window, of: e, limits: [-1 V, 1 V]}\n" + aside, "V"},        // nothing but a window reads it
		{"  near_it: {kind: window, of: e, limits: [-1, 1]}\n" + aside, ""},
		{"  near_it: {kind: window, of: e, limits: [-1, 1], release: [-1 V, 0.5 V]}\n" + aside, "V"},
		{"  way: {kind: integrate, of: e, limits: [-9 V, 9 V]}\n  near_it: {kind: window, of: way, limits: [-1, 1]}\n" + aside, "V/s"},
		{"  way: {kind: integrate, of: e, limits: [-9, 9]}\n  y: {kind: clamp, of: way, limits: [-5, 5]}" + out, "V/s"},
		{"  y: {kind: pid, target: 0, measured: v, measured_rate: e, kp: 1, kd: 1, limits: [-5, 5]}" + out, "V/s"},
		{"  y: {kind: complementary, angle: v, rate: e, time_constant: 1 s}" + out, "V/s"},
		{"  y: {kind: sum, of: {e: 12}, unit: V}" + out, ""}, // the factor may lead to it
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

// TestOddUnitIsTold: where units contradict each other, one finding stands at the one that most others contradict, and what it says to write is
// accepted.
func TestOddUnitIsTold(t *testing.T) {
	const o, p = "  o: {from: s, raw: int16, unit: V}\n", "  p: {from: y, raw: int16, unit: duty}\n"
	const sums = "  s: {kind: sum, of: {v: 1, e: 1}, limits: [-5, 5]}\n  y: {kind: sum, of: {e: 1}, limits: [-5, 5]}\noutputs:\n"
	for _, c := range []struct{ rest, key, remedy, instead string }{
		{sums + o + p, "outputs.p", "unit: V", "unit: duty"},
		{sums + p + o, "outputs.p", "unit: V", "unit: duty"},
		{"  near_it: {kind: window, of: e, limits: [-1 V, 1]}\n  y: {kind: pid, target: 0, measured: v, kp: 1, enable: near_it, limits: [-5, 5]}\n  z: {kind: sum, of: {e: 1, y: 1}}\n" +
			"outputs:\n  o: {from: z, raw: int16, unit: duty}\n", "steps.near_it.limits", "the value in duty", "-1 V"},
		{"  near_it: {kind: window, of: e, limits: [-1 V, 1 V], release: [-0.5, 0.5 A]}\n  y: {kind: pid, target: 0, measured: v, kp: 1, enable: near_it, limits: [-5, 5]}\noutputs:\n" +
			"  o: {from: y, raw: int16, unit: V}\n", "steps.near_it.release", "the value in V", "0.5 A"},
	} {
		s, found := spec.Read("x", []byte(fed+c.rest))
		if found.Failed() {
			t.Fatal(found)
		}
		_, found = steps.Lower(s)
		if len(found) != 1 || found[0].Key != c.key || found[0].Remedy != c.remedy {
			t.Errorf("%s: found %v", c.rest, found)
		}
		unit := c.remedy[strings.LastIndexByte(c.remedy, ' ')+1:]
		lower(t, fed+strings.Replace(c.rest, c.instead, c.instead[:strings.LastIndexByte(c.instead, ' ')+1]+unit, 1))
	}
}

// TestUnitsOfKinds: relations name keys of their kind; another word is a unit.
func TestUnitsOfKinds(t *testing.T) {
	for _, k := range steps.Kinds() {
		if k.Units == "" {
			t.Errorf("%s states no relation between units", k.Name)
		}
		for _, word := range strings.FieldsFunc(k.Units, func(r rune) bool { return strings.ContainsRune(" =;", r) }) {
			word = strings.TrimSuffix(word, "/s")
			isKey := slices.ContainsFunc(k.Params, func(p steps.Param) bool { return p.Key == word })
			if !isKey && word != "own" && word != "unless" && word != "deg" {
				t.Errorf("%s: %q is no key", k.Name, word)
			}
		}
	}
}
