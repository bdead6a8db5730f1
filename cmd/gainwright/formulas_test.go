package main

import (
	"bytes"
	"strings"
	"testing"

	"gainwright/model"
)

// TestFormulaExamples: each example of `help formula` compiles as it stands, in the unit that is meant, and the page fits a screen.
func TestFormulaExamples(t *testing.T) {
	const around = `controller: greenhouse
rate: 10 Hz
inputs:
  air: {raw: int16, unit: degC, counts_per_unit: 1000, range: [-20, 30]}
  soil: {raw: int16, unit: degC, counts_per_unit: 1000, range: [-20, 30]}
  supply: {raw: uint16, unit: V, counts_per_unit: 1000, range: [0, 15]}
  armed: {raw: bool}
  fault: {raw: bool}
steps:
  it: {kind: formula, value: "VALUE", MORE}
  shown: {kind: formula, value: "OUT"}
outputs:
  out: {from: shown, raw: int16, unit: UNIT, counts_per_unit: 100}
`
	for i, unit := range []string{"duty", "duty", "switch", "degC", "degC/V", "degC", "degC", "switch"} {
		x := formulaExamples[i]
		out := "it"
		if unit == "switch" {
			unit, out = "duty", "if it then 1 else 0"
		}
		text := strings.NewReplacer("VALUE", strings.ReplaceAll(x.value, "previous y", "previous it"), ", MORE", map[bool]string{true: ", " + x.more}[x.more != ""], "OUT", out, "UNIT", unit).Replace(around)
		if u := model.Compile("greenhouse.yaml", []byte(text)); !u.OK() {
			t.Errorf("%s: %v", x.value, u.Findings)
		}
	}
	var b bytes.Buffer
	if !showTopic(newPaper(&b), "formula") {
		t.Fatal("no help")
	}
	if lines := strings.Count(b.String(), "\n"); lines > 45 {
		t.Errorf("the page has %d lines, a screen has 45", lines)
	}
	for line := range strings.Lines(b.String()) {
		if len(line) > 130 {
			t.Errorf("a line of %d characters: %s", len(line), line)
		}
	}
}
