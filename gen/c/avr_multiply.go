package c

import (
	"slices"
	"strings"

	"gainwright/model/selection"
)

// multiplyAVR multiplies operands 1 and 2 into operand 0, or adds the product to it. The shapes are those of
// package selection. Each product of two bytes lands in r1:r0; r1 is cleared behind it, as the compiler wants it
// in the end, and serves as the zero that carries are added with: clr leaves the carry alone.
func multiplyAVR(shape selection.Shape, added bool) []string {
	outer := func(high string) (code []string) { // high by high and low by low, which do not overlap
		if !added {
			return []string{high, "movw %C0, r0", "mul %A1, %A2", "movw %A0, r0"}
		}
		return []string{high, "add %C0, r0", "adc %D0, r1", "mul %A1, %A2", "add %A0, r0", "adc %B0, r1", "clr r1", "adc %C0, r1", "adc %D0, r1"}
	}
	unsigned := func(a, b string) []string {
		return []string{"mul " + a + ", " + b, "add %B0, r0", "adc %C0, r1", "clr r1", "adc %D0, r1"}
	}
	signed := func(a, b string) []string { // the carry holds the sign
		return []string{"mulsu " + a + ", " + b, "sbci %D0, 0", "add %B0, r0", "adc %C0, r1", "clr r1", "adc %D0, r1"}
	}
	less := func(bit, other string) []string { // the other factor, 2^16 times, where the bit is set
		return []string{"sbrs " + bit, "rjmp 1f", "sub %C0, %A" + other, "sbc %D0, %B" + other, "1:"}
	}
	switch shape {
	case selection.Signed:
		return slices.Concat(outer("muls %B1, %B2"), signed("%B1", "%A2"), signed("%B2", "%A1"))
	case selection.NotNegative:
		return slices.Concat(outer("mulsu %B1, %B2"), unsigned("%A1", "%B2"), signed("%B1", "%A2"))
	case selection.Difference17: // bit 16 is the sign, which counts -2^16
		code := []string{"mul %A1, %A2", "movw %A0, r0", "mul %B1, %B2", "movw %C0, r0"}
		if added {
			code = []string{"mul %A1, %A2", "add %A0, r0", "adc %B0, r1", "clr r1", "adc %C0, r1", "adc %D0, r1", "mul %B1, %B2", "add %C0, r0", "adc %D0, r1"}
		}
		return slices.Concat(code, unsigned("%B1", "%A2"), unsigned("%A1", "%B2"), less("%B2, 7", "1"), less("%C1, 0", "2"))
	case selection.Long:
		return slices.Concat([]string{"mul %A1, %A2", "movw %A0, r0", "mul %C1, %A2", "movw %C0, r0", "mul %B1, %B2", "add %C0, r0", "adc %D0, r1"},
			unsigned("%B1", "%A2"), unsigned("%A1", "%B2"), []string{"mul %D1, %A2", "add %D0, r0", "mul %C1, %B2", "add %D0, r0", "clr r1"}, less("%B2, 7", "1"))
	}
	panic("c: a product of a shape that has no form")
}

// multiplyInPlaceAVR multiplies operand 0, of 32 bits, by operand 3, of 16, where it stands: as a function of its own it then
// saves no registers. Operands 1 and 2 take the halves of operand 0.
func multiplyInPlaceAVR() []string {
	moved := strings.NewReplacer("%C1", "%A2", "%D1", "%B2", "%A2", "%A3", "%B2", "%B3")
	code := []string{"movw %A1, %A0", "movw %A2, %C0"}
	for _, c := range multiplyAVR(selection.Long, false) {
		code = append(code, moved.Replace(c))
	}
	return code
}

// factorAVR multiplies operand 2 by the constant k, operand 3, into operand 0, or adds the product to it. Operand
// 1 is a register for the bytes of the constant. Bytes that are 0 or 1 need no multiplication.
func factorAVR(k int64, added bool) []string {
	low, high := byteOf(k, 0), int8(k>>8)
	var code []string
	if low == 0 {
		if !added {
			code = append(code, "mov %A0, r1")
		}
	} else {
		code = append(code, "ldi %1, lo8(%3)", "mul %A2, %1")
		if added {
			code = append(code, "add %A0, r0", "adc %B0, r1", "clr r1", "adc %C0, r1", "adc %D0, r1", "mulsu %B2, %1", "sbci %D0, 0")
		} else {
			code = append(code, "movw %A0, r0", "mulsu %B2, %1", "sbc %D0, %D0")
		}
		if added {
			code = append(code, "add %B0, r0", "adc %C0, r1", "clr r1", "adc %D0, r1")
		} else {
			code = append(code, "mov %C0, r1", "add %B0, r0", "clr r1", "adc %C0, r1", "adc %D0, r1")
		}
	}
	fresh := low == 0 && !added // bytes 1 to 3 hold nothing yet
	switch {
	case high == 0:
	case high == 1 && !fresh:
		code = append(code, "add %B0, %A2", "adc %C0, %B2", "adc %D0, r1", "sbrc %B2, 7", "dec %D0")
	default:
		outer, cross := "mulsu %B2, %1", []string{"mul %A2, %1"}
		if high < 0 {
			outer, cross = "muls %B2, %1", []string{"mulsu %1, %A2", "sbci %D0, 0"}
		}
		code = append(code, "ldi %1, hi8(%3)", outer)
		if fresh {
			code = append(append(append(code, "movw %C0, r0"), cross...), "mov %B0, r0", "add %C0, r1")
		} else {
			code = append(append(append(code, "add %C0, r0", "adc %D0, r1"), cross...), "add %B0, r0", "adc %C0, r1")
		}
		code = append(code, "clr r1", "adc %D0, r1")
	}
	return code
}
