package c

import (
	"fmt"
	"strings"

	"gainwright/model/program"
)

// letters name the bytes of an operand in inline assembly, least first.
const letters = "ABCD"

// reg is byte i of operand n.
func reg(n, i int) string { return fmt.Sprintf("%%%c%d", letters[i], n) }

// assembly writes instructions as the strings of an asm statement, some to a line.
func assembly(indent string, code []string, operands string) string {
	var b strings.Builder
	line := indent + "__asm__("
	for i, c := range code {
		text := `"` + c + `\n\t"`
		if i == len(code)-1 {
			text = `"` + c + `"`
		}
		if strings.TrimSpace(line) != "__asm__(" {
			text = " " + text
		}
		if len(line)+len(text) > maxColumns {
			b.WriteString(line + "\n")
			line, text = indent+"        ", strings.TrimPrefix(text, " ")
		}
		line += text
	}
	b.WriteString(line + "\n" + indent + "        " + operands + ");\n")
	return b.String()
}

// roundAVR divides operand 1, of the given bytes, by 2^shift into operand 0, halves up: it shifts by less
// than 8 bits, to the right or to the left, whichever is shorter, moves bytes, and adds the last bit that
// was shifted out. r0 may be used by any assembly, r1 holds 0.
func roundAVR(from, to int, shift uint) []string {
	right, left := roundRight(from, to, shift), roundLeft(from, to, shift)
	if left != nil && len(left) < len(right) {
		return left
	}
	return right
}

// taken copies to bytes of operand 1, from byte at on, into operand 0, and the sign into those beyond its end; real is
// the number of bytes that are no sign.
func taken(from, to, at int) (code []string, real int) {
	for i := 0; i < to; i++ {
		switch {
		case at+i >= from:
			if i == 0 || at+i == from {
				code = append(code, "mov "+reg(0, i)+", "+reg(1, from-1), "lsl "+reg(0, i), "sbc "+reg(0, i)+", "+reg(0, i))
			} else {
				code = append(code, "mov "+reg(0, i)+", "+reg(0, i-1))
			}
			continue
		case i%2 == 0 && at%2 == 0 && i+1 < to && at+i+1 < from:
			code = append(code, "movw "+reg(0, i)+", "+reg(1, at+i))
			real += 2
			i++
			continue
		}
		code = append(code, "mov "+reg(0, i)+", "+reg(1, at+i))
		real++
	}
	return code, real
}

// roundRight shifts by the bits beyond whole bytes; the last one goes into the carry.
func roundRight(from, to int, shift uint) []string {
	at, bits := int(shift/8), int(shift%8)
	code, real := taken(from, to, at)
	if bits == 0 {
		code = append(code, "mov r0, "+reg(1, at-1), "lsl r0")
		return append(code, carried(to)...)
	}
	above := at+real < from // a byte above the result, some bits of which come down
	if above {
		code = append(code, "mov r0, "+reg(1, at+real))
	}
	for range bits {
		down := "asr"
		if above {
			code = append(code, "asr r0")
			down = "ror"
		}
		for i := real - 1; i >= 0; i-- {
			code = append(code, down+" "+reg(0, i))
			down = "ror"
		}
	}
	return append(code, carried(to)...)
}

// roundLeft shifts the other way, out of the byte below, which is r0.
func roundLeft(from, to int, shift uint) []string {
	at, bits := int(shift/8)+1, 8-int(shift%8)
	if bits == 8 || at > from {
		return nil
	}
	code, real := taken(from, to, at)
	if real < to {
		real++ // the first byte of sign takes what leaves the last byte
	}
	code = append(code, "mov r0, "+reg(1, at-1))
	for range bits {
		code = append(code, "lsl r0")
		for i := range real {
			code = append(code, "rol "+reg(0, i))
		}
	}
	return append(append(code, "lsl r0"), carried(to)...)
}

// carried adds the carry to operand 0.
func carried(to int) []string {
	var code []string
	for i := range to {
		code = append(code, "adc "+reg(0, i)+", r1")
	}
	return code
}

// limitAVR limits operand 0 to [lo, hi], constants that are operands 2 (the upper one) and 3; operand 1 is a register
// for bytes of them. A side that is nil is not limited. Bytes that are 0 at the low end of a limit need no
// comparison: where the rest is equal the limit is what comes out.
func limitAVR(bytes int, lo, hi *int64) []string {
	load := func(operand int, limit int64) (code []string) {
		for i := range bytes {
			if byteOf(limit, i) == 0 {
				code = append(code, "mov "+reg(0, i)+", r1")
			} else {
				code = append(code, "ldi "+reg(0, i)+", "+part(operand, i))
			}
		}
		return code
	}
	compare := func(operand int, limit int64) (code []string) {
		first := true
		for i := range bytes {
			b := byteOf(limit, i)
			switch {
			case first && b == 0 && i < bytes-1:
				continue
			case first:
				code = append(code, "cpi "+reg(0, i)+", "+part(operand, i))
			case b == 0:
				code = append(code, "cpc "+reg(0, i)+", r1")
			default:
				code = append(code, "ldi %1, "+part(operand, i), "cpc "+reg(0, i)+", %1")
			}
			first = false
		}
		return code
	}
	top := reg(0, bytes-1)
	var code []string
	switch {
	case lo == nil:
		code = append(append(compare(2, *hi), "brlt 1f"), load(2, *hi)...)
		return append(code, "1:")
	case hi == nil:
		code = append(append(compare(3, *lo), "brge 1f"), load(3, *lo)...)
		return append(code, "1:")
	}
	code = append(code, "tst "+top, "brmi 1f")
	code = append(append(code, compare(2, *hi)...), "brlt 2f")
	code = append(append(code, load(2, *hi)...), "rjmp 2f")
	lower := load(3, *lo)
	if *lo != 0 {
		lower = append(append(compare(3, *lo), "brge 2f"), lower...)
	}
	lower[0] = "1: " + lower[0]
	return append(append(code, lower...), "2:")
}

