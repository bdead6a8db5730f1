package cost

import (
	"math"
	"math/big"
	"math/bits"

	"gainwright/model/program"
	"gainwright/model/selection"
)

// Parts that compute 32 bits at once: how many instructions an operation comes down to, as a compiler writes it. The tables hold a
// factor for each sort of them, near 1: it takes in moves, and what the compiler saves.
//
// Sizes of immediate operands and offsets are those of the Armv6-M Architecture Reference Manual (A6.7), of the Armv7-M one (A5.3.2, A7.7)
// and of the RISC-V Unprivileged ISA (RV32I, M and C).

// literal is how many instructions it takes to have a constant in a register.
func (c *code) literal(k int64) int {
	switch m := max(k, -k); {
	case c.Target.Long, c.Target.Short && k >= 0 && k < 256:
		return 1
	case c.Target.Short && k&math.MaxUint32>>trailing(k) < 256, c.Target.Short && m < 511 && k > -256:
		return 2 // shifted, from two, or turned round
	case c.Target.Short:
		return 1 // from memory
	case k == 0:
		return 0 // a register holds it
	case k >= -1<<11 && k < 1<<11, k&0xfff == 0:
		return 1
	}
	return 2
}

func trailing(k int64) uint { return big.NewInt(k).TrailingZeroBits() }

// wanted notes a constant that is wanted in a register; a compiler that has it there already may use it again.
func (c *code) wanted(f Features, k int64) {
	n := float64(c.literal(k))
	if n > 0 && c.have[k] {
		f["again"] += n
	} else {
		f["literal"] += n
	}
	c.have[k] = true
}

// added tells whether an addition takes a constant as it is.
func (c *code) added(k int64) bool {
	switch {
	case c.Target.Long:
		return k > -1<<12 && k < 1<<12 || modified(k) || modified(-k)
	case c.Target.Short:
		return k > -256 && k < 256
	}
	return k >= -1<<11 && k < 1<<11
}

// compared tells whether a comparison takes a constant as it is.
func (c *code) compared(k int64) bool {
	return k == 0 || c.Target.Short && k > 0 && k < 256 || c.Target.Long && (modified(k) || modified(-k))
}

// modified tells whether an instruction of 32 bits holds a constant: 8 bits at any place, or a byte that is repeated.
func modified(k int64) bool {
	t := uint32(k)
	low, high := t&0xff, t>>8&0xff
	return t>>bits.TrailingZeros32(t) < 256 || t == low*0x00010001 || t == high*0x01000100 || t == low*0x01010101
}

// constants are the arguments that are.
func (c *code) constants(id program.ID) (ks []int64) {
	for _, a := range c.p.Ops[id].Args {
		if arg := &c.p.Ops[a]; arg.Kind == program.Const {
			ks = append(ks, arg.K.Num().Int64())
		}
	}
	return ks
}

// byWord counts one of a feature, by whether it takes one word or two.
func byWord(name string) func(*code, Features, program.ID) {
	return func(c *code, f Features, id program.ID) { f[sized(name, max(32, c.Ops[id].Width.Bits()))]++ }
}

func (c *code) wide(id program.ID) bool { return c.Ops[id].Width.Bits() > 32 }

// compare counts a comparison.
func (c *code) compare(f Features, id program.ID) {
	for _, k := range c.constants(id) {
		if c.wide(id) || !c.compared(k) {
			c.wanted(f, k)
		}
	}
	byWord("less")(c, f, id)
}

// chosen counts a choice.
func (c *code) chosen(f Features, id program.ID) {
	for _, k := range c.constants(id) {
		c.wanted(f, k)
	}
	if c.p.Ops[id].Bool {
		f["logic"]++
	} else {
		byWord("select")(c, f, id)
	}
}

// extended counts the signs that operands of 64 bits are given, once each.
func (c *code) extended(f Features, id program.ID) {
	op := &c.p.Ops[id]
	if op.Kind == program.Mul || op.Kind == program.Scale && c.Target.Product == 64 {
		return
	}
	for _, a := range op.Args {
		if arg := c.p.Ops[a]; arg.Kind != program.Const && arg.Type != program.Bool && arg.Type.Bits() <= 32 && !c.signed[a] {
			c.signed[a] = true
			f["sign64"]++
		}
	}
}

// summed counts a sum or difference.
func (c *code) summed(f Features, id program.ID) {
	n, wide := 0, c.wide(id)
	for _, k := range c.constants(id) {
		switch {
		case k == 0:
		case wide:
			c.wanted(f, k&0xffffffff)
			if c.Target.Short {
				n++ // the upper half
			}
		case !c.added(k):
			c.wanted(f, k)
			if c.Target.Short {
				n++ // to a register that only sums reach
			}
		}
	}
	switch {
	case wide && c.Target.Carry:
		f["add64"] += 2 + float64(n)
	case wide:
		f["add64"] += 4
	default:
		f["add32"] += 1 + float64(n)
	}
	if c.joins(id) {
		f[sized("add", max(32, c.Ops[id].Width.Bits()))] -= float64(c.words(id))
	}
}

