package summary

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/templates"
)

var others = regexp.MustCompile(`(?ms)^(formats|accuracy|plant|scenario):.*?^(\S|\z)`)

// bare is a spec without its plant, its scenario and what is asked of its formats.
func bare(text string) string {
	for others.MatchString(text) {
		text = others.ReplaceAllString(text, "$2")
	}
	return text
}

// TestPrintedFormatsAreAccepted writes each format that check prints for a step below formats: it is accepted, and the signal keeps its count.
func TestPrintedFormatsAreAccepted(t *testing.T) {
	specs := map[string]string{"turns": `controller: turns
rate: 100 Hz
target: avr8
inputs:
  a: {raw: int16, unit: turn, counts_per_unit: 65536}
  b: {raw: int16, unit: deg, counts_per_unit: 65536/360}
  c: {raw: int16, unit: duty, counts_per_unit: 0.25}
steps:
  wr: {kind: wrap, of: a}
  bent: {kind: wrap, of: b}
  coarse: {kind: clamp, of: c, limits: [-100000, 100000]}
outputs:
  o: {from: wr, raw: int16, unit: turn, counts_per_unit: 65536}
  p: {from: bent, raw: int32, unit: deg, counts_per_unit: 65536}
  q: {from: coarse, raw: int16, unit: duty, counts_per_unit: 0.25}
`}
	for _, name := range templates.Starters() {
		specs[name] = string(templates.Starter(name))
	}
	written := map[string]bool{}
	for name, text := range specs {
		text = bare(text)
		u := model.Compile(name, []byte(text))
		if !u.OK() {
			t.Fatal(u.Findings)
		}
		for _, s := range u.Integer.Sections {
			for _, sig := range s.Signals {
				op := u.Integer.Ops[sig.Value]
				if s.Role != program.Step || op.Bool || strings.Contains(sig.Name, ".") {
					continue
				}
				form := formatOf(u.Integer, op.LSB, op.Type, op.Lo, op.Hi).Notation
				written[form] = true
				v := model.Compile(name, fmt.Appendf([]byte(text), "\nformats: {%s: %s}\n", sig.Name, form))
				if !v.OK() {
					t.Errorf("%s: %s: %s: %v", name, sig.Name, form, v.Findings)
					continue
				}
				for _, s2 := range v.Integer.Sections {
					for _, sig2 := range s2.Signals {
						if got := v.Integer.Ops[sig2.Value]; sig2.Name == sig.Name && got.LSB.Cmp(op.LSB) != 0 {
							t.Errorf("%s: %s: a count is %s with %s written, %s without", name, sig.Name, got.LSB, form, op.LSB)
						}
					}
				}
			}
		}
	}
	for _, form := range []string{"Q-1.16", "Q15.0 x 45/8192"} {
		if !written[form] {
			t.Errorf("%s was not tried, but %v", form, written)
		}
	}
}

// TestPrintedSettingsAreAccepted writes each gain and each time of a filter that check prints in place of what the spec gives: it is accepted as it stands,
// with its unit.
func TestPrintedSettingsAreAccepted(t *testing.T) {
	tried := 0
	for _, name := range templates.Starters() {
		text := bare(string(templates.Starter(name)))
		u := model.Compile(name, []byte(text))
		for _, sec := range u.Asked.Sections {
			for _, set := range sec.Settings {
				key := map[string]string{"derivative_time_constant": "derivative_filter"}[set.Name]
				if key == "" {
					key = set.Name
				}
				given := regexp.MustCompile(`(?ms)(^  ` + sec.Name + `: \{[^}]*\b` + key + `: )([^,}]+)`)
				if !given.MatchString(text) {
					continue // given by another key
				}
				tried++
				value, _ := set.Value.Float64()
				written := fmt.Sprintf("%.6g %s", value, set.Unit)
				v := model.Compile(name, []byte(given.ReplaceAllString(text, "${1}"+written)))
				if !v.OK() {
					t.Errorf("%s: %s.%s: %s: %v", name, sec.Name, key, written, v.Findings)
				}
			}
		}
	}
	if tried < 12 {
		t.Errorf("only %d settings were tried", tried)
	}
}
