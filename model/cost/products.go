package cost

import (
	"math/big"

	"gainwright/model/program"
)

// Products on parts of 32 bits. Which of them the compiler makes of shifts and sums was seen from what GCC 12 emits; a test of gen/target
// compares.

// scaled counts a product by a constant.
func (c *code) scaled(f Features, id program.ID) {
	op, wide := c.p.Ops[id], c.wide(id)
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
	case k == -1 && c.Target.Carry:
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
func turned(op program.FixedOp) bool {
	return op.Kind == program.Scale && op.K.Num().IsInt64() && op.K.Num().Int64() == -1
}

// vanishes tells whether a product by a constant becomes part of the factors of all that read it: a sign always does, another factor
// where one product alone reads it.
func (c *code) vanishes(id program.ID) bool {
	op := c.p.Ops[id]
	wide := c.Ops[id].Width.Bits() > 32
	if wide && !(turned(op) && c.Target.Product == 64) || len(c.readers[id]) == 0 || c.kept[id] {
		return false
	}
	for _, r := range c.readers[id] {
		by := c.p.Ops[r]
		if by.Kind != program.Scale || c.Ops[r].Width.Bits() > 32 && c.Target.Product < 64 || turned(by) && c.absorbed(r) {
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
func (c *code) factor(op program.FixedOp) int64 {
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
	case c.Target.Long && wide:
		return 8
	case c.Target.Long:
		return 2
	case !c.Target.Short && wide:
		return 3
	case !c.Target.Short:
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

// shiftedSum is how many instructions a sum takes whose operand is shifted.
func (c *code) shiftedSum() int {
	if c.Target.Long {
		return 1
	}
	return 2
}

// byConstant counts a product by a constant in 32 bits.
func (c *code) byConstant(f Features, k int64) {
	most := c.longestChain(k, false)
	if n := chain(k, most+1, c.shiftedSum()); n <= most {
		f["chain32"] += float64(n)
		return
	}
	c.wanted(f, k)
	f["product32"]++
}

// byConstant64 counts a product by a constant in 64 bits; narrow tells whether the other factor has 32.
func (c *code) byConstant64(f Features, id program.ID, k int64, narrow bool) {
	most := c.longestChain(k, true)
	switch {
	case c.Target.Long && narrow:
		most = 0
	case c.Target.Product == 64 && narrow:
		most++
	}
	if n := chain(k, most+1, 2); n <= most && k == int64(int32(k)) {
		steps := 4 * float64(n)
		switch {
		case c.Target.Long:
			steps = 2.5 * float64(n)
		case c.Target.Carry:
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
	case c.Target.Product < 64:
		c.wanted(f, k>>32)
		f["library64"]++
	case narrow && c.highAlone(id), narrow && c.Target.Long:
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
func (c *code) multiplied(f Features, id program.ID) {
	op := c.p.Ops[id]
	narrow := 0
	for _, a := range op.Args {
		if c.p.Ops[a].Type.Bits() <= 32 {
			narrow++
		}
	}
	switch {
	case !c.wide(id):
		f["product32"]++
	case c.Target.Product < 64:
		for _, a := range op.Args {
			if c.p.Ops[a].Type.Bits() <= 32 && !c.signed[a] {
				c.signed[a] = true
				f["sign64"]++
			}
		}
		f["library64"]++
	case narrow == 2 && c.highAlone(id), narrow == 2 && c.Target.Long:
		f["product64"]++
	case narrow == 2:
		f["product64"] += 2
	default:
		f["product64"] += 6
	}
}

// highAlone tells whether only the upper half of a product of 64 bits is needed.
func (c *code) highAlone(id program.ID) bool {
	op := c.p.Ops[id]
	if op.Kind != program.Mul && op.Kind != program.Scale || op.Type != program.I64 || c.Ops[id].Use.Times != 1 || c.Ops[id].Use.By == program.None {
		return false
	}
	by := c.p.Ops[c.Ops[id].Use.By]
	return by.Kind == program.Round && by.Shift > 32
}
