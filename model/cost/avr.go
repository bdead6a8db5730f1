package cost

import (
	"math/bits"

	"gainwright/model/program"
	"gainwright/model/selection"
)

// What the forms in assembly that gen/c has for AVR take, counted from their instructions. The tables hold a factor for each
// sort of form, near 1: it takes in the moves that the compiler makes around them.

// roundForm is a rounding of a number of bytes by a shift into others.
func roundForm(from, to int, shift uint) float64 {
	at, bits := int(shift/8), int(shift%8)
	sign := max(0, at+to-from) // bytes of sign
	whole := to - sign
	copied := (whole+1)/2 + min(sign, 1)*3 + max(0, sign-1)
	if bits == 0 {
		return float64(copied + 2 + to)
	}
	above := 0
	if at+whole < from {
		above = 1
	}
	right := copied + above + bits*(whole+above) + to
	if at+1 > from {
		return float64(right)
	}
	sign = max(0, at+1+to-from)
	whole = to - sign
	copied = whole + min(sign, 1)*3 + max(0, sign-1)
	left := copied + 1 + (8-bits)*(1+min(whole+1, to)) + 1 + to
	return float64(min(right, left))
}

// upForm is a number of 16 bits times 2^8 to 2^20, in 32 bits.
func upForm(bits uint) float64 {
	switch {
	case bits < 12:
		return float64(6 + 3*(bits-8))
	case bits < 16:
		return float64(3 + 3*(16-bits))
	}
	return float64(3 + 2*(bits-16))
}

// upWideForm is a number of 32 bits times a power of two.
func upWideForm(bits uint) float64 {
	moves := 4
	if bits/8%2 == 0 {
		moves = int(bits/8) + (4-int(bits/8))/2
	}
	return float64(moves + int(bits%8)*(4-int(bits/8)))
}

// roundTwiceForm is a rounding of 32 bits by 8 and then by some more, into 16 bits.
func roundTwiceForm(second uint) float64 { return 8 + 3*float64(8-second) }

// factorForm is a product of 16 bits by a constant.
func factorForm(k int64) float64 {
	n := 0
	low, high := byte(k), int8(k>>8)
	if low != 0 {
		n += 12
	} else {
		n++
	}
	switch {
	case high == 0:
	case high == 1 && low != 0:
		n += 5
	default:
		n += 12
	}
	return float64(n)
}

// productForms are products of two values in 32 bits.
var productForms = map[selection.Shape]float64{selection.Signed: 20, selection.NotNegative: 19, selection.Difference17: 24, selection.Long: 31}

// lessRoundedForm is less the carry and the upper half of 32 bits, in one.
const lessRoundedForm = 4

// product16Form is a product of 16 bits that fits 16 bits, by a number inside limits.
func product16Form(lo, hi int64) float64 {
	if lo == hi && lo >= 0 && lo < 256 {
		return 8 // two products of bytes
	}
	return 11 // three
}

// limitForm is a clamp, minimum or maximum of a number of bytes by constants; nil is no limit.
func limitForm(bytes int, lo, hi *int64) float64 {
	side := func(limit int64) int {
		n, first := bytes+1, true
		for i := range bytes {
			switch b := byte(limit >> (8 * i)); {
			case first && b == 0 && i < bytes-1:
				continue
			case first || b == 0:
				n++
			default:
				n += 2
			}
			first = false
		}
		return n
	}
	switch {
	case lo == nil:
		return float64(side(*hi))
	case hi == nil:
		return float64(side(*lo))
	}
	return float64(max(2+side(*hi)+2, 3+side(*lo)))
}

// comparisons are those that find the line of a table; an even grid needs none.
func comparisons(t *program.Curve) float64 {
	if _, even := t.Even(); even {
		return 0
	}
	return float64(bits.Len(uint(len(t.Slope) - 1)))
}

// shortTableForm is a table in program memory: limits, the line, its entries, product and sum.
func shortTableForm(t *program.Curve) float64 {
	n := 46 + productForms[selection.NotNegative] + roundForm(4, 2, t.Shift)
	if _, even := t.Even(); even {
		return n - 10
	}
	return n + 4 + 6*comparisons(t)
}

// tableForm is a table in C, where places, values or products are wider.
func tableForm(t *program.Curve, w program.Type) float64 {
	n := 90 + 8*comparisons(t)
	if w == program.I64 {
		n += 490
	}
	return n
}

// farForm is what it takes besides to limit a number of 32 bits to the places of a table.
const farForm = 100

// angleForm is the arctangent of a table.
func angleForm(t *program.Arctan) float64 { return float64(80 + 8*t.QuotientBits) }
