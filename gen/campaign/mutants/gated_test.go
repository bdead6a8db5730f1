package mutants

import (
	"strings"
	"testing"

	"gainwright/templates"
)

// TestSameWhileUsed: 37 degrees less the filtered reading is 4736 counts less at least -27201 while a reading of 640 counts or more is believed: a sixth of
// that and five sixths of -32768. That has 16 bits, and without belief nothing is made from it. Where colder readings are
// believed, the filter is slower, or the controller is never off, it may show.
func TestSameWhileUsed(t *testing.T) {
	starter := string(templates.Starter("incubator"))
	for _, want := range []struct {
		name, was, now string
		same           bool
	}{
		{"as it is", "", "", true},
		{"colder than the limit", "range: [5, 60]", "range: [-60, 60]", false},
		{"not so cold", "range: [5, 60]", "range: [-30, 60]", true},
		{"always on", " enable: believed,", "", false},
		{"a faster filter", "time_constant: 5 s", "time_constant: 2 s", true},
		{"a slower filter", "time_constant: 5 s", "time_constant: 9 s", false},
		{"another use", "limits: [0, 100]}\n\ntuning", "limits: [0, 100]}\n  cold: {from: smooth, raw: int16, unit: degC, counts_per_unit: 100}\n\ntuning", true},
	} {
		t.Run(want.name, func(t *testing.T) {
			src := strings.Replace(starter, want.was, want.now, 1)
			if want.was != "" && src == starter {
				t.Fatalf("the incubator has no %q any more", want.was)
			}
			u, header, _ := generatedFrom(t, "incubator", src)
			seen := 0
			for _, m := range Of(header) {
				if m.Kind != "narrower value" {
					continue
				}
				why, same := sameWhileUsed(u, m)
				if !strings.Contains(m.Now, " heat_error ") {
					if same {
						t.Errorf("%s is said to change nothing: %s", m, why)
					}
					continue
				}
				seen++
				if same != want.same {
					t.Errorf("%s: changes nothing: %t, want %t, %s", m, same, want.same, why)
				}
			}
			if seen != 1 {
				t.Errorf("%d mutants make the error narrower, want 1", seen)
			}
		})
	}
}
