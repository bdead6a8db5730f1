package path

// effects say what each instruction does. Branches and jumps do nothing to registers.
var effects = map[string]func(*instruction) effect{
	"add":  binary(arithmetic, false, false, false, add),
	"adc":  binary(arithmetic, false, true, false, add),
	"sub":  binary(arithmetic, false, false, false, sub),
	"subi": binary(arithmetic, true, false, false, sub),
	"sbc":  binary(arithmetic, false, true, false, sub),
	"sbci": binary(arithmetic, true, true, false, sub),
	"cp":   binary(arithmetic, false, false, true, sub),
	"cpc":  binary(arithmetic, false, true, true, sub),
	"cpi":  binary(arithmetic, true, false, true, sub),
	"and":  binary(logic, false, false, false, func(a, b, _ uint8) result { return result{value: a & b} }),
	"andi": binary(logic, true, false, false, func(a, b, _ uint8) result { return result{value: a & b} }),
	"or":   binary(logic, false, false, false, func(a, b, _ uint8) result { return result{value: a | b} }),
	"ori":  binary(logic, true, false, false, func(a, b, _ uint8) result { return result{value: a | b} }),
	"eor":  binary(logic, false, false, false, func(a, b, _ uint8) result { return result{value: a ^ b} }),
	"com":  unary(arithmetic, false, func(a, _ uint8) result { return result{^a, 1, 0} }),
	"neg":  unary(arithmetic, false, func(a, _ uint8) result { return sub(0, a, 0) }),
	"inc":  unary(logic, false, func(a, _ uint8) result { return result{a + 1, 0, bit(a == 0x7f)} }),
	"dec":  unary(logic, false, func(a, _ uint8) result { return result{a - 1, 0, bit(a == 0x80)} }),
	"asr":  unary(arithmetic, false, func(a, _ uint8) result { return shifted(a>>1|a&0x80, a&1) }),
	"lsr":  unary(arithmetic, false, func(a, _ uint8) result { return shifted(a>>1, a&1) }),
	"ror":  unary(arithmetic, true, func(a, c uint8) result { return shifted(a>>1|c<<7, a&1) }),
	"swap": unary(0, false, func(a, _ uint8) result { return result{value: a>>4 | a<<4} }),
	"adiw": word(func(a, k uint16) (uint16, uint8, uint8) {
		r := a + k
		return r, uint8((^r & a) >> 15), uint8((r &^ a) >> 15)
	}),
	"sbiw": word(func(a, k uint16) (uint16, uint8, uint8) {
		r := a - k
		return r, uint8((r &^ a) >> 15), uint8((a &^ r) >> 15)
	}),
	"ldi": func(in *instruction) effect {
		d, k := in.register(0), in.number()
		return effect{writes: of(d), run: func(s *state) { s.put(d, k, true) }}
	},
	"mov": func(in *instruction) effect { return copies(in, 1) },
	"movw": func(in *instruction) effect {
		return copies(in, 2)
	},
	"sec": flag(flagC, 1), "clc": flag(flagC, 0), "sez": flag(flagZ, 1), "clz": flag(flagZ, 0),
	"sen": flag(flagN, 1), "cln": flag(flagN, 0), "sev": flag(flagV, 1), "clv": flag(flagV, 0),

	"mul": product, "muls": product, "mulsu": product, "fmul": product, "fmuls": product, "fmulsu": product,
	"ld": load, "ldd": load, "lds": load, "pop": load, "in": load, "bld": load,
	"lpm": func(in *instruction) effect {
		if len(in.args) == 0 {
			return effect{writes: of(0)}
		}
		return load(in)
	},
	"st":   func(in *instruction) effect { return effect{writes: in.pointers()} },
	"cpse": func(in *instruction) effect { return effect{reads: of(in.register(0), in.register(1))} },
	"sbrc": func(in *instruction) effect { return effect{reads: of(in.register(0))} },
	"sbrs": func(in *instruction) effect { return effect{reads: of(in.register(0))} },
}

func copies(in *instruction, n int) effect {
	d, r := in.register(0), in.register(1)
	e := effect{run: func(s *state) {
		for i := range n {
			v, known := s.get(r + i)
			s.put(d+i, v, known)
		}
	}}
	for i := range n {
		e.reads |= of(r + i)
		e.writes |= of(d + i)
	}
	return e
}

func flag(f int, v uint8) func(*instruction) effect {
	return func(*instruction) effect {
		return effect{writes: of(f), run: func(s *state) { s.put(f, v, true) }}
	}
}

func product(*instruction) effect { return effect{writes: of(0, 1, flagC, flagZ)} }

func load(in *instruction) effect { return effect{writes: of(in.register(0)) | in.pointers()} }
