package proof

import (
	"math/big"
	"regexp"
	"strings"
	"testing"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/interval"
)

// TestAdmitsAreFacts changes what a header admits: whatever the certificate does not say is refused.
func TestAdmitsAreFacts(t *testing.T) {
	pan, slower := starter(t, "pan"), compiled(t, "slower", []byte(slowerBehind))
	for _, u := range []*model.Unit{pan, slower} {
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
		{"a state of less", slower, `(admit state_lp_x1: -)\d+`, "${1}5"},
		{"another state", slower, `admit state_lp_x1`, "admit state_lp_y2"},
		{"no state", slower, `admit state_lp_x1`, "admit state_lp_x7"},
		{"a state of another value", slower, `(admit state_lp_x1: -?\d+ <= )\w+`, "${1}lp_rounded_rounded"},
		{"a state as a value", slower, `admit state_lp_x1`, "admit value_notch_rounded_rounded"},
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

// TestNothingIsLostInSeries: what a section of the chain takes over from the one before it, the header admits as narrow as the state
// that it becomes. Since sections in series are bounded without a common denominator, most such values are known as well as
// their states, and one admission says both: n3 reached 8 counts further than lp_x1 before.
func TestNothingIsLostInSeries(t *testing.T) {
	u := specimen(t, "chain")
	list, err := Admits(u, []byte(annotated(t, u)))
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for n, s := range u.Integer.States {
		if u.Integer.Ops[s.Next].Section == s.Section || !strings.HasSuffix(s.Name, "_x1") {
			continue
		}
		for _, a := range list {
			if a.Value != c.Locals(u)[s.Next] && a.Value != "s->"+s.Name {
				continue
			}
			if r := u.Certificate.States[n]; r.Lo.Cmp(a.Lo) <= 0 && a.Hi.Cmp(r.Hi) <= 0 {
				seen++
				break
			}
		}
	}
	if want := 3; seen != want { // n2, n3 and lp: n1 takes over the input
		t.Errorf("the header admits what %d of %d states become, as narrow as they are: %v", seen, want, list)
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
