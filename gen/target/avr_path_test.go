package target

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"gainwright/gen/c"
	"gainwright/gen/target/path"
	"gainwright/model/program"
)

// tiny is a controller of a few lines: int16_t a and b in, int16_t y out. body computes y.
func tiny(before, body string) controller {
	k := controller{name: "tiny"}
	k.take([]c.Member{{Name: "a", Type: program.I16}, {Name: "b", Type: program.I16}})
	k.give("Out.", []c.Member{{Name: "y", Type: program.I16}})
	k.header = []byte(`#include <stdint.h>
typedef struct { int16_t a, b; } tiny_in;
typedef struct { int16_t y; } tiny_out;
typedef struct { int32_t last; } tiny_state;
` + before + `
static inline void tiny_init(tiny_state *s) { s->last = 0; }
static inline void tiny_step(tiny_state *s, const tiny_in *in, tiny_out *out)
{
    const int16_t a = in->a, b = in->b;
    int16_t y = 0;
    (void)a; (void)b; (void)s;
` + body + `
    out->y = y;
}
`)
	return k
}

// edges are numbers at which code takes its ways.
func edges() []int64 {
	var in []int64
	values := []int64{-32768, -32767, -16384, -257, -256, -255, -129, -128, -2, -1, 0, 1, 2, 3, 127, 128, 255, 256, 257, 8191, 16384, 21845, 32766, 32767}
	for _, a := range values {
		for _, b := range values {
			in = append(in, a, b)
		}
	}
	return in
}

// TestLongestPath compares the longest path with the worst tick of small programs. at most: how many cycles
// of the path no input takes: after a division its signs, and carries that cannot come together.
func TestLongestPath(t *testing.T) {
	for _, v := range []struct {
		name, before, body string
		atMost             int
	}{
		{"nothing", "", "", 0},
		{"shift by a constant, a loop", "", "y = (int16_t)(((int32_t)a * 3) >> 5);", 0},
		{"shift to the left", "", "s->last = (int32_t)((uint32_t)(int32_t)a << 13); y = (int16_t)(s->last >> 16);", 0},
		{"clamp", "", "y = a < -1000 ? -1000 : (a > 1000 ? 1000 : a);", 0},
		{"product, both signs fixed", "", "s->last = (int32_t)a * b;", 0},
		{"product by a constant", "", "s->last = (int32_t)a * 1311;", 0},
		{"32 by 16 bits", "", "s->last = s->last * a;", 0},
		{"branches that exclude each other", "", "if (a > 0) { s->last += (int32_t)a * b; } if (a < 0) { s->last -= (int32_t)a * b; }", 0},
		{"division of 32 bits, 33 rounds", "", "s->last = (int32_t)((uint32_t)0xffffffffu / (uint32_t)(uint16_t)(b | 1));", 0},
		{"division of 16 bits", "", "y = (int16_t)((uint16_t)a / (uint16_t)(b | 1));", 0},
		{"signed division", "", "y = (int16_t)(a / (b | 1));", 10},
		{"a loop of the source", "", "uint8_t n; for (n = 13; n > 0u; n--) { y = (int16_t)(y * 2 + (b >= a)); __asm__ volatile(\"\" : \"+r\"(y)); }", 0},
		{"a loop in a loop", "", "uint8_t n, m; for (n = 3; n > 0u; n--) { for (m = 5; m > 0u; m--) { __asm__ volatile(\"\" : \"+r\"(y)); } }", 0},
		{"64 bits", "", "s->last = (int32_t)(((int64_t)a * ((int64_t)b << 20) + 4096) >> 13);", 2},
		{"a call in a loop", "__attribute__((noinline)) static int16_t twice(int16_t x) { return (int16_t)(x > 5 ? x : 2 - x); }\n",
			"uint8_t n; for (n = 4; n > 0u; n--) { y = twice(y); }", 0},
		{"a stack frame", "__attribute__((noinline)) static void fill(volatile int16_t *x, int16_t a) { x[0] = a; x[1] = (int16_t)(a ^ 5); }\n",
			"volatile int16_t x[4]; fill(x, a); fill(x + 2, b); y = (int16_t)(x[0] + x[3]);", 0},
	} {
		t.Run(v.name, func(t *testing.T) {
			s := onPart(t, "avr8", func(ctx context.Context) (*Simulated, error) { return build(ctx, "avr8", tiny(v.before, v.body)) })
			drive(t, s, edges())
			m := s.Measured()
			if m.Unproven != "" {
				t.Fatal(m.Unproven)
			}
			if m.Proven < m.Worst || m.Proven > m.Worst+v.atMost {
				t.Errorf("the longest path is %d, the worst tick %d, %d more are allowed", m.Proven, m.Worst, v.atMost)
			}
		})
	}
}

