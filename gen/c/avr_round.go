package c

import "fmt"

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

// roundTwiceAVR rounds 32 bits by 8 and then by 6 to 8 bits, to 16 bits: the carry of the first rounding and half a count of
// the second one are added to the second byte, the last bits of which are then shifted up.
func roundTwiceAVR(second uint) []string {
	code := []string{fmt.Sprintf("ldi %%A0, %d", 1<<(second-1)), "mov r0, %A1", "lsl r0", "adc %A0, %B1", "mov r0, %A0",
		"movw %A0, %C1", "adc %A0, r1", "adc %B0, r1"}
	for range 8 - second {
		code = append(code, "lsl r0", "rol %A0", "rol %B0")
	}
	return code
}

// upAVR multiplies operand 1, of 16 bits, by 2^8 to 2^16 into operand 0, of 32: it moves bytes and shifts by the rest, up or down.
func upAVR(shift uint) []string {
	if shift < 12 {
		code := []string{"mov %A0, r1", "mov %B0, %A1", "mov %C0, %B1", "mov %D0, %B1", "lsl %D0", "sbc %D0, %D0"}
		for range shift - 8 {
			code = append(code, "lsl %B0", "rol %C0", "rol %D0")
		}
		return code
	}
	code := []string{"movw %C0, %A1", "mov %A0, r1", "mov %B0, r1"}
	for range 16 - shift {
		code = append(code, "asr %D0", "ror %C0", "ror %B0")
	}
	return code
}

// upWideAVR multiplies operand 1, of 32 bits, by 2^shift into operand 0: it moves bytes and shifts by the rest.
func upWideAVR(shift uint) []string {
	at := int(shift / 8)
	var code []string
	for i := range 4 {
		switch {
		case i < at:
			code = append(code, "mov "+reg(0, i)+", r1")
		case (i-at)%2 == 0 && at%2 == 0:
			code = append(code, "movw "+reg(0, i)+", "+reg(1, i-at))
		case at%2 != 0:
			code = append(code, "mov "+reg(0, i)+", "+reg(1, i-at))
		}
	}
	for range shift % 8 {
		up := "lsl"
		for i := at; i < 4; i++ {
			code = append(code, up+" "+reg(0, i))
			up = "rol"
		}
	}
	return code
}
