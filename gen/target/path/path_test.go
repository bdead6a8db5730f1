package path

import (
	"fmt"
	"strings"
	"testing"
)

// listing makes a listing of lines such as "ldi r24, 5"; a line that ends in a colon is a symbol. Jumps and
// branches take a distance in instructions, calls a symbol's address; all instructions have one word but
// jmp, call, lds and sts.
func listing(lines ...string) []byte {
	var b strings.Builder
	at := 0x100
	hex := func(v int) string { return fmt.Sprintf("%03x", v) }
	for _, l := range lines {
		if name, symbol := strings.CutSuffix(l, ":"); symbol {
			b.WriteString("00000" + hex(at) + " <" + name + ">:\n")
			continue
		}
		bytes := "00 00      "
		name, args, _ := strings.Cut(l, " ")
		two := name == "jmp" || name == "call" || name == "lds" || name == "sts"
		if two {
			bytes = "00 00 00 00 "
		}
		b.WriteString(" " + hex(at) + ":\t" + bytes + "\t" + name + "\t" + args + "\t; remark\n")
		at += 2
		if two {
			at += 2
		}
	}
	return []byte(b.String())
}

func TestWorst(t *testing.T) {
	for _, v := range []struct {
		name  string
		lines []string
		want  int
		err   string
	}{
		{"straight", []string{"f:", "ldi r24, 0x05", "mul r24, r25", "ret"}, 1 + 2 + 4, ""},
		{"the longer way", []string{"f:", "cp r24, r25", "breq .+4", "nop", "nop", "ret"}, 1 + 1 + 2 + 4, ""},
		{"taken is the longer way", []string{"f:", "cp r24, r25", "breq .+0", "ret"}, 1 + 2 + 4, ""},
		{"skip of two words", []string{"f:", "sbrs r24, 7", "jmp 0x106", "ret"}, 1 + 3 + 4, ""},
		{"ten rounds", []string{"f:", "ldi r24, 0x0A", "lsr r25", "dec r24", "brne .-6", "ret"}, 1 + 9*4 + 3 + 4, ""},
		{"256 rounds from 0", []string{"f:", "ldi r24, 0x00", "dec r24", "brne .-4", "ret"}, 1 + 255*3 + 2 + 4, ""},
		{"a counter that was copied", []string{"f:", "ldi r26, 0x03", "mov r1, r26", "dec r1", "brne .-4", "ret"}, 2 + 2*3 + 2 + 4, ""},
		{"a counter of two bytes", []string{"f:", "ldi r24, 0x02", "ldi r25, 0x01", "sbiw r24, 0x01", "brne .-4", "ret"}, 2 + 257*4 + 3 + 4, ""},
		{"down by two, by comparison", []string{"f:", "ldi r24, 0x00", "subi r24, 0xFE", "cpi r24, 0x0A", "brne .-6", "ret"}, 1 + 4*4 + 3 + 4, ""},
		{"by sign", []string{"f:", "ldi r24, 0x03", "dec r24", "brpl .-4", "ret"}, 1 + 3*3 + 2 + 4, ""},
		{"constants that differ by branch", []string{"f:", "ldi r24, 0x02", "sbrc r25, 0", "ldi r24, 0x05", "dec r24", "brne .-4", "ret"}, 1 + 1 + 1 + 4*3 + 2 + 4, ""},
		{"a count from data", []string{"f:", "ld r24, X", "dec r24", "brne .-4", "ret"}, 0, "does not count from a constant"},
		{"a counter that a call may change", []string{"f:", "ldi r24, 0x03", "call 0x10c", "dec r24", "brne .-8", "ret", "g:", "ld r24, X", "ret"}, 0, "does not count"},
		{"a counter that a call leaves", []string{"f:", "ldi r24, 0x03", "call 0x10c", "dec r24", "brne .-8", "ret", "g:", "ld r25, X", "ret"}, 1 + 3*(4+2+4+1) + 2*2 + 1 + 4, ""},
		{"an argument that counts", []string{"f:", "ldi r24, 0x04", "call 0x108", "ret", "g:", "dec r24", "brne .-4", "ret"}, 1 + 4 + 3*3 + 2 + 4 + 4, ""},
		{"a jump into another function", []string{"f:", "jmp 0x104", "g:", "nop", "ret"}, 3 + 1 + 4, ""},
		{"two bytes of stack", []string{"f:", "rcall .+0", "pop r0", "pop r0", "ret"}, 3 + 2 + 2 + 4, ""},
		{"itself", []string{"f:", "call 0x100", "ret"}, 0, "calls itself"},
		{"each other", []string{"f:", "call 0x106", "ret", "g:", "call 0x100", "ret"}, 0, "calls itself"},
		{"an endless loop", []string{"f:", "rjmp .-2"}, 0, "does not count from a constant"},
		{"a computed jump", []string{"f:", "ijmp"}, 0, "ijmp"},
		{"no return", []string{"f:", "nop"}, 0, "nothing at"},
		{"data", []string{"f:", ".word 0xffff", "ret"}, 0, ".word"},
	} {
		t.Run(v.name, func(t *testing.T) {
			l, err := Read(listing(v.lines...))
			if err != nil {
				t.Fatal(err)
			}
			w, err := l.Worst("f")
			switch {
			case v.err != "" && (err == nil || !strings.Contains(err.Error(), v.err)):
				t.Errorf("got %d and %v, expected to read %q", w, err, v.err)
			case v.err == "" && (err != nil || w != v.want):
				t.Errorf("got %d and %v, want %d", w, err, v.want)
			}
		})
	}
}