// TestNoGuess has programs whose longest path cannot be told.
func TestNoGuess(t *testing.T) {
	for _, v := range []struct{ name, before, body, want string }{
		{"a loop over data", "", "int16_t n = a; while (n > 0) { n = (int16_t)(n - 3); y++; __asm__ volatile(\"\" : \"+r\"(y)); }", "does not count from a constant"},
		{"a shift by data", "", "y = (int16_t)((int32_t)a >> (b & 7));", "does not count from a constant"},
		{"a call through a pointer", "static int16_t one(int16_t x) { return x; }\nint16_t (*volatile f)(int16_t) = one;\n", "y = f(a);", "icall"},
		{"recursion", "__attribute__((noinline)) static int16_t down(int16_t x) { if (x > 0) { x = down((int16_t)(x - 1)); __asm__ volatile(\"\" : \"+r\"(x)); x = (int16_t)(x * 3); } return x; }\n", "y = down(a & 3);", "calls itself"},
		{"an endless loop", "", "for (;;) { __asm__ volatile(\"\"); if (a == 7) { break; } __asm__ volatile(\"\" : : : \"memory\"); if (in->b == 3) { break; } }", "does not count from a constant"},
		{"sleep", "", "__asm__ volatile(\"sleep\");", "sleep"},
	} {
		t.Run(v.name, func(t *testing.T) {
			s := onPart(t, "avr8", func(ctx context.Context) (*Simulated, error) { return build(ctx, "avr8", tiny(v.before, v.body)) })
			if m := s.Measured(); m.Proven != 0 || !strings.Contains(m.Unproven, v.want) {
				t.Errorf("proven %d, said %q, expected to read %q", m.Proven, m.Unproven, v.want)
			}
		})
	}
}

