package cost

import (
	"fmt"

	"gainwright/model/program"
)

// Features are what a tick is made of, each with how much there is of it. A number behind a name is the width in bits.
//
// On AVR:
//
//	input, output, load, store   values that are read and written; coef: a live gain
//	widened                      operands of less width than the arithmetic
//	add, fused, negate, select, less, clamp, extreme, wrap, absolute, logic, condition
//	                             operations; fused is a sum with a product; extreme a minimum or maximum; fixed is by a constant
//	product, widening            products; of 32 bits into 64
//	library                      products by a function of the compiler's library
//	up, round                    shifts; bits those that are shifted one by one
//	...form                      what a form in assembly was counted to take
//	placed                       operands of products, which want certain registers
//	saved, spilled, framed       registers to save, bytes that find none, and that there are such
//	far                          accesses to a state far from its start
//
// On parts of 32 bits, instructions as they were counted, for the most part:
//
//	load, store, coef, latch     moves from and to memory; latch finds the set of live gains
//	literal, again               constants in registers; those that were in one before
//	sign                         signs of operands that have less width than the arithmetic
//	add, round, up, chain        sums, roundings, shifts; products by constants made of these
//	product, library             products; by a function of the compiler's library, counted in calls
//	limit, less, select, wrap, absolute, logic, condition, truth
//	                             operations, counted one by one; limit is one side of a clamp; truth one that is stored
//	angle                        an arctangent
//	saved, spilled               registers to save, and moves of values that find none
type Features map[string]float64

// Add adds others.
func (f Features) Add(others Features) {
	for name, n := range others {
		f[name] += n
	}
}

// Features counts what a program is made of on the target. Types and ranges must be filled in.
func (t *Table) Features(p *program.Fixed) Features {
	sections, all := t.Sections(p)
	for _, s := range sections {
		all.Add(s)
	}
	return all
}

// Sections counts what each section is made of, the states it owns included, and what belongs to no section.
func (t *Table) Sections(p *program.Fixed) (sections []Features, rest Features) {
	c := read(p, t.Target)
	rest = Features{}
	for range p.Sections {
		sections = append(sections, Features{})
	}
	at := func(section int) Features {
		if section < 0 {
			return rest
		}
		return sections[section]
	}
	c.weigh(t)
	on := c.longest()
	c.way = on
	for i, op := range c.p.Ops {
		if on.needed[i] {
			c.count(at(op.Section), program.ID(i))
		}
	}
	type condition struct {
		section       int
		enable, reset program.ID
	}
	conditions := map[condition]bool{}
	for i, s := range c.p.States {
		f := at(s.Section)
		if on.stored[i] {
			c.store(f, s.Type, i)
		}
		k := condition{s.Section, s.Enable, s.Reset}
		if (s.Enable != program.None || s.Reset != program.None) && !conditions[k] {
			conditions[k] = true
			f["condition"]++
		}
	}
	for i, o := range c.p.Outputs {
		if t.Target.Word > 8 {
			rest["store"] += c.placed(o.Type, c.outAt[i])
			c.handed(rest, o.Value)
		} else {
			rest[sized("output", o.Type.Bits())]++
		}
	}
	if t.Target.Word > 8 && len(c.p.Coefs) > 0 {
		rest["latch"] += c.latch()
	}
	c.registers(rest, on.needed)
	return sections, rest
}

func sized(name string, bits uint) string { return fmt.Sprintf("%s%d", name, bits) }

// store counts the store of a state.
func (c *code) store(f Features, t program.Type, i int) {
	if c.target.Word > 8 {
		f["store"] += c.placed(t, c.stateAt[i])
		c.handed(f, c.p.States[i].Next)
		if next := c.p.Ops[c.p.States[i].Next]; t == program.Bool && next.Kind != program.State && next.Kind != program.Const {
			f["truth"]++
		}
	} else {
		f[sized("store", t.Bits())]++
		f["far"] += c.distant(i)
	}
}

// handed counts a constant that is stored.
func (c *code) handed(f Features, id program.ID) {
	if op := c.p.Ops[id]; op.Kind == program.Const {
		c.wanted(f, op.K.Num().Int64())
	}
}

