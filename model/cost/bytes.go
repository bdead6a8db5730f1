package cost

import (
	"fmt"

	"gainwright/model/program"
	"gainwright/model/selection"
)

// each counts one of a feature, by the width of the arithmetic.
func each(name string) func(*code, Features, program.ID) {
	return func(c *code, f Features, id program.ID) { f[sized(name, c.Ops[id].Width.Bits())]++ }
}

// widened also counts the operands of less width than they are taken at.
func widened(count func(*code, Features, program.ID)) func(*code, Features, program.ID) {
	return func(c *code, f Features, id program.ID) {
		for _, a := range c.Ops[id].Args {
			c.widen(f, a)
		}
		count(c, f, id)
	}
}

func (c *code) widen(f Features, a selection.Operand) {
	arg := &c.p.Ops[a.ID]
	if b := max(16, arg.Type.Bits()); b < a.Width.Bits() && arg.Type != program.Bool && arg.Kind != program.Const {
		f[fmt.Sprintf("widened%dto%d", b, a.Width.Bits())]++
	}
}

func logic(_ *code, f Features, _ program.ID) { f["logic"]++ }

func (c *code) choose(f Features, id program.ID) {
	if c.p.Ops[id].Bool {
		logic(c, f, id)
	} else {
		widened(each("select"))(c, f, id)
	}
}

// sum counts a sum or difference. One with a product that nothing else reads finds it in registers.
func (c *code) sum(f Features, id program.ID) {
	o, fixed, product := &c.Ops[id], false, false
	for _, a := range o.Args {
		c.widen(f, a)
		arg := &c.p.Ops[a.ID]
		fixed = fixed || arg.Kind == program.Const
		product = product || (arg.Kind == program.Mul || arg.Kind == program.Scale) && arg.Type == program.I32 && c.Ops[a.ID].Use.Times == 1 && arg.Section == c.p.Ops[id].Section
	}
	switch {
	case product && o.Width == program.I32:
		f["fused32"]++
	case fixed:
		f[sized("addfixed", o.Width.Bits())]++
	default:
		f[sized("add", o.Width.Bits())]++
	}
}

// multiplyAdd counts a product and the sum that it is added to.
func (c *code) multiplyAdd(f Features, id program.ID) {
	c.widen(f, c.Ops[id].Args[0])
	f["fused32"]++
	c.multiply(f, id)
}

func (c *code) multiply(f Features, id program.ID) {
	o := &c.Ops[id]
	if o.Shape == selection.ByConstant {
		product := id
		if o.Form == selection.MultiplyAdd { // one that is taken off has its factor turned round; the tables are closer with it as it was
			product = o.Fused
		}
		f["factorform"] += factorForm(c.p.Ops[product].K.Num().Int64())
	} else {
		f["productform"] += productForms[o.Shape]
	}
	f["placed"]++
}

// scale counts a product by a constant in C.
func (c *code) scale(f Features, id program.ID) {
	op, w := &c.p.Ops[id], c.Ops[id].Width
	k := op.K.Num().Int64()
	bits := trailing(k)
	switch {
	case w == program.I32 && op.Type == program.I32:
		f["library32"]++
	case k != 1<<bits:
		c.product(f, id)
	case w == program.I16:
		f["upform"] += float64(bits/8 + 2*(bits%8))
	default:
		f[sized("up", w.Bits())]++
		f[sized("upbits", w.Bits())] += float64(bits % 8)
	}
}

// product counts a product in C.
func (c *code) product(f Features, id program.ID) {
	op, w := &c.p.Ops[id], c.Ops[id].Width
	narrow := c.p.Ops[op.Args[0]].Type.Bits() <= 32
	widening, lo, hi := "wideningfixed64", c.Ops[id].Factor, c.Ops[id].Factor
	if op.Kind == program.Mul {
		b := &c.p.Ops[op.Args[1]]
		widening, lo, hi = "widening64", b.Lo, b.Hi
		narrow = narrow && b.Type.Bits() <= 32
	} else {
		narrow = narrow && program.Holding(lo, hi) != program.I64
	}
	switch {
	case w == program.I16:
		f["productform"] += product16Form(lo, hi)
	case w == program.I32:
		f["library32"]++
	case narrow:
		f[widening]++
	default:
		f["product64"]++
	}
}

// round counts a rounding.
func (c *code) round(f Features, id program.ID) {
	o, shift := &c.Ops[id], c.p.Ops[id].Shift
	f[sized("round", o.Width.Bits())]++
	switch {
	case o.First > 0:
		f["roundform"] += roundTwiceForm(shift - o.First)
	case o.Width == program.I64: // shifted byte by byte and bit by bit, by a function of the library
		f["roundbits64"] += float64(shift%8) + float64(shift/8)
	case o.Short:
		f["roundform"] += roundForm(int(o.Width.Bits()/8), 2, shift)
	default:
		f["roundform"] += roundForm(int(o.Width.Bits()/8), int(o.Width.Bits()/8), shift)
	}
}

// within counts a limit by constants.
func (c *code) within(f Features, id program.ID) {
	o := &c.Ops[id]
	f["limitform"] += limitForm(int(o.Width.Bits()/8), o.Least, o.Most)
}

// limited counts a limit in C.
func limited(name string) func(*code, Features, program.ID) {
	return func(c *code, f Features, id program.ID) {
		full := name
		if len(c.constants(id)) > 0 {
			full += "fixed"
		}
		f[sized(full, c.Ops[id].Width.Bits())]++
	}
}
