package cost

import (
	"math"
	"math/big"

	"gainwright/model/program"
)

// Parts that compute 32 bits at once: how many instructions an operation comes down to, as a compiler writes it. The tables hold a
// factor for each sort of them, near 1: it takes in moves, and what the compiler saves.
//
// Sizes of immediate operands and offsets are those of the Armv6-M Architecture Reference Manual (A6.7) and of the RISC-V
// Unprivileged ISA (RV32I, M and C).

// literal is how many instructions it takes to have a constant in a register.
func (c *code) literal(k int64) int {
	switch m := max(k, -k); {
	case c.target.Short && k >= 0 && k < 256:
		return 1
	case c.target.Short && k&math.MaxUint32>>trailing(k) < 256, c.target.Short && m < 511 && k > -256:
		return 2 // shifted, from two, or turned round
	case c.target.Short:
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
	if c.target.Short {
		return k > -256 && k < 256
	}
	return k >= -1<<11 && k < 1<<11
}

// compared tells whether a comparison takes a constant as it is.
func (c *code) compared(k int64) bool {
	return k == 0 || c.target.Short && k > 0 && k < 256
}

// constants are the arguments that are.
func (c *code) constants(op program.FixedOp) (ks []int64) {
	for _, a := range op.Args {
		if arg := c.p.Ops[a]; arg.Kind == program.Const {
			ks = append(ks, arg.K.Num().Int64())
		}
	}
	return ks
}

// inWords counts one operation on parts of 32 bits.
func (c *code) inWords(f Features, id program.ID) {
	op := c.p.Ops[id]
	wide := c.p.Width(id).Bits() > 32
	size := "32"
	if wide {
		size = "64"
	}
	if wide {
		c.extended(f, op)
	}
	switch op.Kind {
	case program.Const:
	case program.Input:
		f["load"] += c.reach(c.p.Inputs[op.Index].Type, c.inAt[op.Index])
	case program.State:
		f["load"] += c.reach(c.p.States[op.Index].Type, c.stateAt[op.Index])
	case program.Coef:
		f["coef"] += c.coef(op.Index)
	case program.Scale:
		c.scaled(f, id, wide)
	case program.Mul:
		c.multiplied(f, id, wide)
	case program.Round:
		c.rounded(f, id, op, wide)
	case program.Add, program.Sub:
		c.summed(f, op, wide)
	case program.Clamp, program.Min, program.Max:
		c.limited(f, op, wide)
	case program.Less, program.LessEqual:
		for _, k := range c.constants(op) {
			if wide || !c.compared(k) {
				c.wanted(f, k)
			}
		}
		f["less"+size]++
	case program.Select:
		for _, k := range c.constants(op) {
			c.wanted(f, k)
		}
		if op.Bool {
			f["logic"]++
		} else {
			f["select"+size]++
		}
	case program.Wrap:
		k := op.K.Num().Int64()
		c.wanted(f, k/2)
		c.wanted(f, k)
		f["wrap"+size]++
	case program.Abs:
		f["absolute"+size]++
	case program.Angle:
		f["angle"] += c.arctangent(op)
	default:
		f["logic"]++
	}
}

// extended counts the signs that operands of 64 bits are given, once each.
func (c *code) extended(f Features, op program.FixedOp) {
	if op.Kind == program.Mul || op.Kind == program.Scale && c.target.Product == 64 {
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
func (c *code) summed(f Features, op program.FixedOp, wide bool) {
	n := 0
	for _, k := range c.constants(op) {
		switch {
		case k == 0:
		case wide:
			c.wanted(f, k&0xffffffff)
			if c.target.Short {
				n++ // the upper half
			}
		case !c.added(k):
			c.wanted(f, k)
			if c.target.Short {
				n++ // to a register that only sums reach
			}
		}
	}
	switch {
	case wide && c.target.Carry:
		f["add64"] += 2 + float64(n)
	case wide:
		f["add64"] += 4
	default:
		f["add32"] += 1 + float64(n)
	}
}

// rounded counts a rounding.
func (c *code) rounded(f Features, id program.ID, op program.FixedOp, wide bool) {
	half := int64(1) << (op.Shift - 1)
	if !wide {
		if c.followed(id, op) {
			return
		}
		if c.shifted(op.Args[0]) {
			f["round32"]++
			return
		}
		if !c.added(half) {
			c.wanted(f, half)
			if c.target.Short {
				f["round32"]++
			}
		}
		f["round32"] += 2
		return
	}
	if c.highAlone(op.Args[0]) { // of a product whose upper half alone is needed
		if c.target.Product == 64 {
			f["round32"] += 2
			return
		}
	}
	if c.target.Carry {
		c.wanted(f, half&0xffffffff)
		c.wanted(f, half>>32)
		f["round64"] += 2
		switch {
		case op.Shift >= 32:
			f["round64"]++
		case op.Type.Bits() > 32:
			f["round64"] += 4
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
	op := c.p.Ops[id]
	return (op.Kind == program.Add || op.Kind == program.Sub) && c.times[id] == 1 && len(c.constants(op)) > 0
}

// followed tells whether a rounding is made in one with the next.
func (c *code) followed(id program.ID, op program.FixedOp) bool {
	if c.times[id] != 1 || c.by[id] == program.None {
		return false
	}
	by := c.p.Ops[c.by[id]]
	return by.Kind == program.Round && by.Type.Bits() <= 16 && c.p.Ops[op.Args[0]].Type == program.I32
}

// limited counts a clamp, minimum or maximum.
func (c *code) limited(f Features, op program.FixedOp, wide bool) {
	sides := 1.0
	if op.Kind == program.Clamp {
		sides = 2
	}
	for _, k := range c.constants(op) {
		if wide {
			c.wanted(f, k>>32)
			c.wanted(f, k&0xffffffff)
		} else {
			c.wanted(f, k)
		}
	}
	if wide {
		f["limit64"] += sides
	} else {
		f["limit32"] += sides
	}
}

// arctangent counts the arctangent of a table: the sides without their signs, the quotient, the look-up, and the quadrant.
func (c *code) arctangent(op program.FixedOp) float64 {
	y, x := c.p.Ops[op.Args[0]], c.p.Ops[op.Args[1]]
	n, bit := 22.0, 4.0 // the look-up
	if op.Args[0] != op.Args[1] {
		n += 12 // which side is longer
		if x.Lo < 0 {
			n += 8
		}
	} else {
		bit-- // nothing is left to take off after the first
	}
	if y.Lo < 0 {
		n += 6
	}
	if c.target.Divide {
		return n + 2 // a division
	}
	bits := op.Table.QuotientBits // one by one, where there is no division
	if bits >= 16 || y.Type.Bits() > 16 || x.Type.Bits() > 16 {
		bit++
	}
	return n + 6 + bit*float64(bits)
}
