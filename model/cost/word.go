package cost

import (
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
	case c.thumb && k >= 0 && k < 256:
		return 1
	case c.thumb && k > 0 && k < 1<<32 && k>>trailing(k) < 256, c.thumb && m < 511 && k > -256:
		return 2 // shifted, from two, or turned round
	case c.thumb:
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
	if c.thumb {
		return k > -256 && k < 256
	}
	return k >= -1<<11 && k < 1<<11
}

// compared tells whether a comparison takes a constant as it is.
func (c *code) compared(k int64) bool {
	return k == 0 || c.thumb && k > 0 && k < 256
}

// constants are the arguments that are.
func (c *code) constants(op program.Op) (ks []int64) {
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
		c.added2(f, op, wide)
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
func (c *code) extended(f Features, op program.Op) {
	if op.Kind == program.Mul || op.Kind == program.Scale && !c.thumb {
		return
	}
	for _, a := range op.Args {
		if arg := c.p.Ops[a]; arg.Kind != program.Const && arg.Type != program.Bool && arg.Type.Bits() <= 32 && !c.signed[a] {
			c.signed[a] = true
			f["sign64"]++
		}
	}
}

// added2 counts a sum or difference.
func (c *code) added2(f Features, op program.Op, wide bool) {
	n := 0
	for _, k := range c.constants(op) {
		switch {
		case k == 0:
		case wide:
			c.wanted(f, k&0xffffffff)
			if c.thumb {
				n++ // the upper half
			}
		case !c.added(k):
			c.wanted(f, k)
			if c.thumb {
				n++ // to a register that only sums reach
			}
		}
	}
	switch {
	case wide && c.thumb:
		f["add64"] += 2
	case wide:
		f["add64"] += 4
	default:
		f["add32"] += 1 + float64(n)
	}
}

// rounded counts a rounding.
func (c *code) rounded(f Features, id program.ID, op program.Op, wide bool) {
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
			if c.thumb {
				f["round32"]++
			}
		}
		f["round32"] += 2
		return
	}
	if c.highAlone(op.Args[0]) { // of a product whose upper half alone is needed
		if !c.thumb {
			f["round32"] += 2
			return
		}
	}
	if c.thumb {
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
func (c *code) followed(id program.ID, op program.Op) bool {
	if c.times[id] != 1 || c.by[id] == program.None {
		return false
	}
	by := c.p.Ops[c.by[id]]
	return by.Kind == program.Round && by.Type.Bits() <= 16 && c.p.Ops[op.Args[0]].Type == program.I32
}

// highAlone tells whether only the upper half of a product of 64 bits is needed.
func (c *code) highAlone(id program.ID) bool {
	op := c.p.Ops[id]
	if op.Kind != program.Mul && op.Kind != program.Scale || op.Type != program.I64 || c.times[id] != 1 || c.by[id] == program.None {
		return false
	}
	by := c.p.Ops[c.by[id]]
	return by.Kind == program.Round && by.Shift > 32
}

// limited counts a clamp, minimum or maximum.
func (c *code) limited(f Features, op program.Op, wide bool) {
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

// scaled counts a product by a constant.
func (c *code) scaled(f Features, id program.ID, wide bool) {
	op := c.p.Ops[id]
	k := op.K.Num().Int64()
	if c.vanishes(id) {
		return
	}
	if !wide && !(k == -1 && c.absorbed(id)) {
		k = c.factor(op)
	}
	bits := trailing(k)
	x := c.p.Ops[op.Args[0]]
	narrow := x.Type.Bits() <= 32 || turned(x) && c.vanishes(op.Args[0]) && c.p.Ops[x.Args[0]].Type.Bits() <= 32
	switch {
	case k == 1, k == -1 && c.absorbed(id):
	case k == -1 && !wide:
		f["add32"]++
	case k == -1 && c.thumb:
		f["add64"] += 3
	case k == -1:
		f["add64"] += 4
	case k == 1<<bits && !wide:
		f["up32"]++
	case k == 1<<bits && (bits >= 32 || narrow && bits >= 16):
		f["up64"] += 3
	case k == 1<<bits:
		f["up64"] += 4
	case !wide:
		c.byConstant(f, k)
	default:
		c.byConstant64(f, id, k, narrow)
	}
}

// turned tells whether an operation is a change of sign.
func turned(op program.Op) bool {
	return op.Kind == program.Scale && op.K.Num().IsInt64() && op.K.Num().Int64() == -1
}

// vanishes tells whether a product by a constant becomes part of the factors of all that read it: a sign always does, another factor
// where one product alone reads it.
func (c *code) vanishes(id program.ID) bool {
	op := c.p.Ops[id]
	wide := c.p.Width(id).Bits() > 32
	if wide && !(turned(op) && !c.thumb) || len(c.readers[id]) == 0 || c.kept[id] {
		return false
	}
	for _, r := range c.readers[id] {
		by := c.p.Ops[r]
		if by.Kind != program.Scale || c.p.Width(r).Bits() > 32 && c.thumb || turned(by) && c.absorbed(r) {
			return false
		}
	}
	return turned(op) || len(c.readers[id]) == 1
}

// absorbed tells whether a change of sign becomes part of the sums and differences that read it.
func (c *code) absorbed(id program.ID) bool {
	if len(c.readers[id]) == 0 || c.kept[id] {
		return false
	}
	for _, r := range c.readers[id] {
		switch c.p.Ops[r].Kind {
		case program.Add, program.Sub, program.Round:
		default:
			return false
		}
	}
	return true
}

// factor is what a product by a constant multiplies by, with the factors of the products before that vanish in it.
func (c *code) factor(op program.Op) int64 {
	k := op.K.Num().Int64()
	for {
		a := op.Args[0]
		op = c.p.Ops[a]
		if op.Kind != program.Scale || !c.vanishes(a) {
			return k
		}
		if l := op.K.Num().Int64(); l*k == int64(int32(l*k)) {
			k *= l
		}
	}
}

// longestChain is how many steps of a chain the compiler prefers to a multiplication by k.
func (c *code) longestChain(k int64, wide bool) int {
	n := big.NewInt(k).BitLen()
	switch {
	case !c.thumb && wide:
		return 3
	case !c.thumb:
		return 4
	case k < 0 && wide:
		return 12
	case k < 0 && n <= 16: // it counts a multiplication by a negative constant as very dear
		return 14
	case k < 0:
		return 18
	case n <= 8, wide && n <= 9:
		return 4
	case n <= 19:
		return 6
	}
	return 8
}

// byConstant counts a product by a constant in 32 bits.
func (c *code) byConstant(f Features, k int64) {
	most := c.longestChain(k, false)
	if n := chain(k, most+1); n <= most {
		f["chain32"] += float64(n)
		return
	}
	c.wanted(f, k)
	f["product32"]++
}

// byConstant64 counts a product by a constant in 64 bits; narrow tells whether the other factor has 32.
func (c *code) byConstant64(f Features, id program.ID, k int64, narrow bool) {
	most := c.longestChain(k, true)
	if !c.thumb && narrow {
		most++
	}
	if n := chain(k, most+1); n <= most && k == int64(int32(k)) {
		steps := 4 * float64(n)
		if c.thumb {
			steps = 3 * float64(n)
			if k < 0 {
				steps += 1.2*float64(n) + 3 // longer shifts, and more moves
			}
		}
		f["chain64"] += steps
		return
	}
	c.wanted(f, k&0xffffffff)
	switch {
	case c.thumb:
		c.wanted(f, k>>32)
		f["library64"]++
	case narrow && c.highAlone(id):
		f["product64"]++
	case narrow:
		f["product64"] += 2
	case k < 0:
		f["product64"] += 5
	default:
		f["product64"] += 4
	}
}

// multiplied counts a product of two values.
func (c *code) multiplied(f Features, id program.ID, wide bool) {
	op := c.p.Ops[id]
	narrow := 0
	for _, a := range op.Args {
		if c.p.Ops[a].Type.Bits() <= 32 {
			narrow++
		}
	}
	switch {
	case !wide:
		f["product32"]++
	case c.thumb:
		for _, a := range op.Args {
			if c.p.Ops[a].Type.Bits() <= 32 && !c.signed[a] {
				c.signed[a] = true
				f["sign64"]++
			}
		}
		f["library64"]++
	case narrow == 2 && c.highAlone(id):
		f["product64"]++
	case narrow == 2:
		f["product64"] += 2
	default:
		f["product64"] += 6
	}
}

// arctangent counts the arctangent of a table: the sides without their signs, the quotient, the look-up, and the quadrant.
func (c *code) arctangent(op program.Op) float64 {
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
	if !c.thumb {
		return n + 2 // a division
	}
	bits := op.Table.QuotientBits // one by one, where there is no division
	if bits >= 16 || y.Type.Bits() > 16 || x.Type.Bits() > 16 {
		bit++
	}
	return n + 6 + bit*float64(bits)
}