// count counts one operation.
func (c *code) count(f Features, id program.ID) {
	if c.target.Word > 8 {
		c.inWords(f, id)
	} else {
		c.operation(f, id)
	}
}

// operation counts one operation on a part of 8 bits.
func (c *code) operation(f Features, id program.ID) {
	op := c.p.Ops[id]
	w := max(16, c.p.Width(id).Bits())
	c.operands(f, op, w)
	switch op.Kind {
	case program.Const:
	case program.Input:
		f[sized("input", c.p.Inputs[op.Index].Type.Bits())]++
	case program.Coef:
		f["coef"]++
	case program.State:
		f[sized("load", c.p.States[op.Index].Type.Bits())]++
		f["far"] += c.distant(op.Index)
	case program.Scale:
		c.scale(f, id, w)
	case program.Mul:
		c.product(f, id, w)
	case program.Round:
		c.round(f, id, w)
	case program.Angle:
		if n, ok := angleForm(op.Table, c.untwisted(op.Args[0]), c.untwisted(op.Args[1])); ok {
			f["angleform"] += n
		} else {
			f["angle"]++
		}
	case program.Clamp, program.Min, program.Max:
		c.limit(f, op, w)
	case program.Less, program.LessEqual:
		f[sized("less", w)]++
	case program.Add, program.Sub:
		switch {
		case op.Kind == program.Sub && c.lessRounded(op.Args[1]): // counted as a rounding
		case w == 32 && (c.sole(op, op.Args[0]) || c.sole(op, op.Args[1])):
			f["fused32"]++
		case c.fixed(op) > 0:
			f[sized("addfixed", w)]++
		default:
			f[sized("add", w)]++
		}
	case program.Select:
		if op.Bool {
			f["logic"]++
		} else {
			f[sized("select", w)]++
		}
	case program.Abs, program.Wrap:
		f[sized(op.Kind.String(), w)]++
	default:
		f["logic"]++
	}
}

// sole tells whether an argument is a product that only this sum reads.
func (c *code) sole(sum program.FixedOp, a program.ID) bool {
	arg := c.p.Ops[a]
	return (arg.Kind == program.Mul || arg.Kind == program.Scale) && c.times[a] == 1 && arg.Section == sum.Section && arg.Type == program.I32
}

// fixed counts the arguments that are constants.
func (c *code) fixed(op program.FixedOp) (n int) {
	for _, a := range op.Args {
		if c.p.Ops[a].Kind == program.Const {
			n++
		}
	}
	return n
}

// operands counts conversions.
func (c *code) operands(f Features, op program.FixedOp, w uint) {
	if op.Kind == program.Mul || op.Kind == program.Scale {
		return
	}
	for _, a := range op.Args {
		arg := c.p.Ops[a]
		if b := max(16, arg.Type.Bits()); b < w && arg.Type != program.Bool && arg.Kind != program.Const {
			f[fmt.Sprintf("widened%dto%d", b, w)]++
		}
	}
}

// scale counts a product by a constant.
func (c *code) scale(f Features, id program.ID, w uint) {
	op := c.p.Ops[id]
	k, x := op.K.Num().Int64(), c.p.Ops[op.Args[0]]
	bits := op.K.Num().TrailingZeroBits()
	power := k == 1<<bits
	only := program.None // the one reader
	if c.times[id] == 1 {
		only = c.by[id]
	}
	switch {
	case k == 1:
	case k == -1:
		// Turned round for an angle's form: nothing is left of it.
		if only == program.None || c.p.Ops[only].Kind != program.Angle {
			f[sized("negate", w)]++
		}
	case w == 32 && op.Type == program.I32:
		switch {
		case power && short(x) && bits >= 8 && bits <= 20:
			f["upform"] += upForm(bits)
		case power && (!short(x) && bits >= 3 || bits > 20):
			f["upform"] += upWideForm(bits)
		case k >= -1<<15 && k < 1<<15 && short(x):
			f["factorform"] += factorForm(k)
			f["placed"]++
		case k >= -1<<15 && k < 1<<15:
			f["productform"] += productForm(x, program.FixedOp{Type: program.I16, Lo: k, Hi: k})
			f["placed"]++
		default:
			f["library32"]++
		}
	case power:
		if w == 16 {
			f["upform"] += float64(bits/8 + 2*(bits%8))
			break
		}
		f[sized("up", w)]++
		f[sized("upbits", w)] += float64(bits % 8)
	default:
		c.product(f, id, w)
	}
}

