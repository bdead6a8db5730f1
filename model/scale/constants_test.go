package scale_test

import (
	"fmt"
	"testing"
)

// A value that is turned round has room for the constants beside it, as any other has: with the counts of the sensor alone an offset of
// half a count was stored as a whole one.
func TestConstantsBesideTurnedValues(t *testing.T) {
	for _, counts := range []string{"1", "-1"} {
		u := compile(t, fmt.Sprintf(`controller: c
rate: 100 Hz
inputs:
  x: {raw: int16, unit: m, counts_per_unit: %s, offset: 0.5, range: [-1000, 1000]}
  b: {raw: int16, unit: m, counts_per_unit: %s}
steps:
  n: {kind: sum, of: {b: -1}, limits: [0.5, 2.5]}
outputs:
  o: {from: x, raw: int16, unit: m, counts_per_unit: 8, limits: [-1000, 1000]}
  p: {from: n, raw: int16, unit: m, counts_per_unit: 8, limits: [0.5, 2.5]}
`, counts, counts))
		for _, c := range u.Constants {
			if c.Asked.Cmp(c.Stored) != 0 {
				t.Errorf("counts_per_unit %s: %s is stored as %s where %s is asked", counts, c.Name, c.Stored.RatString(), c.Asked.RatString())
			}
		}
	}
}

// What a start became is said like any other constant: it is an answer to the user until the first capture or reset.
func TestStartsAreListed(t *testing.T) {
	u := compile(t, `controller: c
rate: 100 Hz
inputs:
  x: {raw: int8, unit: m, counts_per_unit: 1}
  on: {raw: bool}
steps:
  h: {kind: hold, of: x, when: on rises, start: 3.5}
outputs:
  o: {from: h, raw: int16, unit: m}
`)
	for _, s := range u.Stored.States {
		for _, c := range u.Constants {
			if s.Name+"_start" == c.Name && c.Start && c.Asked.RatString() == "7/2" && c.Stored.Cmp(s.Start) == 0 {
				if len(u.Findings) == 0 || u.Findings[0].Rule != "gain-rounded" {
					t.Errorf("a start of 3.5 stored as %s passes without a word: %v", c.Stored.RatString(), u.Findings)
				}
				return
			}
		}
	}
	t.Errorf("the start of h is not among the constants: %v", u.Constants)
}
