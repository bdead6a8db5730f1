package lint_test

import (
	"fmt"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/finding"
)

// TestLargeRounding: rounding of more than a hundredth of a range is warned of, of more than a tenth refused; the counts of an output and of a sensor are the
// spec's own choice, and said as that.
func TestLargeRounding(t *testing.T) {
	const frame = `controller: c
rate: 1 kHz
inputs:
  x: {raw: int16, unit: V, counts_per_unit: %s%s}
steps:
  f: %s
outputs:
  o: {from: f, raw: %s}
`
	low := "{kind: second_order, of: x, response: low_pass, frequency: %s Hz, q: 0.7071, structure: %s}"
	for name, c := range map[string]struct {
		counts, span, step, output string
		rule                       string
		severity                   finding.Severity // empty: nothing is said
		said                       string
	}{
		"a slow filter in the automatic form": {"3000", "", fmt.Sprintf(low, "1", "automatic"), "int32, unit: V, counts_per_unit: 3000", "rounding-large", "", ""},
		"in the direct form at 3 Hz":          {"3000", "", fmt.Sprintf(low, "3", "direct"), "int32, unit: V, counts_per_unit: 3000", "rounding-large", finding.Warning, "% of its range"},
		"in the direct form at 0.5 Hz":        {"3000", "", fmt.Sprintf(low, "0.5", "direct"), "int32, unit: V, counts_per_unit: 3000", "rounding-large", finding.Error, "% of its range"},
		"an output of 11 counts":              {"3000", "", "{kind: low_pass, of: x, cutoff: 5 Hz}", "int8, unit: V, limits: [-5, 6]", "coarse-output", finding.Warning, "11 counts: half a count, which rounding to it takes, is 4.5 %"},
		"an output of one count is a switch":  {"3000", "", "{kind: low_pass, of: x, cutoff: 5 Hz}", "int8, unit: V, limits: [0, 1]", "coarse-output", "", ""},
		"an output of 510 counts":             {"3000", "", "{kind: low_pass, of: x, cutoff: 5 Hz}", "int16, unit: V, limits: [-255, 255]", "coarse-output", "", ""},
		"an output of 4 counts":               {"3000", "", "{kind: low_pass, of: x, cutoff: 5 Hz}", "int8, unit: V, limits: [0, 4]", "coarse-output", finding.Error, "4 counts: half a count, which rounding to it takes, is 12 %"},
		"four places that are meant":          {"3000", "", "{kind: low_pass, of: x, cutoff: 5 Hz}", "int8, unit: V, limits: [0, 4]}\naccuracy: {o: 1 count", "coarse-output", finding.Warning, "4 counts"},
		"a range of 0.8 counts":               {"0.008", ", range: [-50, 50]", "{kind: low_pass, of: x, cutoff: 5 Hz}", "int16, unit: V", "upside-down", finding.Error, "0.8 counts: one count is worth 125 V"},
		"a switch of four places":             {"1", ", range: [0, 3]", "{kind: low_pass, of: x, cutoff: 5 Hz}", "int16, unit: V", "upside-down", "", ""},
	} {
		text := fmt.Sprintf(frame, c.counts, c.span, c.step, c.output)
		u := model.Compile("c.yaml", []byte(text))
		severity, said := finding.Severity(""), ""
		var first finding.Finding
		for _, f := range u.Findings {
			if f.Rule == c.rule && severity == "" {
				severity, said, first = f.Severity, f.Message, f
			}
		}
		if severity != c.severity || !strings.Contains(said, c.said) || (severity == finding.Error) == u.OK() {
			t.Errorf("%s: %q %q, expected %q %q", name, severity, said, c.severity, c.said)
		}
		if severity == "" || first.Rule == "coarse-output" {
			continue
		}
		better := applied(text, first)
		if first.Rule == "rounding-large" { // it points at the step, and says what to write there
			better = strings.Replace(text, "structure: direct", "structure: automatic", 1)
			if !strings.HasPrefix(first.Remedy, "structure: automatic") {
				t.Errorf("%s: the remedy is %q", name, first.Remedy)
			}
		}
		v := model.Compile("c.yaml", []byte(better))
		if !v.OK() || strings.Contains(fmt.Sprint(v.Findings), c.rule) {
			t.Errorf("%s: with %s: %v", name, first.Remedy, v.Findings)
		}
	}
}

// TestFirstTickRange: a filter that begins with its first input was never at 0, and its rounding is held against what it was at.
func TestFirstTickRange(t *testing.T) {
	const frame = `controller: c
rate: 10 Hz
inputs:
  x: {raw: int16, unit: degC, counts_per_unit: 128, range: [%s]}
steps:
  f: {kind: low_pass, of: x, time_constant: 1 s%s}
outputs:
  o: {from: f, raw: int16, unit: degC, counts_per_unit: 100, limits: [0, 150]}
formats: {f: Q14.0}
`
	for _, c := range []struct {
		span, start, said string
		severity          finding.Severity
	}{
		{"20, 24", "", "13 % of its range [20, 24]", finding.Error},
		{"100, 104", "", "13 % of its range [100, 104]", finding.Error},
		{"20, 24", ", start: 0", "2.3 % of its range [1.8182, 24]", finding.Warning}, // its start is used
	} {
		said := false
		u := model.Compile("c.yaml", []byte(fmt.Sprintf(frame, c.span, c.start)))
		for _, f := range u.Findings {
			said = said || f.Rule == "rounding-large" && f.Severity == c.severity && strings.Contains(f.Message, c.said)
		}
		if !said {
			t.Errorf("[%s]%s: %v, expected %q", c.span, c.start, u.Findings, c.said)
		}
	}
}
