package c

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gainwright/model/program"
	"gainwright/model/selection"
	"gainwright/model/tier"
)

// trialOf is one form beside its twin: C statements that draw arguments, and the two expressions to hold
// against each other.
type trialOf struct {
	what, draw, form, twin string
	all                    bool // over all arguments x of 16 bits
}

// formsUnderTest makes each kind of form in every shape that the emitter may choose, with its text.
func formsUnderTest(t *testing.T) (text string, trials []trialOf) {
	u := bare(t)
	u.Spec.Target = "avr8"
	e := newEmitter(u, selection.Speed)
	var b strings.Builder
	add := func(tr trialOf) { trials = append(trials, tr) }
	both := func(p primitive) (form, twin string) {
		name := e.primitive(p)
		form, twin = name+"_form", name+"_twin"
		b.WriteString(e.form(p, form) + e.portable(p, twin))
		return form, twin
	}
	for _, from := range []program.Type{program.I16, program.I32} {
		for _, to := range []program.Type{program.I16, program.I32} {
			for shift := uint(1); shift < from.Bits(); shift++ {
				if to.Bits() > from.Bits() {
					continue
				}
				f, w := both(primitive{form: selection.Round, typ: from, to: to, shift: shift})
				call := func(f string) string { return f + "((" + ctype(from) + ")x)" }
				_, most := from.Range()
				top := most - int64(1)<<(shift-1)
				if from == program.I32 && to == program.I16 && shift < 16 {
					top = int64(1)<<(15+shift) - int64(1)<<(shift-1) - 1
				}
				low := max(-most-1, -int64(1)<<(to.Bits()-1+shift))
				draw := fmt.Sprintf("x = next(); if (x > %s) x = %s; if (x < %s) x = %s;", literal(top, program.I32), literal(top, program.I32), literal(low, program.I32), literal(low, program.I32))
				add(trialOf{f, draw, call(f), call(w), from == program.I16})
			}
		}
	}
	for second := uint(1); second < 24; second++ {
		if !selection.OneRounding(8, 8, second) {
			continue
		}
		shift := 8 + second
		f, w := both(primitive{form: selection.Round, typ: program.I32, to: program.I16, shift: shift, first: 8})
		top, low := int64(math.MaxInt32)-selection.Halves(shift, 8), int64(math.MinInt32)
		if shift < 16 {
			top, low = int64(1)<<(15+shift)-selection.Halves(shift, 8)-1, -int64(1)<<(15+shift)
		}
		draw := fmt.Sprintf("x = next(); if (x > %s) x = %s; if (x < %s) x = %s;", literal(top, program.I32), literal(top, program.I32), literal(low, program.I32), literal(low, program.I32))
		add(trialOf{f, draw, f + "(x)", w + "(x)", false})
	}
	f, w := both(primitive{form: selection.LessRounded, typ: program.I32, to: program.I16, shift: 16})
	add(trialOf{f, "x = next(); y = next(); if (x > 0x7fff7fff) x = 0x7fff7fff;", f + "((int16_t)y, x)", w + "((int16_t)y, x)", false})
	f, w = both(primitive{form: selection.Symmetric, typ: program.I32})
	add(trialOf{f, "x = next(); y = next() & 0x7fffffff; if (turn & 1) x = y + (x & 7) - 4; if ((turn & 3) == 2) x = -y + (x & 7) - 4;", f + "(x, y)", w + "(x, y)", false})
	for shift := uint(8); shift <= 16; shift++ {
		f, w := both(primitive{form: selection.Up, shift: shift})
		add(trialOf{f, "x = next();", f + "((int16_t)x)", w + "((int16_t)x)", true})
	}
	for shift := uint(3); shift <= 30; shift++ {
		f, w := both(primitive{form: selection.UpWide, typ: program.I32, shift: shift})
		add(trialOf{f, fmt.Sprintf("x = next() >> %d;", shift), f + "(x)", w + "(x)", false})
	}
	for _, p := range []primitive{{form: selection.Multiply, shape: selection.Signed}, {form: selection.Multiply, shape: selection.NotNegative},
		{form: selection.Multiply, shape: selection.Difference17}, {form: selection.Multiply, shape: selection.Long},
		{form: selection.MultiplyAdd, shape: selection.Signed}, {form: selection.MultiplyAdd, shape: selection.NotNegative},
		{form: selection.MultiplyAdd, shape: selection.Difference17}} {
		f, w := both(p)
		draw, first, second := "x = next(); y = next(); z = next();", "(int16_t)x", "(int16_t)y"
		switch p.shape {
		case selection.NotNegative:
			second = "(int16_t)(y & 0x7fff)"
		case selection.Difference17:
			first = "(((x & 0x1ffff) ^ 0x10000) - 0x10000)"
		case selection.Long:
			first = "x"
		}
		args := "(" + first + ", " + second + ")"
		if p.form == selection.MultiplyAdd {
			args = "(z, " + first + ", " + second + ")"
		}
		add(trialOf{f, draw, f + args, w + args, false})
		if p.shape == selection.Long { // as small code has it where two places call it
			small := f + "_small"
			e.Prefer, e.calls[small] = selection.Size, 2
			b.WriteString(e.form(p, small))
			e.Prefer = selection.Speed
			add(trialOf{small, draw, small + args, w + args, false})
		}
	}
	for i, k := range []int64{2, 3, 7, 127, 128, 255, 256, 257, 300, 314, 511, 512, 1311, 4096, 32512, 32767, -2, -3, -128, -255, -256, -257, -300, -512, -32512, -32767, -32768} {
		for _, form := range []selection.Form{selection.Multiply, selection.MultiplyAdd} {
			name := fmt.Sprintf("%s_by_%d", functions[form], i)
			s := scaled{name: name + "_form", form: form, factor: literal(k, program.I16), k: k}
			b.WriteString(e.scaledForm(s))
			s.name = name + "_twin"
			b.WriteString(e.scaledTwin(s))
			args := "((int16_t)x)"
			if form == selection.MultiplyAdd {
				args = "(z, (int16_t)x)"
			}
			add(trialOf{fmt.Sprintf("%s by %d", functions[form], k), "x = next(); z = next();", s.name[:len(s.name)-5] + "_form" + args, name + "_twin" + args, true})
		}
	}
	limitsUnderTest(e, &b, add)
	anglesUnderTest(e, &b, add)
	generic := ""
	for _, p := range e.ordered() {
		if !e.hasForm(p) {
			generic += e.portable(p, e.primitive(p))
		}
	}
	return "#define BARE_ENTRY(w, n) (n),\n" + generic + b.String(), trials
}