func byteOf(v int64, i int) byte { return byte(v >> (8 * i)) }

// part is a byte of a constant operand.
func part(operand, i int) string {
	return fmt.Sprintf("%s(%%%d)", [...]string{"lo8", "hi8", "hlo8", "hhi8"}[i], operand)
}

// quotientAVR takes the lengths of operands 5 and 6 into operands 0 and 1, the lesser one and the larger one, with operand
// 4 saying whether they changed places, and divides them bit by bit: the first bits of the quotient go into
// operand 2, the others into operand 3, where they stand at the top. Two sides of length 0 give 0. Sides of one length have the quotient next to
// 1, which looks up the entry of 1 where the last rise is not above half a step (see hasForm).
//
// The short form comes round once a bit, which takes 3 cycles more, and counts in operand 5; y and x are then 6 and
// 7.
func quotientAVR(first, others uint, short bool) []string {
	length := func(to, from string) []string {
		return []string{"movw %A" + to + ", %A" + from, "tst %B" + to, "brpl 1f", "neg %B" + to, "neg %A" + to, "sbc %B" + to + ", r1"}
	}
	y, x := "5", "6"
	if short {
		y, x = "6", "7"
	}
	code := append(length("0", y), length("1", x)...)
	code[6] = "1: " + code[6]
	code = append(code, "1: clr %4", "cp %A0, %A1", "cpc %B0, %B1", "brne 1f",
		fmt.Sprintf("ldi %%2, %d", 1<<first-1), fmt.Sprintf("ldi %%3, %d", 256-1<<(8-others)), "cp %A0, r1", "cpc %B0, r1", "brne 2f",
		"clr %2", "clr %3", "2: rjmp 3f",
		"1: brcs 1f", "movw r0, %A0", "movw %A0, %A1", "movw %A1, r0", "clr r1", "inc %4")
	started := "1: "
	if first < 8 {
		code = append(code, "1: ldi %2, 0xff")
		started = ""
	}
	step := func(to string) []string {
		return []string{"lsl %A0", "rol %B0", "cp %A0, %A1", "cpc %B0, %B1", "brcs 1f", "sub %A0, %A1", "sbc %B0, %B1", "1: rol " + to}
	}
	part := func(to string, bits uint) {
		if short {
			code = append(append(append(code, started+fmt.Sprintf("ldi %%5, %d", bits)), "4: lsl %A0"), step(to)[1:]...)
			code = append(code, "dec %5", "brne 4b")
			started = ""
			return
		}
		for range bits {
			s := step(to)
			s[0] = started + s[0]
			started = ""
			code = append(code, s...)
		}
	}
	part("%2", first)
	part("%3", others)
	code = append(code, "com %2", "com %3")
	for range 8 - others {
		code = append(code, "lsl %3")
	}
	return append(code, "3:")
}

// lookAVR reads the entry that Z points to into operand 0, adds the part (operand 3) of the rise to the next one, and leads
// the angle from its octant to where it belongs: operand 4 tells whether the sides changed places, operands 5 and
// 6 are y and x, operand 7 is a right angle. Operand 1 is a register to work with.
func lookAVR(yTurned, xTurned bool) []string {
	negate := []string{"neg %B0", "neg %A0", "sbc %B0, r1"}
	unless := func(side string, turned bool) []string { // y < 0, or y > 0 where it stands for -y
		if turned {
			return []string{"1: cp r1, %A" + side, "cpc r1, %B" + side, "brge 1f"}
		}
		return []string{"1: tst %B" + side, "brpl 1f"}
	}
	code := []string{"lpm %A0, Z+", "lpm %B0, Z+", "lpm %1, Z", "sub %1, %A0", "mul %1, %3", "lsl r0", "adc %A0, r1", "clr r1", "adc %B0, r1",
		"tst %4", "breq 1f"}
	code = append(append(code, negate...), "subi %A0, lo8(-(%7))", "sbci %B0, hi8(-(%7))")
	code = append(append(code, unless("6", xTurned)...), negate...)
	code = append(code, "subi %A0, lo8(-2*(%7))", "sbci %B0, hi8(-2*(%7))")
	code = append(append(code, unless("5", yTurned)...), negate...)
	return append(code, "1:")
}

// bytesOf is the size of a type.
func bytesOf(t program.Type) int { return int(t.Bits() / 8) }
