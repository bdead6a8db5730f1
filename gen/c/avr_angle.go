package c

import (
	"fmt"
)

// quotientAVR takes the lengths of operands 5 and 6 into operands 0 and 1, the lesser one and the larger one, with operand
// 4 saying whether they changed places, and divides them bit by bit: the first bits of the quotient go into
// operand 2, the others into operand 3, where they stand at the top. Two sides of length 0 give 0. Sides of one length have the quotient next to
// 1, which looks up the entry of 1 where the last rise is not above half a step (see hasForm).
//
// The short form comes round once a bit, which takes 3 or 4 cycles more, and counts in operand 5; y and x are then 6 and
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
	if short && others == 8 { // one loop through both: what leaves operand 3, ones first, enters operand 2
		code = append(code, "1: ldi %3, 0xff", fmt.Sprintf("ldi %%5, %d", first+others), "4: lsl %A0")
		code = append(append(code, step("%3")[1:]...), "rol %2", "dec %5", "brne 4b")
	} else {
		if first < 8 {
			code = append(code, "1: ldi %2, 0xff")
			started = ""
		}
		part("%2", first)
		part("%3", others)
	}
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
