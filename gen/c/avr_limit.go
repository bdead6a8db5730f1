package c

import (
	"fmt"
)

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

// symmetricAVR limits operand 0, of 32 bits, to what operand 1 says, upwards and downwards.
func symmetricAVR() []string {
	compare := []string{"cp %A0, %A1", "cpc %B0, %B1", "cpc %C0, %C1", "cpc %D0, %D1"}
	code := append(append([]string{"tst %D0", "brmi 1f"}, compare...), "brge 2f", "rjmp 3f",
		"1: com %D1", "com %C1", "com %B1", "neg %A1", "sbci %B1, -1", "sbci %C1, -1", "sbci %D1, -1")
	return append(append(code, compare...), "brge 3f", "2: movw %A0, %A1", "movw %C0, %C1", "3:")
}
