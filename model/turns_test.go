package model

import "testing"

// TestTurnsOfSums: angles that a sum weighs go around a circle whatever the sum reaches, and whatever the output counts.
func TestTurnsOfSums(t *testing.T) {
	for name, counts := range map[string][2]string{
		"the sum needs more than 16 bits": {"58078/360", "120.427"},
		"only the output says the count":  {"58078/360", "23.9702"},
		"a turn of the output is odd":     {"100", "35999/360"},
	} {
		u := Compile("mix.yaml", []byte(`controller: mix
rate: 100 Hz
inputs:
  h: {raw: int16, unit: deg, counts_per_unit: `+counts[0]+`}
  k: {raw: int16, unit: deg, counts_per_unit: `+counts[0]+`}
steps:
  both: {kind: sum, of: {h: 0.7, k: -0.506}}
  way: {kind: wrap, of: both}
  rest: {kind: sum, of: {way: -1, h: 1}}
  gap: {kind: wrap, of: rest}
outputs:
  a: {from: way, raw: int16, unit: deg, counts_per_unit: `+counts[1]+`}
  b: {from: gap, raw: int16, unit: deg, counts_per_unit: `+counts[1]+`}
`))
		if !u.OK() {
			t.Errorf("%s: %v", name, u.Findings)
		}
	}
}