// snippets are instructions whose cycles are compared with the simulator's, each way of a branch for itself.
// Beside a condition stands one instruction that makes both ways last the same, so that the longest path is
// the one taken.
var snippets = func() []string {
	out := []string{"add r24, r25", "adc r24, r25", "sub r24, r25", "subi r24, 5", "sbc r24, r25", "sbci r24, 5", "and r24, r25",
		"andi r24, 5", "or r24, r25", "ori r24, 5", "eor r24, r25", "com r24", "neg r24", "inc r24", "dec r24", "cp r24, r25", "cpc r24, r25",
		"cpi r24, 5", "mov r24, r25", "movw r24, r22", "ldi r24, 5", "lsr r24", "ror r24", "asr r24", "swap r24", "bst r24, 3", "bld r24, 3",
		"in r24, 0x3f", "out 0x2a, r24", "nop", "wdr", "sec", "clc", "sez", "clz", "sen", "cln", "sev", "clv", "ses", "cls", "seh", "clh", "set", "clt",
		"adiw r24, 5", "sbiw r24, 5", "mul r24, r25", "muls r24, r25", "mulsu r22, r23", "fmul r22, r23", "fmuls r22, r23", "fmulsu r22, r23",
		"ldi r26, 0\n ldi r27, 5\n ld r24, X", "ldi r26, 0\n ldi r27, 5\n ld r24, X+", "ldi r26, 1\n ldi r27, 5\n ld r24, -X",
		"ldi r30, 0\n ldi r31, 5\n ldd r24, Z+3", "ldi r30, 0\n ldi r31, 5\n std Z+3, r24", "ldi r26, 0\n ldi r27, 5\n st X, r24",
		"ldi r26, 0\n ldi r27, 5\n st X+, r24", "ldi r26, 1\n ldi r27, 5\n st -X, r24", "lds r24, 0x0500", "sts 0x0500, r24", "push r24\n pop r24",
		"sbi 0x1e, 3", "cbi 0x1e, 3", "ldi r30, 0\n ldi r31, 0\n lpm r24, Z", "ldi r30, 0\n ldi r31, 0\n lpm r24, Z+", "ldi r30, 0\n ldi r31, 0\n lpm",
		"rjmp 1f\n1:", "jmp 1f\n1:", "rcall .+0\n pop r0\n pop r0", "call f0", "rcall f0"}
	for _, flag := range []string{"z", "c", "n", "v", "h", "t"} {
		branches := map[string][]string{"z": {"breq", "brne"}, "c": {"brcs", "brcc"}, "n": {"brmi", "brpl"}, "v": {"brvs", "brvc"}, "h": {"brhs", "brhc"}, "t": {"brts", "brtc"}}
		for _, b := range branches[flag] {
			for _, set := range []string{"se" + flag, "cl" + flag} {
				out = append(out, fmt.Sprintf("%s\n %s 1f\n nop\n1:", set, b))
			}
		}
	}
	for _, b := range []string{"brlt", "brge"} {
		out = append(out, "ses\n "+b+" 1f\n nop\n1:", "cls\n "+b+" 1f\n nop\n1:")
	}
	out = append(out, "sei\n cli\n brie 1f\n nop\n1:", "cli\n brid 1f\n nop\n1:")
	for _, over := range []string{"nop", "lds r25, 0x0500"} {
		out = append(out, "mov r24, r25\n cpse r24, r25\n "+over, "ldi r24, 1\n ldi r25, 2\n cpse r24, r25\n "+over)
		for _, k := range []string{"0xff", "0"} {
			out = append(out, "ldi r24, "+k+"\n sbrc r24, 3\n "+over, "ldi r24, "+k+"\n sbrs r24, 3\n "+over)
			out = append(out, "ldi r24, "+k+"\n out 0x1e, r24\n sbic 0x1e, 3\n "+over, "ldi r24, "+k+"\n out 0x1e, r24\n sbis 0x1e, 3\n "+over)
		}
	}
	return out
}()

// TestCyclesOfInstructions runs each instruction in the simulator and compares its cycles with the table's.
func TestCyclesOfInstructions(t *testing.T) {
	var code strings.Builder
	fmt.Fprintf(&code, "__asm__(\".global f0\\nf0: ret\\n")
	for i, s := range snippets {
		fmt.Fprintf(&code, ".global f%d\\nf%[1]d: %s\\n clr r1\\n ret\\n", i+1, strings.ReplaceAll(s, "\n", "\\n"))
	}
	code.WriteString("\");\n")
	for i := range len(snippets) + 1 {
		fmt.Fprintf(&code, "void f%d(void);\n", i)
	}
	code.WriteString("static void (*const all[])(void) = {")
	for i := range len(snippets) + 1 {
		fmt.Fprintf(&code, "f%d, ", i)
	}
	code.WriteString("};\n")
	s := onPart(t, "avr8", func(ctx context.Context) (*Simulated, error) {
		return build(ctx, "avr8", tiny(code.String(), "all[a]();"))
	})
	listing, err := run(t.Context(), s.dir, "avr-objdump", "-d", "-z", "firmware.elf")
	if err != nil {
		t.Fatal(err)
	}
	l, err := path.Read(listing)
	if err != nil {
		t.Fatal(err)
	}
	took := func(i int) int {
		before := s.total
		drive(t, s, []int64{int64(i), 0})
		return int(s.total - before)
	}
	empty := took(0)
	for i, text := range snippets {
		w, err := l.Worst(fmt.Sprintf("f%d", i+1))
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if got := took(i+1) - empty + 4; got != w {
			t.Errorf("%q takes %d cycles, the table says %d", text, got-5, w-5)
		}
	}
}
