package summary

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"gainwright/model"
)

func of(t *testing.T, name string) *Summary {
	t.Helper()
	text, err := os.ReadFile("../../testdata/specs/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	s := Of(model.Compile(name+".yaml", text))
	if s.Verdict == Errors {
		t.Fatal(s.Findings)
	}
	return s
}

// TestAroundIsSaid: sentence, table and JSON say that a wrapped angle is off around the circle, and by what period it repeats; of
// what follows the seam nothing is said from the raw inputs.
func TestAroundIsSaid(t *testing.T) {
	s := of(t, "seam")
	words := strings.Join(s.InWords(), "\n")
	if want := "out is what the exact steps half and out would give with the stored constants had wr been wrong by at most 0.005 deg around the circle, plus"; !strings.Contains(words, want) {
		t.Errorf("%q is missing in %q", want, words)
	}
	seen := 0
	for _, b := range s.Bounds {
		text, err := json.Marshal(b)
		if err != nil {
			t.Fatal(err)
		}
		switch b.Signal {
		case "wr", "again":
			for _, want := range []string{`"total":0.005,"total_period":360`, `"as_asked_period":360`, `"against":"real numbers with the stored constants"`} {
				if !strings.Contains(string(text), want) {
					t.Errorf("%s is missing in %s", want, text)
				}
			}
			if !strings.HasSuffix(b.TotalText(), " deg around the circle") || !strings.HasSuffix(b.AskedText(), " deg around the circle") {
				t.Errorf("%s: %s, %s", b.Signal, b.TotalText(), b.AskedText())
			}
		case "half", "same", "limited", "held", "straight":
			if b.Total != nil || b.Asked != nil || !strings.Contains(string(text), `"at_most":0.005,"period":360`) || !strings.Contains(b.TotalText(), "around the circle") {
				t.Errorf("%s: %s in %s", b.Signal, b.TotalText(), text)
			}
		case "mix", "inside", "lean", "calm":
			if strings.Contains(string(text), "period") || strings.Contains(b.Sentence(), "circle") {
				t.Errorf("%s is a number on a line: %s", b.Signal, text)
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
	words := strings.Join(s.InWords(), "\n")
	for _, want := range []string{
		"quiet_out is what the exact steps give with the stored constants, plus at most 0.0119 mm. From what the controller as asked gives, with the constants of the spec, it is off by at most 0.404 mm.",
		"How far lift_out is from the controller as asked is not proven",
		"gainwright verify measures it.",
	} {
		if !strings.Contains(words, want) {
			t.Errorf("%q is missing in\n%s", want, words)
		}
	}
	for _, b := range s.Bounds {
		live := strings.HasPrefix(b.Signal, "lift")
		if (b.Asked == nil) != live || (b.AskedBy == "verify") != live || b.Asked != nil && *b.Asked < *b.Total {
			t.Errorf("%s: as asked %v by %s, in all %v", b.Signal, b.Asked, b.AskedBy, b.Total)
		}
	}
}