func limitsUnderTest(e *emitter, b *strings.Builder, add func(trialOf)) {
	ends := map[program.Type][][2]int64{
		program.I16: {{-1, 1}, {0, 1}, {0, 255}, {0, 256}, {-256, 256}, {-11520, 11520}, {-1920, 1921}, {-32767, 0}, {-32768, 32767}, {-255, 32512}, {-129, 127}, {-3, 300}},
		program.I32: {{-1, 1}, {0, 1}, {0, 1 << 16}, {0, 100 << 20}, {-256, 256}, {-65536, 65536}, {-255 << 16, 255 << 16}, {-8355840, 8355840}, {-1 << 24, 1 << 24},
			{-1 << 30, 1<<30 + 1}, {math.MinInt32, math.MaxInt32}, {-65537, 65535}, {-0x123456, 0x7fff00}, {-0x7f0000, 0x12345678}, {-1, 0}, {-1 << 16, 0xffff}},
	}
	for _, w := range []program.Type{program.I16, program.I32} {
		for i, pair := range ends[w] {
			for side := range 3 {
				if w == program.I16 && side > 0 {
					continue
				}
				lo, hi := &pair[0], &pair[1]
				l := limits{name: fmt.Sprintf("within%d_%d_%d", w.Bits(), i, side), typ: w, lo: lo, hi: hi, least: literal(*lo, w), most: literal(*hi, w)}
				switch side {
				case 1:
					l.lo, l.least = nil, ""
				case 2:
					l.hi, l.most = nil, ""
				}
				name := l.name
				l.name = name + "_form"
				b.WriteString(e.limitForm(l))
				l.name = name + "_twin"
				b.WriteString(e.limitTwin(l))
				x := "((" + ctype(w) + ")x)"
				draw := fmt.Sprintf("x = next(); if (turn & 1) x = %s + (x & 7) - 4; if ((turn & 7) == 4) x = %s + (x & 1023) - 512;", literal(*hi&^7, program.I32), literal(*lo&^7, program.I32))
				if *hi > math.MaxInt32-600 || *lo < math.MinInt32+600 {
					draw = "x = next();"
				}
				if w == program.I16 {
					draw = "x = next();"
				}
				add(trialOf{fmt.Sprintf("%d bits in %v, side %d", w.Bits(), pair, side), draw, name + "_form" + x, name + "_twin" + x, w == program.I16})
			}
		}
	}
}

