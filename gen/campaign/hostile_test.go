package campaign

import (
	"fmt"
	"strings"
	"testing"

	"gainwright/gen/target"
	"gainwright/model"
	"gainwright/model/spec"
)

const mostMemory = 256 << 20

// checked sends a text through the compiler and, where it is accepted, through the emitters, and holds time, memory
// and the form of what comes back against what must hold for any text.
func checked(t *testing.T, text string) *model.Unit {
	t.Helper()
	var u *model.Unit
	took, memory := watch(func() { u = model.Compile("hostile.yaml", []byte(text)) })
	if took > slow || memory > mostMemory {
		t.Errorf("the compiler took %v and %d MiB", took, memory>>20)
	}
	for _, f := range u.Findings {
		if f.Rule == "not-proven" {
			t.Errorf("refused by the checker: %s", f.Message)
		}
		for _, s := range append([]string{f.Message, f.Remedy, f.Key}, f.Because...) {
			if strings.ContainsFunc(s, func(c rune) bool { return c < ' ' || c > '~' }) || len(s) > 500 {
				t.Errorf("a finding of %d bytes, or with strange characters: %.100q", len(s), s)
			}
		}
	}
	if !u.OK() {
		if !u.Findings.Failed() {
			t.Error("neither code nor an error")
		}
		return u
	}
	took, memory = watch(func() {
		if f := emit(u); f != nil {
			t.Errorf("%s: %s", f.What, f.Why)
		}
	})
	if took > slow || memory > mostMemory {
		t.Errorf("the emitters took %v and %d MiB", took, memory>>20)
	}
	return u
}

// controller is a spec with places to put hostile texts into.
type controller struct{ name, about, rate, input, unit, counts, span, step, more, output, rest string }

func (c controller) text() string {
	or := func(s, otherwise string) string {
		if s == "" {
			return otherwise
		}
		return s
	}
	in, step := or(c.input, "x"), or(c.step, "y")
	kind := or(c.more, "kind: low_pass, of: "+in+", time_constant: 1 s")
	return fmt.Sprintf("controller: %s\nabout: %s\nrate: %s\ninputs: {%s: {raw: int16, unit: %s, counts_per_unit: %s%s}}\nsteps: {%s: {%s}}\noutputs: {%s: {from: %s, raw: int16, unit: %s}}\n%s",
		or(c.name, "tray"), or(c.about, "text"), or(c.rate, "100 Hz"), in, or(c.unit, "mm"), or(c.counts, "10"), c.span, step, kind, or(c.output, "z"), step, or(c.unit, "mm"), c.rest)
}

// longText is the size in bytes from which a hostile text belongs to the long campaign.
const longText = 20_000

// TestHostileTexts holds each text against a clear error, or an output that compiles without a word.
func TestHostileTexts(t *testing.T) {
	var units []*model.Unit
	try := func(name, text, want string) {
		t.Run(name, func(t *testing.T) {
			u := checked(t, text)
			got := ""
			for _, f := range u.Findings {
				if got == "" && f.Severity == "error" {
					got = f.Rule
				}
			}
			if want != "*" && got != want {
				t.Errorf("the first error is %q, %q is expected: %v", got, want, u.Findings)
			}
			if u.OK() {
				u.Spec.Name = fmt.Sprintf("%s_h%d", u.Spec.Name, len(units)) // names may come twice in this test
				u.Integer.Name = u.Spec.Name
				units = append(units, u)
			}
		})
	}
	for _, c := range hostile {
		if len(c.text) > longText && *specs <= 200 {
			continue // minutes of work: with -specs 201 or more
		}
		try(c.name, c.text, c.rule)
	}
	if len(units) < 30 {
		t.Errorf("only %d hostile texts are accepted: nothing tells whether their output is safe", len(units))
	}
	for at := 0; at < len(units); at += 50 {
		b, err := target.NewBatch(t.Context(), units[at:min(at+50, len(units))])
		if err != nil {
			t.Error(err)
			continue
		}
		b.Close()
	}
}

var _ = spec.RawRange
