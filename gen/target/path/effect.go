package path

// effect is what an instruction does to registers and flags.
type effect struct {
	reads, writes set
	run           func(s *state) // nil: what it writes is not known afterwards
}

// apply runs the instruction on a state.
func (e effect) apply(s *state) {
	if e.run != nil {
		e.run(s)
		return
	}
	for r := range s.value {
		if e.writes&of(r) != 0 {
			s.put(r, 0, false)
		}
	}
}

// Flags that arithmetic and logic write.
var (
	arithmetic = of(flagC, flagZ, flagN, flagV)
	logic      = of(flagZ, flagN, flagV)
)

// result is what a computation yields: the register's value and the flags C and V.
type result struct {
	value, c, v uint8
}

// binary is an operation on two registers, or on a register and a constant. chained: it takes the
// carry in, and leaves Z set only where it was. keeps: it writes flags alone.
func binary(flags set, constant, chained, keeps bool, f func(a, b, c uint8) result) func(*instruction) effect {
	return func(in *instruction) effect {
		d, r := in.register(0), -1
		var k uint8
		e := effect{reads: of(d), writes: flags}
		if constant {
			k = in.number()
		} else {
			r = in.register(1)
			e.reads |= of(r)
		}
		if chained {
			e.reads |= of(flagC, flagZ)
		}
		if !keeps {
			e.writes |= of(d)
		}
		same := d == r && !chained && (in.name == "sub" || in.name == "eor") // 0, whatever was in it
		if same {
			e.reads = 0
		}
		e.run = func(s *state) {
			a, known := s.get(d)
			b, c := k, uint8(0)
			if !constant {
				var kb bool
				b, kb = s.get(r)
				known = known && kb
			}
			if same {
				a, b, known = 0, 0, true
			}
			if chained {
				var kc bool
				c, kc = s.get(flagC)
				known = known && kc
			}
			x := f(a, b, c)
			z, kz := bit(x.value == 0), known
			if chained && (in.name == "sbc" || in.name == "sbci" || in.name == "cpc") {
				before, kb := s.get(flagZ)
				z, kz = z&before, known && kb
				if known && x.value != 0 {
					z, kz = 0, true
				}
			}
			if !keeps {
				s.put(d, x.value, known)
			}
			if flags&of(flagC) != 0 {
				s.put(flagC, x.c, known)
			}
			s.put(flagZ, z, kz)
			s.put(flagN, x.value>>7, known)
			s.put(flagV, x.v, known)
		}
		return e
	}
}

// unary is an operation on one register; rotating ones take the carry in.
func unary(flags set, carry bool, f func(a, c uint8) result) func(*instruction) effect {
	return func(in *instruction) effect {
		d := in.register(0)
		e := effect{reads: of(d), writes: of(d) | flags}
		if carry {
			e.reads |= of(flagC)
		}
		e.run = func(s *state) {
			a, known := s.get(d)
			c := uint8(0)
			if carry {
				var kc bool
				c, kc = s.get(flagC)
				known = known && kc
			}
			x := f(a, c)
			s.put(d, x.value, known)
			for flag, v := range map[int]uint8{flagC: x.c, flagZ: bit(x.value == 0), flagN: x.value >> 7, flagV: x.v} {
				if flags&of(flag) != 0 {
					s.put(flag, v, known)
				}
			}
		}
		return e
	}
}

// word is adiw or sbiw.
func word(f func(a, k uint16) (r uint16, c, v uint8)) func(*instruction) effect {
	return func(in *instruction) effect {
		d, k := in.register(0), uint16(in.number())
		return effect{reads: of(d, d+1), writes: of(d, d+1) | arithmetic, run: func(s *state) {
			lo, kl := s.get(d)
			hi, kh := s.get(d + 1)
			known := kl && kh
			r, c, v := f(uint16(hi)<<8|uint16(lo), k)
			s.put(d, uint8(r), known)
			s.put(d+1, uint8(r>>8), known)
			s.put(flagC, c, known)
			s.put(flagZ, bit(r == 0), known)
			s.put(flagN, uint8(r>>15), known)
			s.put(flagV, v, known)
		}}
	}
}

func bit(b bool) uint8 {
	if b {
		return 1
	}
	return 0
}

func add(a, b, c uint8) result {
	r := a + b + c
	return result{r, bit(uint16(a)+uint16(b)+uint16(c) > 255), (^(a ^ b) & (a ^ r)) >> 7}
}

func sub(a, b, c uint8) result {
	r := a - b - c
	return result{r, bit(uint16(a) < uint16(b)+uint16(c)), ((a ^ b) & (a ^ r)) >> 7}
}

// shifted is a result of a shift to the right, whose V is N exclusive or C.
func shifted(value, c uint8) result { return result{value, c, value>>7 ^ c} }