func TestReadRefuses(t *testing.T) {
	for _, v := range []struct{ text, want string }{
		{"", "no instruction"},
		{" 100:\t00 00 \tldi\tr24\n", "ldi"},
		{" 100:\t00 00 \trjmp\t.x\n", "rjmp"},
		{" 100:\t00 00 \tadd\tr24, q\n", "add"},
	} {
		if _, err := Read([]byte(v.text)); err == nil || !strings.Contains(err.Error(), v.want) {
			t.Errorf("%q: %v, expected to read %q", v.text, err, v.want)
		}
	}
	l, err := Read(listing("f:", "ret"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.Worst("g"); err == nil {
		t.Error("a function that is not there has a path")
	}
}

// TestArithmetic holds what is computed of known bytes against plain arithmetic, for all of them.
func TestArithmetic(t *testing.T) {
	for _, v := range []struct {
		name string
		want func(a, b, c int) (r, carry int)
	}{
		{"add", func(a, b, _ int) (int, int) { return a + b, (a + b) >> 8 }},
		{"adc", func(a, b, c int) (int, int) { return a + b + c, (a + b + c) >> 8 }},
		{"sub", func(a, b, _ int) (int, int) { return a - b, (a - b) >> 8 & 1 }},
		{"sbc", func(a, b, c int) (int, int) { return a - b - c, (a - b - c) >> 8 & 1 }},
		{"and", func(a, b, c int) (int, int) { return a & b, c }},
		{"or", func(a, b, c int) (int, int) { return a | b, c }},
		{"eor", func(a, b, c int) (int, int) { return a ^ b, c }},
		{"neg", func(a, _, _ int) (int, int) { return -a, (-a) >> 8 & 1 }},
		{"com", func(a, _, _ int) (int, int) { return ^a, 1 }},
		{"inc", func(a, _, c int) (int, int) { return a + 1, c }},
		{"dec", func(a, _, c int) (int, int) { return a - 1, c }},
		{"lsr", func(a, _, _ int) (int, int) { return a >> 1, a & 1 }},
		{"ror", func(a, _, c int) (int, int) { return a>>1 | c<<7, a & 1 }},
		{"asr", func(a, _, _ int) (int, int) { return int(int8(a)) >> 1, a & 1 }},
		{"swap", func(a, _, c int) (int, int) { return a>>4 | a<<4, c }},
	} {
		in := &instruction{name: v.name, args: []string{"r24", "r25"}}
		e := effects[v.name](in)
		for i := range 1 << 17 {
			a, b, c := i&255, i>>8&255, i>>16
			s := state{}
			s.put(24, uint8(a), true)
			s.put(25, uint8(b), true)
			for _, f := range []int{flagC, flagZ, flagN, flagV} {
				s.put(f, uint8(c), true)
			}
			e.apply(&s)
			r, carry := v.want(a, b, c)
			r &= 255
			zero := bit(r == 0)
			if v.name == "sbc" {
				zero &= uint8(c)
			}
			got, _ := s.get(24)
			if int(got) != r || int(s.value[flagC]) != carry || v.name != "swap" && (s.value[flagZ] != zero || int(s.value[flagN]) != r>>7) {
				t.Fatalf("%s %d, %d, carry %d: %d, carry %d, zero %d", v.name, a, b, c, got, s.value[flagC], s.value[flagZ])
			}
			if want, defined := overflow(v.name, a, b, c); defined && s.value[flagV] != want {
				t.Fatalf("%s %d, %d, carry %d: overflow %d", v.name, a, b, c, s.value[flagV])
			}
		}
	}
}

// overflow is what the flag V tells of signed arithmetic.
func overflow(name string, a, b, c int) (uint8, bool) {
	x, y := int(int8(a)), int(int8(b))
	var r int
	switch name {
	case "add":
		r = x + y
	case "adc":
		r = x + y + c
	case "sub":
		r = x - y
	case "sbc":
		r = x - y - c
	case "neg":
		r = -x
	case "inc":
		r = x + 1
	case "dec":
		r = x - 1
	default:
		return 0, false
	}
	return bit(r < -128 || r > 127), true
}