// product counts a product.
func (c *code) product(f Features, id program.ID, w uint) {
	op := c.p.Ops[id]
	a, b := c.p.Ops[op.Args[0]], program.FixedOp{Type: program.I32}
	if op.Kind == program.Mul {
		b = c.p.Ops[op.Args[1]]
	} else {
		k := op.K.Num().Int64()
		b.Type, b.Lo, b.Hi = program.Holding(k, k), k, k
	}
	switch {
	case w == 16:
		f["productform"] += product16Form(b)
	case w == 32 && op.Type == program.I32 && (short(a) || short(b)):
		f["productform"] += productForm(a, b)
		f["placed"]++
	case w == 32:
		f["library32"]++
	case a.Type.Bits() <= 32 && b.Type.Bits() <= 32 && op.Kind == program.Mul:
		f["widening64"]++
	case a.Type.Bits() <= 32 && b.Type.Bits() <= 32:
		f["wideningfixed64"]++
	default:
		f["product64"]++
	}
}

// round counts a rounding.
func (c *code) round(f Features, id program.ID, w uint) {
	op := c.p.Ops[id]
	if c.lessRounded(id) {
		f["roundform"] += 4 // less the carry and the upper half, in one
		return
	}
	f[sized("round", w)]++
	switch {
	case c.twice[id] > 0:
		f["roundform"] += roundTwiceForm(op.Shift - c.twice[id])
		return
	case w == 64: // shifted byte by byte and bit by bit, by a function of the library
		f["roundbits64"] += float64(op.Shift%8) + float64(op.Shift/8)
		return
	}
	to := int(w / 8)
	if op.Type.Bits() <= 16 {
		to = 2
	}
	f["roundform"] += roundForm(int(w/8), to, op.Shift)
}

// lessRounded tells whether a rounding to the upper half of 32 bits is taken off a number of 16 bits, and of nothing else.
func (c *code) lessRounded(id program.ID) bool {
	r := c.p.Ops[id]
	if r.Kind != program.Round || r.Shift != 16 || c.twice[id] > 0 || c.times[id] != 1 || c.by[id] == program.None || c.p.Width(id) != program.I32 {
		return false
	}
	by := c.p.Ops[c.by[id]]
	return by.Kind == program.Sub && by.Args[1] == id && by.Type == program.I16 && c.p.Width(c.by[id]).Bits() <= 16
}

// limit counts a clamp, minimum or maximum.
func (c *code) limit(f Features, op program.FixedOp, w uint) {
	fixed := c.fixed(op)
	if w < 64 && (op.Kind == program.Clamp && fixed == 2 || op.Kind != program.Clamp && w == 32 && fixed > 0) {
		var lo, hi *int64
		for i, a := range op.Args {
			if arg := c.p.Ops[a]; arg.Kind == program.Const {
				v := arg.K.Num().Int64()
				if op.Kind == program.Max || op.Kind == program.Clamp && i == 1 {
					lo = &v
				} else {
					hi = &v
				}
			}
		}
		f["limitform"] += limitForm(int(w/8), lo, hi)
		return
	}
	name := "extreme"
	if op.Kind == program.Clamp {
		name = "clamp"
	}
	if fixed > 0 {
		name += "fixed"
	}
	f[sized(name, w)]++
}

// untwisted is the side of an angle: where it is a number of 16 bits turned round, that number, which is taken instead.
func (c *code) untwisted(id program.ID) program.FixedOp {
	op := c.p.Ops[id]
	if op.Kind == program.Scale && op.K.Num().IsInt64() && op.K.Num().Int64() == -1 && short(c.p.Ops[op.Args[0]]) {
		return c.p.Ops[op.Args[0]]
	}
	return op
}