func anglesUnderTest(e *emitter, b *strings.Builder, add func(trialOf)) {
	for i, table := range []*program.Arctan{arctanTable(14, 6, 11520), arctanTable(13, 5, 5760), arctanTable(14, 7, 16383), arctanTable(9, 3, 250), arctanTable(16, 8, 16000)} {
		for turned := range 4 {
			a := arctan{name: fmt.Sprintf("angle%d_%d", i, turned), macro: fmt.Sprintf("ANGLE%d", i), table: table, side: program.I16, yTurned: turned&1 != 0, xTurned: turned&2 != 0}
			if !selection.HasTable(a.table, a.side) {
				panic("a table without a form")
			}
			if turned == 0 {
				fmt.Fprintf(b, "#define %s_QUARTER %d\n#define %s_STEP_BITS %d\n%s", a.macro, table.Quarter, a.macro, table.QuotientBits-table.LogEntries,
					tableMacros(constant{macro: a.macro, table: table.Entries, typ: program.I16}))
				e.quotient(a)
			}
			name := a.name
			for _, o := range []selection.Preference{selection.Speed, selection.Size} {
				e.Prefer = o
				a.name = fmt.Sprintf("%s_form%d", name, o)
				b.WriteString(e.angleForm(a))
			}
			e.Prefer = selection.Speed
			a.name = name + "_twin"
			b.WriteString(e.angle(a))
			args := "((int16_t)x, (int16_t)y)"
			draw := "x = next(); y = next(); if ((turn & 15) == 1) y = x; if ((turn & 15) == 2) y = (int16_t)-x; if ((turn & 31) == 3) y = 0; if ((turn & 31) == 4) x = y = 0;"
			for o := range 2 {
				add(trialOf{fmt.Sprintf("%s, preference %d", name, o), draw, fmt.Sprintf("%s_form%d%s", name, o, args), name + "_twin" + args, false})
			}
		}
	}
}

// formsFirmware holds each form against its twin and ends with the number of the first trial that fails, from 1, or 0.
const formsFirmware = `
#include <avr/io.h>
#include <stdint.h>
static uint32_t seed = 2463534242u;
static uint16_t turn;
/* Any number, numbers of few bits, and numbers next to powers of two. */
static __attribute__((noinline)) int32_t next(void)
{
    static uint8_t way;
    uint32_t r;
    seed ^= seed << 13; seed ^= seed >> 17; seed ^= seed << 5;
    r = seed;
    switch (++way & 7u) {
    case 0: return (int16_t)r;
    case 1: return (int8_t)r;
    case 2: return (int32_t)(((uint32_t)1 << (r >> 27)) + ((r & 3u) - 1u));
    case 3: return -(int32_t)(((uint32_t)1 << (r >> 27)) + ((r & 3u) - 1u));
    case 4: return (int32_t)r >> (r & 31u);
    case 5: return (r & 1u) ? INT32_MIN + (int32_t)(r & 6u) : INT32_MAX - (int32_t)(r & 6u);
    default: return (int32_t)r;
    }
}
`

