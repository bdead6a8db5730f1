package model_test

import (
	"slices"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/tier"
)

const remedied = `controller: incubator
rate: 10 Hz
target: avr8
inputs:
  temperature: {raw: int16, unit: degC, counts_per_unit: 128, offset: 0, range: [-20, 80]}
  lid: {raw: bool}
steps:
  smooth: {kind: low_pass, of: temperature, time_constant: 5 s}
  heat: {kind: pid, target: 37, measured: smooth, enable: lid, kp: 12, ki: 0.02, kd: 60, derivative_filter: 10 s, limits: [0, 100], unit: percent, start: 10, weight: 0.9}
  mix: {kind: sum, of: {heat: 1}, offset: 3}
outputs:
  heater: {from: mix, raw: int16, unit: percent, counts_per_unit: 10, limits: [0, 90], least_effort: 2}
accuracy: {heater: 1 percent}
budget: {clock: 16 MHz, share: 0.5, other: 1 ms}
`

// TestRemediesAreAccepted writes numbers with units as people write them into every place of a spec that takes a number. Where one is refused, what
// is proposed instead is written in its place, up to the first comma: then nothing may be said of how it is written or of its unit. What may
// be said is that the number is too large or too small for its place.
func TestRemediesAreAccepted(t *testing.T) {
	if u := model.Compile("x.yaml", []byte(remedied)); !u.OK() {
		t.Fatal(u.Findings)
	}
	values := []string{"3 %", "3%", "37 \u00b0C", "37\u00b0C", "37 C", "0.02 1/s", "3 per s", "0,5", "1/3", "5ms", "50 percent",
		"0.5 percent per degC", "1_000", "1.5k", "16MHz", "2 h", "5 \u00b5s", "\u22125 degC"}
	places := []string{"rate: 10 Hz", "counts_per_unit: 128", "offset: 0", "time_constant: 5 s", "target: 37", "kp: 12", "ki: 0.02", "kd: 60", "derivative_filter: 10 s",
		"start: 10", "weight: 0.9", "offset: 3", "counts_per_unit: 10", "least_effort: 2", "heater: 1 percent", "clock: 16 MHz", "share: 0.5", "other: 1 ms",
		"range: [-20, 80]", "limits: [0, 100]", "limits: [0, 90]", "of: {heat: 1}"}
	refused, least := 0, 200
	if !tier.All() {
		values, least = values[:3], 30
	}
	for _, place := range places {
		for _, value := range values {
			number := strings.TrimLeft(place[strings.Index(place, ": ")+2:], "{[heat: ")
			number, _, _ = strings.Cut(strings.TrimRight(number, "]}"), ",")
			if strings.Contains(place, "[") && value == "0,5" {
				continue // three numbers in a list
			}
			write := func(text string) string {
				at := strings.Index(place, ": ") + 2
				return strings.Replace(remedied, place, place[:at]+strings.Replace(place[at:], number, text, 1), 1)
			}
			u := model.Compile("x.yaml", []byte(write(value)))
			i := slices.IndexFunc(u.Findings, written)
			if i < 0 {
				continue
			}
			refused++
			remedy, _, _ := strings.Cut(u.Findings[i].Remedy, ", ")
			key, _, _ := strings.Cut(place, ": ")
			if strings.HasPrefix(remedy, "cutoff: ") {
				continue // another key
			}
			remedy = strings.TrimPrefix(strings.TrimPrefix(remedy, key+": "), "heat: ")
			if unit, inWords := strings.CutPrefix(remedy, "the value in "); inWords { // nobody can convert it: what is said is the unit
				remedy = strings.Fields(number)[0] + " " + unit
			} else if remedy == "the value without a unit" {
				remedy = strings.Fields(number)[0]
			}
			again := model.Compile("x.yaml", []byte(write(remedy)))
			if j := slices.IndexFunc(again.Findings, written); j >= 0 {
				t.Errorf("%s in place of %s in %q: %s\nand when that is written: %s", value, number, place, u.Findings[i], again.Findings[j])
			}
		}
	}
	if refused < least {
		t.Errorf("only %d values were refused", refused)
	}
}

// written tells whether a finding is about how a number is written, or about its unit.
func written(f finding.Finding) bool {
	return slices.Contains([]string{"not-a-number", "unit-mismatch", "bad-number", "wrong-unit", "missing-unit", "two-meanings", "bad-quantity", "not-a-time", "bad-character",
		"decimal-comma", "not-a-frequency", "yaml-syntax", "wrong-shape", "zero-counts"}, f.Rule)
}
