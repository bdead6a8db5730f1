package lint_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/templates"
)

const encoder = `controller: c
rate: 1 kHz
inputs:
  encoder: {raw: int32, unit: count, counts_per_unit: 1}
steps:
  place: {kind: low_pass, of: encoder, cutoff: 20 Hz}
  diff: {kind: sum, of: {encoder: 1000, place: -1000}, unit: count/s, limits: [-8000, 8000]}
  speed: {kind: second_order, of: diff, response: low_pass, frequency: 40 Hz, q: 0.7}
outputs:
  o: {from: speed, raw: int16, unit: count/s, limits: [-8000, 8000]}
`

const amplified = `controller: c
rate: 1 kHz
inputs:
  x: {raw: int16, unit: V, counts_per_unit: 3000}
steps:
  f: {kind: low_pass, of: x, cutoff: 5 Hz}
  g: {kind: sum, of: {f: 100000}, unit: duty}
outputs:
  o: {from: g, raw: int8, unit: duty}
`

const derived = `controller: c
rate: 1 kHz
inputs:
  encoder: {raw: int16, unit: count, counts_per_unit: 1}
steps:
  speed: {kind: pid, target: 0, measured: encoder, kd: -1, derivative_filter: 10 ms, unit: count/s, limits: [-8000, 8000]}
outputs:
  o: {from: speed, raw: int16, unit: count/s, limits: [-8000, 8000]}
`

const slowEffort = `controller: c
rate: 1 kHz
inputs:
  x: {raw: int32, unit: V, counts_per_unit: 1}
  gate: {raw: bool}
steps:
  slow: {kind: low_pass, of: x, cutoff: 1 Hz}
  kept: {kind: hold, of: slow, when: gate}
  fin: {kind: clamp, of: kept, limits: [-100, 100]}
outputs:
  o: {from: fin, raw: int8, unit: V}
`

const addedOnTheWay = `controller: c
rate: 1 kHz
inputs:
  x: {raw: int16, unit: V, counts_per_unit: 100}
steps:
  smooth: {kind: low_pass, of: x, cutoff: 5 Hz}
  drive: {kind: pid, target: 0, measured: smooth, kp: 300, ki: 100, unit: duty, limits: [-1000000000, 1000000000]}
  slow: {kind: second_order, of: drive, response: low_pass, frequency: 1 Hz, q: 0.7}
  fin: {kind: clamp, of: slow, limits: [-100, 100]}
outputs:
  o: {from: fin, raw: int8, unit: duty}
`

const resonant = `controller: c
rate: 1 kHz
inputs:
  x: {raw: int16, unit: V, counts_per_unit: 3000}
steps:
  h: {kind: second_order, of: x, response: high_pass, frequency: 10 Hz, q: 3.7}
  u: {kind: low_pass, of: h, blend: 0.999}
outputs:
  o: {from: u, raw: int16, unit: V, counts_per_unit: 3000}
`

