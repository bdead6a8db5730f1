package c

// mostSetBytes is the largest set of coefficients that the AVR form finds: it multiplies the number of a set by its size, of 8 bits.
const mostSetBytes = 255

// findsGains tells whether AVR has a form that finds a set of coefficients.
func (e *emitter) findsGains() bool {
	bytes := 0 // nothing is padded on AVR
	for _, k := range e.p.Coefs {
		bytes += bytesOf(k.Type)
	}
	return e.Target.Forms && bytes <= mostSetBytes
}

// gainsAt is the address of the set of that number.
func (e *emitter) gainsAt(number string) string {
	if e.findsGains() {
		return e.name + "_gains_at(s, " + number + ")"
	}
	return "&s->gains[" + number + "]"
}

// numberType holds the number of a gain among so many.
func numberType(gains int) string {
	if gains > 256 {
		return "uint16_t"
	}
	return "uint8_t"
}
