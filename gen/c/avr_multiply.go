package c

// multiplyAVR multiplies operands 1 and 2 into operand 0, or adds the product to it. The forms are those of
// factors. Each product of two bytes lands in r1:r0; r1 is cleared behind it, as the compiler wants it
// in the end, and serves as the zero that carries are added with: clr leaves the carry alone.
func multiplyAVR(form string, added bool) []string {
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
	join := func(parts ...[]string) (code []string) {
		for _, p := range parts {
			code = append(code, p...)
		}
		return code
	}
	switch form {
	case "16":
		return join(outer("muls %B1, %B2"), signed("%B1", "%A2"), signed("%B2", "%A1"))
	case "16p":
		return join(outer("mulsu %B1, %B2"), unsigned("%A1", "%B2"), signed("%B1", "%A2"))
	case "16b":
		if added {
			return join([]string{"mul %A1, %2", "add %A0, r0", "adc %B0, r1", "clr r1", "adc %C0, r1", "adc %D0, r1"}, signed("%B1", "%2"))
		}
		return []string{"mul %A1, %2", "movw %A0, r0", "mulsu %B1, %2", "sbc %D0, %D0", "mov %C0, r1", "add %B0, r0", "clr r1", "adc %C0, r1", "adc %D0, r1"}
	case "32":
		return join([]string{"mul %A1, %A2", "movw %A0, r0", "mul %C1, %A2", "movw %C0, r0", "mulsu %B2, %B1", "add %C0, r0", "adc %D0, r1"},
			unsigned("%B1", "%A2"), signed("%B2", "%A1"), []string{"mul %D1, %A2", "add %D0, r0", "mul %C1, %B2", "add %D0, r0", "clr r1"})
	}
	panic("c: no multiplication of the form " + form)
}