// TestFormsGiveTheBitsOfTheirTwins runs on a simulated part: values of all sizes and next to ends, 400 for each
// form; with -long a million, and all arguments where 16 bits are all there is (45 minutes).
func TestFormsGiveTheBitsOfTheirTwins(t *testing.T) {
	tier.Slow(t)
	tools := avrTools(t)
	turns, long := tier.Count(400, 400, 1_000_000), tier.Long()
	text, trials := formsUnderTest(t)
	var b strings.Builder
	b.WriteString(formsFirmware + text)
	for i, tr := range trials {
		n, draw := turns, tr.draw
		if tr.all && long {
			n, draw = max(n, 65536), strings.Replace(draw, "x = next();", "x = (int16_t)i;", 1)
		}
		fmt.Fprintf(&b, "static __attribute__((noinline)) uint8_t trial%d(void) {\n    uint32_t i;\n    for (i = 0; i < %du; i++, turn++) {\n"+
			"        volatile int32_t x_, y_, z_;\n        int32_t x = 0, y = 0, z = 0;\n        %s\n        x_ = x; y_ = y; z_ = z; x = x_; y = y_; z = z_;\n        (void)y; (void)z;\n        if (%s != %s) return 1;\n    }\n    return 0;\n}\n", i, n, draw, tr.form, tr.twin)
	}
	b.WriteString("int main(void) {\n    uint16_t r = 0;\n")
	for i := range trials {
		fmt.Fprintf(&b, "    if (!r && trial%d()) r = %d;\n", i, i+1)
	}
	b.WriteString("    GPIOR1 = (uint8_t)r; GPIOR2 = (uint8_t)(r >> 8); GPIOR0 = 1; for (;;) {}\n}\n")
	dir := t.TempDir()
	write(t, dir, map[string][]byte{"firmware.c": []byte(b.String())})
	var r int
	if _, err := fmt.Sscan(simulate(t, tools, dir, "-fwrapv"), &r); err != nil {
		t.Fatal(err)
	}
	if r > 0 {
		t.Errorf("%s: %s is not %s", trials[r-1].what, trials[r-1].form, trials[r-1].twin)
	}
	t.Logf("%d forms, %d values each", len(trials), turns)
}

// TestFormsAreUsed: the loop that the forms were made for uses them, in both preferences, and not for other targets.
func TestFormsAreUsed(t *testing.T) {
	u := cart(t)
	for _, o := range []selection.Preference{selection.Speed, selection.Size} {
		text := string(HeaderFor(u, o))
		pull := map[selection.Preference]string{selection.Speed: "cart_mac_pull(", selection.Size: "cart_mac16p("}[o] // small code shares one multiplication
		for _, want := range []string{"mulsu", "__progmem__", "#if defined(__AVR__)", "!defined(CART_PORTABLE)", pull, "cart_mac16p"} {
			if !strings.Contains(text, want) {
				t.Errorf("preference %d: no %s", o, want)
			}
		}
	}
	u.Spec.Target = "cortex-m0"
	if text := string(Header(u)); strings.Contains(text, "mulsu") {
		t.Error("assembly for AVR in a header for another target")
	}
}

// spoiltForms breaks one instruction of a form; the test above must see it.
func TestAWrongFormIsFound(t *testing.T) {
	tools := avrTools(t)
	u := cart(t)
	for _, c := range []struct{ old, new string }{
		{`"adc %C0, r1`, `"add %C0, r1`},
		{`"sbci %D0, 0`, `"sbci %D0, 1`},
		{`"mulsu %B1, %A2`, `"mul %B1, %A2`},
		{`"brge 2f`, `"brlt 2f`},
		{`"com %2`, `"neg %2`},
	} {
		t.Run(c.old, func(t *testing.T) {
			if got := onAVR(t, tools, u, selection.Speed, func(header string) string {
				if !strings.Contains(header, c.old) {
					t.Fatal("no such instruction")
				}
				return strings.Replace(header, c.old, c.new, 1)
			}); got == "0" {
				t.Error("passes")
			}
		})
	}
}
