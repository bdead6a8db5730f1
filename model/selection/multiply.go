package selection

import "gainwright/model/program"

// Shape says which factors a product of 32 bits has.
type Shape uint8

// The shapes of a product. Small code takes Signed for NotNegative and Long for Difference where that saves a function: see shares.
const (
	NoShape      Shape = iota
	Signed             // two signed numbers of 16 bits
	NotNegative        // the same, the second one not negative
	Difference17       // 17 bits and 16 bits: a difference of two numbers of 16 bits
	Long               // 32 bits and 16 bits
	ByConstant         // 16 bits and a constant of 16 bits; small code does with Signed for it, which others share
)

// Multiplication is how a product of 32 bits is made of its factors.
type Multiplication struct {
	Shape         Shape
	first, second program.ID // second is None for a constant
	Factor        int64      // the constant, of the other sign than in the program where the product is taken off
}

// multiply finds the factors of a product; turned asks for the negated product, which a product by a constant can
// give. ok is false for one that has no form.
func (s *Selection) multiply(id program.ID, turned bool) (m Multiplication, ok bool) {
	p := s.Program
	op := &p.Ops[id]
	if op.Kind != program.Mul && op.Kind != program.Scale || !s.Target.Forms || op.Type != program.I32 || s.Ops[id].Width != program.I32 || p.Ops[op.Args[0]].Kind == program.Const {
		return m, false
	}
	m = Multiplication{first: op.Args[0], second: program.None}
	var lo, hi int64 // of the second factor
	if op.Kind == program.Mul {
		m.second = op.Args[1]
		if turned || p.Ops[m.second].Kind == program.Const {
			return m, false
		}
		if s.swaps(m.first, m.second) {
			m.first, m.second = m.second, m.first
		}
		lo, hi = p.Ops[m.second].Lo, p.Ops[m.second].Hi
	} else {
		m.Factor = op.K.Num().Int64()
		if form, _ := s.up(id); form != None || m.Factor >= -1 && m.Factor <= 1 {
			return m, false
		}
		if turned {
			m.Factor = -m.Factor
		}
		lo, hi = m.Factor, m.Factor
	}
	switch first := &p.Ops[m.first]; {
	case !inside(&program.FixedOp{Lo: lo, Hi: hi}, program.I16) || first.Type.Bits() > 32:
		return m, false
	case !inside(first, program.I16) && first.Lo >= -1<<16 && first.Hi < 1<<16:
		m.Shape = Difference17
	case !inside(first, program.I16):
		m.Shape = Long
	case op.Kind == program.Scale && (s.Prefer == Speed || m.Factor > 0 && m.Factor < 256):
		m.Shape = ByConstant
	case lo >= 0:
		m.Shape = NotNegative
	default:
		m.Shape = Signed
	}
	switch {
	case m.Shape == NotNegative && s.share.signed:
		m.Shape = Signed
	case m.Shape == Difference17 && s.share.long:
		m.Shape = Long
	}
	return m, true
}

// operands are the factors as they are taken.
func (m Multiplication) operands() []Operand {
	w := program.I16
	if m.Shape == Difference17 || m.Shape == Long {
		w = program.I32
	}
	if m.second == program.None {
		return []Operand{{m.first, w}}
	}
	return []Operand{{m.first, w}, {m.second, program.I16}}
}

// swaps tells whether b makes the better first factor: the first one may be wide or negative.
func (s *Selection) swaps(a, b program.ID) bool {
	x, y := &s.Program.Ops[a], &s.Program.Ops[b]
	if !inside(y, program.I16) {
		return true
	}
	return inside(x, program.I16) && x.Lo >= 0 && (y.Lo < 0 || x.Hi < y.Hi)
}

// up tells whether an operation multiplies by a power of two that is a move of bytes and a short shift: of 16 bits by 2^8 to 2^20, and of
// 32 bits by 2^3 or more, which compilers for small parts shift bit by bit, or multiply. Small code takes the multiplication that is there for
// others instead of the second one.
func (s *Selection) up(id program.ID) (form Form, bits uint) {
	op := &s.Program.Ops[id]
	a := &s.Program.Ops[op.Args[0]]
	if !s.Target.Forms || op.Kind != program.Scale || op.Type != program.I32 || a.Kind == program.Const || op.K.Sign() <= 0 {
		return None, 0
	}
	n := op.K.Num()
	bits = n.TrailingZeroBits()
	short, least := inside(a, program.I16), uint(3)
	if short {
		least = 21
	}
	switch {
	case n.BitLen() != int(bits)+1:
	case short && bits >= 8 && bits <= 20:
		return Up, bits
	case s.Prefer == Speed && s.Ops[id].Width == program.I32 && bits >= least && bits <= 30:
		return UpWide, bits
	}
	return None, 0
}

