package proof

import (
	"math/big"
	"regexp"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/interval"
)

// TestAdmitsAreFacts changes what a header admits: whatever the certificate does not say is refused.
func TestAdmitsAreFacts(t *testing.T) {
	pan, chain := starter(t, "pan"), specimen(t, "chain")
	for _, u := range []*model.Unit{pan, chain} {
		if list, err := Admits(u, []byte(annotated(t, u))); err != nil || len(list) == 0 {
			t.Fatalf("%v, %v", list, err)
		}
	}
	for _, f := range []struct {
		name         string
		u            *model.Unit
		pattern, put string
	}{
		{"a range of less", pan, `admit (value_push_slow_next: -)\d+`, "admit ${1}5"},
		{"a range of less above", pan, `(admit value_push_slow_next: .* <= )\d+;`, "${1}5;"},
		{"another variable", pan, `(admit value_push_slow_next: -?\d+ <= )\w+`, "${1}push_slow_pull"},
		{"another value", pan, `admit value_push_slow_next`, "admit value_push_slow_pull"},
		{"no value", pan, `admit value_push_slow_next`, "admit value_nothing"},
		{"a sum of less", pan, `(quiet_with_left - \(int64_t\)\w+) > \d+`, "${1} > 3"},
		{"another sum", pan, `(quiet_with_left) - (\(int64_t\)\w+ > )`, "${1} + ${2}"},
		{"other operands", pan, `\(int64_t\)quiet_with_left( - \(int64_t\)\w+ > )`, "(int64_t)quiet_y1_sum${1}"},
		{"the other side", pan, `(quiet_with_left - \(int64_t\)\w+) > `, "${1} < "},
		{"an admission of another form", pan, `(    /\*@ admit value_push_slow_next)`, "    /*@ admit push_d == 0; */\n${1}"},
		{"an admission on a line", pan, `(    /\*@ admit value_push_slow_next)`, "    //@ admit push_d == 0;\n${1}"},
		{"all is false", pan, `(    /\*@ admit value_push_slow_next)`, "    /*@ admit \\false; */\n${1}"},
		{"an axiom", pan, `(static PAN_SELDOM void pan_init)`, "/*@ axiomatic a { axiom b: \\false; } */\n${1}"},
		{"a ghost that writes", pan, `(    /\*@ admit value_push_slow_next)`, "    /*@ ghost s->push_slow = 0; */\n${1}"},
		{"a specification without a body", pan, `(static PAN_SELDOM void pan_init)`, "/*@ requires \\true; ensures \\false; terminates \\true; */\n${1}"},
		{"a state of less", chain, `(admit state_lp_x1: -)\d+`, "${1}5"},
		{"another state", chain, `admit state_lp_x1`, "admit state_lp_y2"},
		{"no state", chain, `admit state_lp_x1`, "admit state_lp_x7"},
		{"a state of another value", chain, `(admit state_lp_x1: -?\d+ <= )\w+`, "${1}n2_rounded_rounded"},
		{"a state as a value", chain, `admit state_lp_x1`, "admit value_n3_rounded_rounded"},
	} {
		t.Run(f.name, func(t *testing.T) {
			pattern, header := regexp.MustCompile(f.pattern), annotated(t, f.u)
			if n := len(pattern.FindAllString(header, -1)); n != 1 {
				t.Fatalf("the header has %d places for %s", n, f.pattern)
			}
			if list, err := Admits(f.u, []byte(pattern.ReplaceAllString(header, f.put))); err == nil {
				t.Errorf("admitted: %v", list)
			}
		})
	}
	header := annotated(t, pan)
	for _, wider := range []string{"-2000000000", "2000000000"} { // weaker than the fact: it may be said
		text := regexp.MustCompile(`(admit value_push_slow_next: )-\d+`).ReplaceAllString(header, "${1}-2000000000")
		if wider[0] != '-' {
			text = regexp.MustCompile(`(admit value_push_slow_next: .* <= )\d+;`).ReplaceAllString(header, "${1}2000000000;")
		}
		if _, err := Admits(pan, []byte(text)); err != nil {
			t.Errorf("a weaker admission: %v", err)
		}
	}
}

// TestCertificateIsChecked: with a wrong certificate nothing is admitted.
func TestCertificateIsChecked(t *testing.T) {
	u := starter(t, "pan")
	header := annotated(t, u)
	id, _, ok := certified(u, "push_slow_next")
	if !ok {
		t.Fatal("the header has no push_slow_next")
	}
	r := u.Certificate.Ops[id]
	u.Certificate.Ops[id] = interval.Range{Lo: r.Lo, Hi: new(big.Rat).Sub(r.Hi, big.NewRat(1, 1))}
	if _, err := Admits(u, []byte(header)); err == nil || !strings.Contains(err.Error(), "certificate") {
		t.Errorf("a wrong certificate: %v", err)
	}
}

func TestAnnotations(t *testing.T) {
	got, err := annotations("a /* b */ \"/*@ no */ \\\" \" c /*@ one; */ // x\n d //@ two\n/**/ '\"' /*@ three; */")
	if want := "/*@ one; */|//@ two|/*@ three; */"; err != nil || strings.Join(got, "|") != want {
		t.Errorf("got %q, %v", got, err)
	}
	if _, err := annotations("/*@ open"); err == nil {
		t.Error("a comment without an end is let pass")
	}
}
