package spec

import (
	"go/token"
	"strings"
	"testing"

	"gainwright/model/finding"
)

func TestNearest(t *testing.T) {
	good := []string{"accel_forward", "accel_up", "rate", "raw", "kp", "unit"}
	for name, want := range map[string]string{
		"acel_up": "accel_up", "accel_forwrd": "accel_forward", "raet": "rate", "row": "raw", "ki": "kp",
		"temperature": "", "x": "", "": "", "units": "unit", strings.Repeat("a", 1000): "",
	} {
		if got := Nearest(name, good); got != want {
			t.Errorf("%q: got %q, want %q", name, got, want)
		}
	}
}

func TestGoodName(t *testing.T) {
	for name, rule := range map[string]string{
		"tilt": "", "pitch_rate_2": "", "a": "", "x_1": "", strings.Repeat("a", 32): "",
		strings.Repeat("a", 33): "bad-name", "": "bad-name", "Tilt": "bad-name", "_tilt": "bad-name", "tilt_": "bad-name", "pitch__rate": "bad-name",
		"2nd": "bad-name", "pitch-rate": "bad-name", "a b": "bad-name", "../etc": "bad-name", "a*/b": "bad-name",
		"switch": "reserved-name", "class": "reserved-name", "range": "reserved-name", "len": "reserved-name", "main": "reserved-name",
		"int16_t": "reserved-name", "uint_fast8_t": "reserved-name", "int8_max": "reserved-name", "size_t": "reserved-name", "linux": "reserved-name",
	} {
		r := &reader{spec: &Spec{}}
		r.goodName(name, "inputs.x", finding.Pos{}, "an input", "_raw")
		got := ""
		if len(r.found) > 0 {
			got = r.found[0].Rule
		}
		if got != rule {
			t.Errorf("%q: got %q, want %q", name, got, rule)
		}
	}
}

// The list of Go's own keywords is taken from the standard library, so that it cannot fall behind.
func TestGoKeywordsReserved(t *testing.T) {
	for tok := token.BREAK; tok <= token.VAR; tok++ {
		if tok.IsKeyword() && reserved[tok.String()] == "" {
			t.Errorf("%s is not reserved", tok)
		}
	}
}

func TestReservedRemedy(t *testing.T) {
	for word := range reserved {
		for _, suffix := range []string{"_loop", "_raw", "_step", "_out"} {
			if fixed := word + suffix; !nameForm.MatchString(fixed) || reserved[fixed] != "" {
				t.Errorf("the remedy %s for %s is no good name", fixed, word)
			}
		}
	}
}