// fuses tells whether a product goes into the sum that reads it, and how it is multiplied then.
func (s *Selection) fuses(sum, product program.ID) (m Multiplication, ok bool) {
	op := &s.Program.Ops[sum]
	if s.Ops[sum].Width != program.I32 {
		return m, false
	}
	m, ok = s.multiply(product, op.Kind == program.Sub)
	if !ok || m.Shape == Long || !s.addsUp(op) {
		return m, false
	}
	if op.Args[1] == product {
		return m, true
	}
	if op.Kind == program.Sub {
		return m, false
	}
	other := op.Args[1]
	if s.Ops[other].Use.Times == 1 {
		if k := s.Program.Ops[other].Kind; k == program.Mul || k == program.Scale {
			return m, false
		}
	}
	return m, true
}

// addsUp tells whether a sum fits 32 bits by the ranges of its operands alone. Where it takes the certificate to
// see that it does, a product stays a value of its own, of which an analyser can be told what the certificate knows.
func (s *Selection) addsUp(sum *program.FixedOp) bool {
	a, b := &s.Program.Ops[sum.Args[0]], &s.Program.Ops[sum.Args[1]]
	lo, hi := a.Lo+b.Lo, a.Hi+b.Hi
	if sum.Kind == program.Sub {
		lo, hi = a.Lo-b.Hi, a.Hi-b.Lo
	}
	return program.Holding(lo, hi) != program.I64
}

// lessRounded tells whether a difference takes off a number of 32 bits that nothing else rounds to its upper half.
func (s *Selection) lessRounded(difference, rounding program.ID) bool {
	d, r := &s.Program.Ops[difference], &s.Program.Ops[rounding]
	return s.Target.Forms && d.Kind == program.Sub && d.Args[1] == rounding && d.Type == program.I16 && s.Ops[difference].Width == program.I16 &&
		r.Kind == program.Round && r.Shift == 16 && s.Ops[rounding].First == 0 && s.Ops[rounding].Width == program.I32
}

// shares says which multiplications of small code do the work of others, which then need no function.
type shares struct {
	signed    bool // Signed that of NotNegative
	long      bool // Long that of Difference17
	sums      bool // a sum with a Signed product that of the product, added to 0
	symmetric bool // one function limits numbers of 32 bits to [-most, most]
}

// findShares counts the products of each shape, and the limits. A function of its own must have two callers to be worth its place.
func (s *Selection) findShares() {
	if s.Prefer != Size {
		return
	}
	shapes := map[Shape]int{}
	most := map[int64]bool{}
	for i := range s.Ops {
		if !s.Ops[i].Use.Live {
			continue
		}
		if m, ok := s.multiply(program.ID(i), false); ok {
			shapes[m.Shape]++
		}
		if op := &s.Program.Ops[i]; op.Kind == program.Clamp && s.Ops[i].Width == program.I32 {
			if lo, hi := s.constant(op.Args[1]), s.constant(op.Args[2]); lo != nil && hi != nil && *lo == -*hi {
				most[*hi] = true
			}
		}
	}
	s.share = shares{signed: shapes[Signed] > 0, long: shapes[Long] > 1, symmetric: len(most) > 2}
}

// findSums tells the sum with a product to do for the product too, where some product is added to a sum by it.
func (s *Selection) findSums() {
	if s.Prefer != Size {
		return
	}
	sums, all := 0, 0
	for i := range s.Ops {
		if !s.Ops[i].Use.Live {
			continue
		}
		if m, ok := s.multiply(program.ID(i), false); ok && m.Shape == Signed {
			all++
		}
		if op := &s.Program.Ops[i]; op.Kind == program.Add || op.Kind == program.Sub {
			for _, a := range op.Args {
				if m, ok := s.fuses(program.ID(i), a); ok && s.Ops[a].Inline && m.Shape == Signed {
					sums++
				}
			}
		}
	}
	s.share.sums = sums > 0 && all > 1
}
