package summary

import (
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"

	"gainwright/gen/document"
	"gainwright/model"
)

func of(t *testing.T, name string) *Summary {
	t.Helper()
	text, err := os.ReadFile("../../testdata/specs/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	s := Of(model.Compile(name+".yaml", text))
	if s.Verdict == document.Bad {
		t.Fatal(s.Findings)
	}
	return s
}

// TestAroundIsSaid: sentence, table and JSON say that a wrapped angle is off around the circle, and by what period it repeats; of
// what follows the seam nothing is said from the raw inputs.
func TestAroundIsSaid(t *testing.T) {
	s := of(t, "seam")
	words := strings.Join(s.Words, "\n")
	if want := "out is what the exact steps half and out would give with the stored constants had wr been wrong by at most 0.005 deg around the circle, plus"; !strings.Contains(words, want) {
		t.Errorf("%q is missing in %q", want, words)
	}
	seen := 0
	for i, b := range bounds(s.unit) {
		text, err := json.Marshal(&document.Table{Columns: s.Bounds.Columns, Rows: s.Bounds.Rows[i : i+1]})
		if err != nil {
			t.Fatal(err)
		}
		switch b.signal {
		case "wr", "again":
			for _, want := range []string{`"total":0.005,"total_period":360`, `"as_asked_period":360`, `"against":"real numbers with the stored constants"`} {
				if !strings.Contains(string(text), want) {
					t.Errorf("%s is missing in %s", want, text)
				}
			}
			if !strings.HasSuffix(cell(s.Bounds, i, "total").Text, " deg around the circle") || !strings.HasSuffix(cell(s.Bounds, i, "as_asked").Text, " deg around the circle") {
				t.Errorf("%s: %s, %s", b.signal, cell(s.Bounds, i, "total").Text, cell(s.Bounds, i, "as_asked").Text)
			}
		case "half", "same", "limited", "held", "straight":
			if b.total.r != nil || b.asked.r != nil || !strings.Contains(string(text), `"at_most":0.005,"period":360`) || !strings.Contains(cell(s.Bounds, i, "total").Text, "around the circle") {
				t.Errorf("%s: %s in %s", b.signal, cell(s.Bounds, i, "total").Text, text)
			}
		case "mix", "inside", "lean", "calm":
			if strings.Contains(string(text), "period") || strings.Contains(b.sentence(), "circle") {
				t.Errorf("%s is a number on a line: %s", b.signal, text)
			}
		default:
			continue
		}
		seen++
	}
	if seen != 11 {
		t.Errorf("%d signals were looked at", seen)
	}
}

// TestAskedIsSaid: what is proven against the controller as asked is said as that, and of what is not it is said who measures it.
func TestAskedIsSaid(t *testing.T) {
	s := of(t, "asked")
	words := strings.Join(s.Words, "\n")
	for _, want := range []string{
		"quiet_out is what the exact steps give with the stored constants, plus at most 0.0119 mm. From what the controller as asked gives, with the constants of the spec, it is off by at most 0.404 mm.",
		"How far lift_out is from the controller as asked is not proven",
		"gainwright verify measures it.",
	} {
		if !strings.Contains(words, want) {
			t.Errorf("%q is missing in\n%s", want, words)
		}
	}
	for i, b := range bounds(s.unit) {
		live := strings.HasPrefix(b.signal, "lift")
		asked, by, total := cell(s.Bounds, i, "as_asked").Value, cell(s.Bounds, i, "as_asked_by").Value, cell(s.Bounds, i, "total").Value
		if (asked == nil) != live || (by == "verify") != live || asked != nil && asked.(float64) < total.(float64) {
			t.Errorf("%s: as asked %v by %v, in all %v", b.signal, asked, by, total)
		}
	}
}

// cell is that of a row below a key.
func cell(t *document.Table, row int, key string) document.Cell {
	return t.Rows[row].Cells[slices.IndexFunc(t.Columns, func(c document.Column) bool { return c.Key == key })]
}