// TestWholeRounding: what reaches a signal from the raw inputs on is held against its range, like what its own step rounds, and so is what
// constants are stored as. Where said is empty nothing is told. What is told goes when the remedy is written, as edit: "from => to", several behind ;;.
func TestWholeRounding(t *testing.T) {
	for name, c := range map[string]struct {
		text, rule string
		severity   finding.Severity
		key        string
		said       []string // parts of the message, its reasons and the remedy
		edit       string
	}{
		"an encoder's speed, of 32 bits": {encoder, "rounding-large", finding.Error, "steps.diff",
			[]string{"rounding from the raw inputs on is bounded by 1.311e+08 count/s at diff, which says nothing", "place is up to 1.311e+05 count off", "raw: int16 at the input encoder"},
			"raw: int32 => raw: int16 ;; 1000, place: -1000 => 100, place: -100"},
		"an encoder's speed, of 16 bits": {strings.Replace(encoder, "int32", "int16", 1), "rounding-large", finding.Warning, "steps.diff",
			[]string{"1000 count/s at diff, 6.3 % of its range [-8000, 8000] count/s", "gains, limits or raw ranges before it 13 times smaller"}, "1000, place: -1000 => 76, place: -76"},
		"limits wider instead": {strings.Replace(encoder, "int32", "int16", 1), "rounding-large", finding.Warning, "steps.diff",
			[]string{"limits here and behind it 13 times as wide"}, "limits: [-8000, 8000]}\n  speed => limits: [-104000, 104000]}\n  speed ;; raw: int16, unit: count/s, limits: [-8000, 8000] => raw: int32, unit: count/s, limits: [-104000, 104000]"},
		"a position declared narrow": {strings.Replace(encoder, "counts_per_unit: 1}", "counts_per_unit: 1, range: [-8000, 8000]}", 1), "rounding-large", finding.Error, "steps.place",
			[]string{"of its range [-8000, 8000] count", "a narrower raw type"}, "raw: int32 => raw: int16 ;; 1000, place: -1000 => 100, place: -100"},
		"a factor of 100000 into int8": {amplified, "rounding-large", finding.Error, "outputs.o",
			[]string{"33.46 duty at o, 13 % of its range [-128, 127] duty", "raw: int16, or gains, limits or raw ranges before it 27 times smaller"}, "raw: int8 => raw: int16"},
		"smaller gains instead": {amplified, "rounding-large", finding.Error, "outputs.o", []string{"27 times smaller"}, "100000 => 3700"},
		"a factor of 100000 of a coarse sensor": {strings.Replace(amplified, "counts_per_unit: 3000", "counts_per_unit: 1", 1), "rounding-large", finding.Error, "outputs.o",
			[]string{"1e+05 duty at o, which says nothing: no difference is larger than its range [-128, 127] duty", "raw: int32"}, "raw: int8 => raw: int32"},
		"an exact factor of 100000": {strings.NewReplacer("3000", "1", "kind: low_pass, of: x, cutoff: 5 Hz", "kind: clamp, of: x, limits: [-20000, 20000]").Replace(amplified), "-large", "", "", nil, ""},
		"a factor stored as 100000": {strings.NewReplacer("3000", "1", "kind: low_pass, of: x, cutoff: 5 Hz", "kind: clamp, of: x, limits: [-20000, 20000]", "100000", "100001").Replace(amplified), "constants-large", finding.Warning, "outputs.o",
			[]string{"rounding of constants takes it from the controller as asked", "g_of_f is the furthest off", "the bound holds where raw inputs jump across all that they can hold"}, "100001 => 100000"},
		"a speed by a derivative": {derived, "constants-large", finding.Warning, "steps.speed",
			[]string{"5958 count/s at speed, 37 % of its range [-8000, 8000] count/s", "speed_kd is the furthest off: -1.001 where -1 is asked, 0.1 %", "75 times as wide"},
			"limits: [-8000, 8000] => limits: [-600000, 600000] ;; raw: int16, unit: count/s => raw: int32, unit: count/s"},
		"what is held before the last limit": {slowEffort, "rounding-large", finding.Error, "steps.fin",
			[]string{"1.311e+05 V at fin, which says nothing", "raw: int16 at the input x"}, "raw: int32 => raw: int16 ;; counts_per_unit: 1} => counts_per_unit: 100}"},
		"a step on the way, behind an integral": {addedOnTheWay, "rounding-large", finding.Error, "steps.fin",
			[]string{"rounding of slow is bounded by 1.361e+05 duty at fin, which says nothing", "limits or raw ranges before it 140000 times smaller"}, "1000000000 => 7100"},
		// The constants of the first take the second at most 0.01135 V away, computed as the sum of the difference of both responses; 0.0131 V is proven.
		"a slow filter behind one that rings": {resonant, "-large", "", "", nil, ""},
		"a filter's constant, declared narrow": {strings.NewReplacer("unit: V, counts_per_unit: 3000}\nsteps", "unit: V, counts_per_unit: 3000, range: [-0.5, 0.5]}\nsteps",
			"  g: {kind: sum, of: {f: 100000}, unit: duty}\n", "", "from: g, raw: int8, unit: duty", "from: f, raw: int16, unit: V, counts_per_unit: 3000", "cutoff: 5 Hz", "cutoff: 0.02 Hz").Replace(amplified), "-large", "", "", nil, ""},
	} {
		u := model.Compile("c.yaml", []byte(c.text))
		large := slices.DeleteFunc(slices.Clone(u.Findings), func(f finding.Finding) bool { return !strings.HasSuffix(f.Rule, "-large") })
		if c.severity == "" {
			if len(large) > 0 || !u.OK() {
				t.Errorf("%s: %v", name, u.Findings)
			}
			continue
		}
		if len(large) != 1 {
			t.Errorf("%s: told %d times: %v", name, len(large), large)
			continue
		}
		f := large[0]
		if f.Rule != c.rule || f.Severity != c.severity || f.Key != c.key || (f.Severity == finding.Error) == u.OK() {
			t.Errorf("%s: %v", name, f)
		}
		for _, part := range c.said {
			if all := f.Message + "\n" + strings.Join(f.Because, "\n") + "\n" + f.Remedy; !strings.Contains(all, part) {
				t.Errorf("%s: %q is not said: %s", name, part, all)
			}
		}
		text := c.text
		for _, e := range strings.Split(c.edit, " ;; ") {
			from, to, _ := strings.Cut(e, " => ")
			if !strings.Contains(text, from) {
				t.Fatalf("%s: %q is not there", name, from)
			}
			text = strings.ReplaceAll(text, from, to)
		}
		if v := model.Compile("c.yaml", []byte(text)); !v.OK() || strings.Contains(fmt.Sprint(v.Findings), c.rule) {
			t.Errorf("%s: with %s: %v", name, c.edit, v.Findings)
		}
	}
}

// TestStartersRoundLittle: nothing is told of the rounding of a starter.
func TestStartersRoundLittle(t *testing.T) {
	for _, s := range templates.Starters() {
		if u := model.Compile(s+".yaml", templates.Starter(s)); len(u.Findings) > 0 {
			t.Errorf("%s: %v", s, u.Findings)
		}
	}
}
