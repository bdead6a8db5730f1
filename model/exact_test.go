package model_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"gainwright/model"
)

// TestDataSheetRange: a data sheet says [-2, 2] where the register ends one count below 2.
func TestDataSheetRange(t *testing.T) {
	for hi, good := range map[string]bool{"2": true, "1.99995": true, "2.0001": false} {
		u := model.Compile("d.yaml", fmt.Appendf(nil, `controller: d
rate: 100 Hz
inputs:
  x: {raw: int16, unit: g, counts_per_unit: 16384, range: [-2, %s]}
outputs:
  o: {from: x, raw: int16, unit: g, counts_per_unit: 1000}
steps:
  s: {kind: low_pass, of: x, cutoff: 2 Hz}
`, hi))
		if u.OK() != good {
			t.Errorf("[-2, %s]: %v", hi, u.Findings)
		}
	}
}

// TestFractionsOfCounts: 65536 counts a turn are no decimal number of counts a degree; the quotient is taken as it is.
func TestFractionsOfCounts(t *testing.T) {
	u := model.Compile("f.yaml", []byte(turnsApart))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	if got := u.Spec.Inputs[0].CountsPerUnit; got.Cmp(big.NewRat(65536, 360)) != 0 {
		t.Errorf("%v counts a degree", got)
	}
}

const turnsApart = `controller: f
rate: 100 Hz
target: avr8
inputs:
  a: {raw: int16, unit: deg, counts_per_unit: 65536/360}
  b: {raw: int16, unit: deg, counts_per_unit: 65536/360}
steps:
  gap: {kind: sum, of: {a: 1, b: -1}}
  around: {kind: wrap, of: gap}
outputs:
  o: {from: around, raw: int16, unit: deg, counts_per_unit: 65536/360}
`

// TestWrapKeepsEveryCount: the difference of two angles of 65536 counts a turn, wrapped, is again one of 65536 counts a turn: nothing is rounded
// on the way, though the difference itself needs 17 bits.
func TestWrapKeepsEveryCount(t *testing.T) {
	for _, unit := range []string{"deg", "turn"} {
		text := turnsApart
		if unit == "turn" {
			text = strings.ReplaceAll(strings.ReplaceAll(text, "65536/360", "65536"), "deg", "turn")
		}
		u := model.Compile("f.yaml", []byte(text))
		if !u.OK() {
			t.Fatal(u.Findings)
		}
		for _, b := range u.Bounds {
			if b.Local == nil || b.Local.Sign() != 0 {
				t.Errorf("%s: %s is rounded by %v", unit, u.Integer.Sections[b.Section].Name, b.Local)
			}
		}
		for _, s := range u.Integer.Sections {
			if s.Name == "around" {
				if op := u.Integer.Ops[s.Signals[0].Value]; op.Type.Bits() != 16 {
					t.Errorf("%s: the wrapped angle takes %d bits", unit, op.Type.Bits())
				}
			}
		}
	}
}
