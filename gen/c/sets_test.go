package c

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/selection"
)

// manyGains is the sum of one input times each of n live gains of 16 bits.
func manyGains(t *testing.T, n int) *model.Unit {
	b := newBuilder(t, "many")
	x := b.input("x", program.I8, "mm", power(0))
	b.begin("y", "gain", "The sum of products by many gains.", "y = sum of k * x")
	var sum program.ID
	for i := range n {
		s := program.Setter{Digits: 4, XLo: 0, XHi: 30000, XStart: 100 + 53*int64(i), M: 1 << 13, Shift: 14}
		k := b.gain(fmt.Sprintf("k%d", i), fmt.Sprintf("y.k%d", i), s, power(8))
		product := b.op(program.Mul, fmt.Sprintf("product%d", i), "product", k, x)
		if sum = product; i > 0 {
			sum = b.op(program.Add, fmt.Sprintf("sum%d", i), "sum so far", program.ID(int(product)-2), product)
		}
	}
	b.signal("y", sum)
	b.output("y", program.I32, sum)
	return b.unit()
}

// TestManyLiveGains: 135 gains are sets of 270 bytes, more than the AVR form can find.
func TestManyLiveGains(t *testing.T) {
	tools := avrTools(t)
	for _, n := range []int{127, 128, 135} {
		u := manyGains(t, n)
		for prefer, o := range map[string]selection.Preference{"speed": selection.Speed, "size": selection.Size} {
			if got := onAVR(t, tools, u, o, nil); got != "0" {
				t.Errorf("%d gains, %s: the self-test says %s", n, prefer, got)
			}
			if has := strings.Contains(string(HeaderFor(u, o)), "_gains_at("); has != (2*n <= 255) {
				t.Errorf("%d gains, %s: a form finds the set: %v", n, prefer, has)
			}
		}
	}
}

// TestSelfTestSeesAnotherSet: a step that works with another set of gains than the newest, and a size of sets that is cut off at
// 8 bits, are noticed by self-test vectors on the part.
func TestSelfTestSeesAnotherSet(t *testing.T) {
	tools := avrTools(t)
	many := manyGains(t, 135)
	found := "return &s->gains[newest];"
	for what, wrong := range map[string]string{
		"the first set":           "return &s->gains[0];",
		"never the third":         "return &s->gains[newest == 2u ? 1u : newest];",
		"a size of 8 bits":        "return (const volatile many_coefs *)(const volatile void *)((const volatile uint8_t *)s->gains + newest * (uint8_t)sizeof(many_coefs));",
		"the set that was in use": "return &s->gains[newest == 0u ? 0u : newest - 1u];",
	} {
		got := onAVR(t, tools, many, selection.Speed, func(header string) string {
			if strings.Count(header, found) != 1 {
				t.Fatal("the set is found elsewhere")
			}
			return strings.Replace(header, found, wrong, 1)
		})
		if got == "0" {
			t.Errorf("%s: the self-test passes", what)
		}
	}
}

// TestSetsTooLargeForTheForm: the form does not compile with a set that it would not find.
func TestSetsTooLargeForTheForm(t *testing.T) {
	need(t, "avr-gcc")
	for size, good := range map[int]bool{255: true, 256: false, 270: false} {
		dir := t.TempDir()
		text := fmt.Sprintf("#include <stdint.h>\ntypedef struct { uint8_t bytes[%d]; } x_coefs;\ntypedef struct { volatile x_coefs gains[3]; } x_state;\n", size)
		write(t, dir, map[string][]byte{"x.c": append([]byte(text), render("avr_gains_at", map[string]any{"Name": "x"})...)})
		out, err := run(dir, nil, "avr-gcc", "-std=gnu99", "-mmcu=atmega328p", "-O2", "-c", "x.c")
		if good != (err == nil) || !good && !bytes.Contains(out, []byte("needs_sets_of_at_most_255_bytes")) {
			t.Errorf("%d bytes: %v\n%s", size, err, out)
		}
	}
}

// TestNumberOfAGain: more gains than 8 bits can number are set one by one.
func TestNumberOfAGain(t *testing.T) {
	u := manyGains(t, 260)
	dir := t.TempDir()
	main := "#include <stdio.h>\n#include \"many.h\"\nint main(void)\n{\n    static many_state s;\n    many_init(&s);\n"
	for i := range 260 {
		main += fmt.Sprintf("    many_set_k%d(&s, %d);\n", i, 2*(i+7))
	}
	_, _, _, members := Members(u.Integer)
	for i := range 260 {
		main += fmt.Sprintf("    if (s.gains[s.ready].%s != %d) { return 1; }\n", members[i].Name, i+7)
	}
	write(t, dir, map[string][]byte{"many.h": Header(u), "main.c": []byte(main + "    return 0;\n}\n")})
	if out, err := run(dir, nil, "cc", append(append([]string{"-std=c99"}, warnings...), "main.c", "-o", "main")...); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if out, err := run(dir, nil, "./main"); err != nil {
		t.Errorf("a gain is not what it was set to: %v\n%s", err, out)
	}
}