// joins tells whether a sum is computed in one with an argument: a multiplication, or a shift of 32 bits.
func (c *code) joins(id program.ID) bool {
	if !c.Target.Long {
		return false
	}
	have := c.have
	defer func() { c.have = have }()
	for n, a := range c.p.Ops[id].Args {
		if c.Ops[a].Use.Times != 1 || c.wide(a) != c.wide(id) {
			continue
		}
		f := Features{}
		c.have = map[int64]bool{}
		switch c.Ops[a].Form {
		case selection.Scale:
			c.scaled(f, a)
		case selection.Product:
			c.multiplied(f, a)
		}
		if f["up32"] == 1 || (c.p.Ops[id].Kind == program.Add || n == 1 && !c.wide(id)) && (f["product32"] == 1 || f["product64"] == 1) {
			return true
		}
	}
	return false
}

// rounded counts a rounding.
func (c *code) rounded(f Features, id program.ID) {
	op := &c.p.Ops[id]
	half := int64(1) << (op.Shift - 1)
	if !c.wide(id) {
		if c.followed(id, op) {
			return
		}
		if c.shifted(op.Args[0]) {
			f["round32"]++
			return
		}
		if !c.added(half) {
			c.wanted(f, half)
			if c.Target.Short {
				f["round32"]++
			}
		}
		f["round32"] += 2
		return
	}
	if c.highAlone(op.Args[0]) { // of a product whose upper half alone is needed
		if c.Target.Product == 64 {
			f["round32"] += 2
			return
		}
	}
	if c.Target.Carry {
		c.wanted(f, half&0xffffffff)
		c.wanted(f, half>>32)
		f["round64"] += 2
		switch {
		case op.Shift >= 32:
			f["round64"]++
		case op.Type.Bits() > 32 && c.Target.Long:
			f["round64"] += 3
		case op.Type.Bits() > 32:
			f["round64"] += 4
		case c.Target.Long:
			f["round64"] += 2
		default:
			f["round64"] += 3
		}
		return
	}
	if !c.added(half) {
		c.wanted(f, half&0xffffffff)
	}
	switch {
	case op.Shift > 32:
		f["round64"] += 2
	case op.Shift == 32:
		f["round64"] += 3
	case op.Type.Bits() > 32:
		f["round64"] += 7
	default:
		f["round64"] += 6
	}
}

// shifted tells whether a value is a sum with a constant, which the half of a rounding becomes part of.
func (c *code) shifted(id program.ID) bool {
	if c.way != nil {
		id = c.way.same[id]
	}
	form := c.Ops[id].Form
	return (form == selection.Sum || form == selection.Difference) && c.Ops[id].Use.Times == 1 && len(c.constants(id)) > 0
}

// followed tells whether a rounding is made in one with the next.
func (c *code) followed(id program.ID, op *program.FixedOp) bool {
	if c.Ops[id].Use.Times != 1 || c.Ops[id].Use.By == program.None {
		return false
	}
	by := c.p.Ops[c.Ops[id].Use.By]
	return by.Kind == program.Round && by.Type.Bits() <= 16 && c.p.Ops[op.Args[0]].Type == program.I32
}

// sided counts a limit of so many sides.
func sided(sides float64) func(*code, Features, program.ID) {
	return func(c *code, f Features, id program.ID) {
		for _, k := range c.constants(id) {
			if c.wide(id) {
				c.wanted(f, k>>32)
				c.wanted(f, k&0xffffffff)
			} else {
				c.wanted(f, k)
			}
		}
		f[sized("limit", max(32, c.Ops[id].Width.Bits()))] += sides
	}
}

// arctangent counts the arctangent of a table: the sides without their signs, the quotient, the look-up, and the quadrant.
func (c *code) arctangent(id program.ID) float64 {
	op := &c.p.Ops[id]
	y, x := c.p.Ops[op.Args[0]], c.p.Ops[op.Args[1]]
	signed := func(side program.FixedOp, n int) bool { return side.Lo < 0 || c.Ops[id].Raw[n] }
	n, bit := 22.0, 4.0 // the look-up
	if op.Args[0] != op.Args[1] {
		n += 12 // which side is longer
		if signed(x, 1) {
			n += 8
		}
	} else {
		bit-- // nothing is left to take off after the first
	}
	if signed(y, 0) {
		n += 6
	}
	if c.Target.Divide {
		return n + 2 // a division
	}
	bits := op.Arctan.QuotientBits // one by one, where there is no division
	if bits >= 16 || y.Type.Bits() > 16 || x.Type.Bits() > 16 {
		bit++
	}
	return n + 6 + bit*float64(bits)
}

// lookedUp counts a table: limits, the line, its entries, and a product with its rounding.
func (c *code) lookedUp(id program.ID) float64 {
	t := c.p.Ops[id].Curve
	base, each, even, wide := 19.0, 3.0, 2.0, 11.0
	if c.Target.Short {
		base, each, even, wide = 21, 5, 10, 50
	} else if c.Target.Long {
		wide = 2
	}
	n := base + each*comparisons(t)
	if _, is := t.Even(); is {
		n += even
	}
	if c.wide(id) {
		n += wide
	}
	return n
}
