package model_test

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/tier"
	"gainwright/templates"
)

var (
	keyOf   = regexp.MustCompile(`([a-z_]+(?:\.[a-z_]+)?): *`)
	valueOf = regexp.MustCompile(`^(\[[^]]*\]|\{[^{}]*\}|[^,{}\[\]#\n]+)`)
)

// keyed finds each key of a text with its value, as [key, its end, value, its end], those inside maps too.
func keyed(text string) (out [][4]int) {
	for _, k := range keyOf.FindAllStringSubmatchIndex(text, -1) {
		if v := valueOf.FindStringIndex(text[k[1]:]); v != nil {
			out = append(out, [4]int{k[2], k[3], k[1], k[1] + v[1]})
		}
	}
	return out
}

// TestSaidTogether: what the reader finds and what lowering finds are said in one run, and no more than that.
func TestSaidTogether(t *testing.T) {
	u := model.Compile("c.yaml", []byte(`controller: vent
rate: 20
inputs:
  air: {raw: int16, unit: degC, counts_per_unit: 100, range: [-20, 80]}
  wind: {raw: int16, unit: m/s, counts_per_unit: 10, range: [0, 9000]}
  rain: {raw: bol}
steps:
  smooth: {kind: low_pass, of: air, time_constant: 2 Hz}
  gust: {kind: clamp, of: wind, limits: [30, 10]}
  both: {kind: sum, of: {air: 1, wind: 2}}
  flap: {kind: pid, target: 24 m, measured: air, kp: 6 V, ki: 0.3, enable: rain, limits: [-20, 20 V]}
  spin: {kind: pid, target: 24, measured: gust, kpp: 6, ki: 0.3, start: 500, weight: 7}
outputs:
  servo: {from: flap, raw: int8, unit: deg, limits: [0, 400]}
  fan: {from: air, raw: int16, unit: percent, limits: [0.2, 0.4]}
  horn: {from: spn, raw: int16, unit: percent, limits: [0, 100]}
tuning: {flap.ki: [0, 0.2]}
accuracy: {air: 0.1 K, both: 2 K}
plant: {kind: heater, heat_capacity: 3 m}
`))
	var got []string
	for _, f := range u.Findings {
		got = append(got, f.Key+" "+f.Rule)
	}
	want := []string{
		"rate missing-unit", "inputs.wind.range range-beyond-raw", "inputs.rain.raw unknown-raw", "steps.smooth.time_constant not-a-time",
		"steps.gust.limits range-upside-down", "steps.both.of.wind unit-mismatch", "steps.flap.target unit-mismatch", "steps.flap.kp unit-mismatch",
		"steps.flap.limits unit-mismatch", "steps.spin.kpp unknown-key", "steps.spin.weight weight-outside", "outputs.servo.limits limits-beyond-raw",
		"outputs.fan unit-mismatch", "outputs.fan.limits no-count-inside", "outputs.horn.from unknown-name", "tuning.flap.ki gain-outside-tuning",
		"accuracy.air wrong-reference",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// TestHarmHidesNothing: whatever is damaged elsewhere, an error of a step's unit is said in the same run. In that step, and in those that its
// unit comes through, damage may hide it.
func TestHarmHidesNothing(t *testing.T) {
	text := strings.Replace(string(templates.Starter("cart")), "limits: [-24, 24]", "limits: [-24 m, 24]", 1)
	tried, hidden := 0, 0
	for _, at := range keyed(text[:strings.Index(text, "\nplant:")]) {
		line := text[strings.LastIndex(text[:at[0]], "\n")+1:]
		if through.MatchString(line) {
			continue
		}
		for _, value := range []string{"\"?!\"", "[1, 2, 3]", "!x 3"} {
			tried++
			u := model.Compile("cart.yaml", []byte(text[:at[2]]+value+text[at[3]:]))
			if !slices.ContainsFunc(u.Findings, func(f finding.Finding) bool { return f.Key == "steps.upright.limits" && f.Rule == "unit-mismatch" }) {
				hidden++
				t.Logf("hidden by %s at %q", value, text[at[0]:at[3]])
			}
		}
	}
	if tried < 150 || hidden > 0 {
		t.Errorf("%d of %d damages hide the error", hidden, tried)
	}
}

var through = regexp.MustCompile(`^  (lean|tilt|upright): \{kind`)

// TestOneHarm damages each key and each value of every starter in several ways, one at a time: what is said then belongs to the line of the
// damage, or names what was lost there. Whatever else were said would be a false follow-on, since the rest of the starter is right.
func TestOneHarm(t *testing.T) {
	harms := map[string]func(text string, at [4]int) string{
		"key misspelt":  func(text string, at [4]int) string { return text[:at[1]] + "x" + text[at[1]:] },
		"another key":   func(text string, at [4]int) string { return text[:at[0]] + "qqq" + text[at[1]:] },
		"another value": func(text string, at [4]int) string { return text[:at[2]] + "\"?!\"" + text[at[3]:] },
		"a list":        func(text string, at [4]int) string { return text[:at[2]] + "[1, 2, 3]" + text[at[3]:] },
		"nothing":       func(text string, at [4]int) string { return text[:at[2]] + text[at[3]:] },
		"a tag":         func(text string, at [4]int) string { return text[:at[2]] + "!x " + text[at[2]:] },
		"another unit":  func(text string, at [4]int) string { return text[:at[2]] + "3 parsec" + text[at[3]:] },
	}
	tried, said, least, passed := 0, 0, 500, 0
	starters := templates.Starters()
	if !tier.All() {
		starters, least = starters[:1], 50
	}
	for _, name := range starters {
		text := string(templates.Starter(name))
		plant := strings.Index(text, "\nplant:")
		for _, at := range keyed(text) {
			line, key := 1+strings.Count(text[:at[0]], "\n"), text[at[0]:at[1]]
			if at[0] > plant && key != "duration" && key != "battery" {
				continue
			}
			for _, how := range slices.Sorted(maps.Keys(harms)) {
				if passed++; passed%tier.Count(6, 3, 1) != 0 {
					continue
				}
				u := model.Compile(name+".yaml", []byte(harms[how](text, at)))
				tried++
				for _, f := range u.Findings {
					switch {
					case f.Severity != finding.Error:
					case f.Pos.Line == line:
						said++
					case !loses(f, key):
						t.Errorf("%s, line %d, %s at %q: %s", name, line, how, text[at[0]:at[3]], f)
					}
				}
			}
		}
	}
	if tried < least || said < tried/2 {
		t.Errorf("%d damages were tried, and %d things said of them", tried, said)
	}
}

// loses tells whether a finding is about something that the damaged key named: a name that is gone is missed wherever it stands.
func loses(f finding.Finding, key string) bool {
	switch f.Rule {
	case "missing-key", "unknown-signal", "unknown-name", "unknown-input", "unknown-output", "unknown-set-point", "unknown-kind":
		return regexp.MustCompile(`\b` + regexp.QuoteMeta(key) + `\b`).MatchString(f.Message)
	case "input-without-source": // it has a new name, and what filled it fills nothing
		return true
	case "gain-outside-tuning": // a number in another unit is another number
		return true
	case "no-battery":
		return key == "battery"
	case "unit-mismatch": // any word is a unit
		return key == "unit"
	}
	return false
}
