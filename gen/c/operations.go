package c

import (
	"cmp"
	"fmt"
	"strings"

	"gainwright/model/program"
	"gainwright/model/selection"
)

// texts hold the right side of the line that computes an operation, by its form, in the type of its local.
//
// Where the arithmetic is done in 32 or 64 bits, operands of another type are cast to it. In up to
// 16 bits no operand needs a cast: all of them promote to int, which has at least 16.
var texts [selection.Forms]func(*emitter, program.ID) string

func init() { // the functions lead back to the table
	infix := func(sign string) func(*emitter, program.ID) string {
		return func(e *emitter, id program.ID) string {
			a, b := e.pair(id)
			return e.fitted(e.p.Ops[id].Type, a+" "+sign+" "+b, e.Ops[id].Width)
		}
	}
	texts = [selection.Forms]func(*emitter, program.ID) string{
		selection.Input:       func(e *emitter, id program.ID) string { return "in->" + e.fields.in[e.p.Ops[id].Index].Name },
		selection.Coef:        func(e *emitter, id program.ID) string { return "gains->" + e.fields.coef[e.p.Ops[id].Index].Name },
		selection.State:       func(e *emitter, id program.ID) string { return "s->" + e.fields.state[e.p.Ops[id].Index].Name },
		selection.Sum:         infix("+"),
		selection.Difference:  infix("-"),
		selection.Product:     infix("*"),
		selection.Scale:       (*emitter).scale,
		selection.Copy:        (*emitter).scale,
		selection.Negate:      (*emitter).scale,
		selection.Choice:      (*emitter).choice,
		selection.Less:        (*emitter).truth,
		selection.LessEqual:   (*emitter).truth,
		selection.And:         (*emitter).truth,
		selection.Or:          (*emitter).truth,
		selection.Not:         (*emitter).truth,
		selection.Clamp:       (*emitter).call,
		selection.Min:         (*emitter).call,
		selection.Max:         (*emitter).call,
		selection.Abs:         (*emitter).call,
		selection.Wrap:        (*emitter).call,
		selection.Multiply:    (*emitter).times,
		selection.MultiplyAdd: (*emitter).times,
		selection.Up:          (*emitter).up,
		selection.UpWide:      (*emitter).up,
		selection.Round:       (*emitter).round,
		selection.LessRounded: (*emitter).lessRounded,
		selection.Symmetric:   (*emitter).limit,
		selection.Within:      (*emitter).limit,
		selection.Angle:       (*emitter).angleCall,
		selection.Quotient:    (*emitter).call,
		selection.Root:        (*emitter).call,
		selection.Table:       (*emitter).tableCall,
		selection.ShortTable:  (*emitter).tableCall,
	}
}

// functions are the forms that are functions of the header, with what their names begin with and the templates that write them.
var functions = [selection.Forms]string{selection.Clamp: "clamp", selection.Min: "min", selection.Max: "max", selection.Abs: "abs", selection.Wrap: "wrap",
	selection.Multiply: "mul", selection.MultiplyAdd: "mac", selection.Up: "up", selection.UpWide: "up", selection.Round: "round", selection.LessRounded: "less",
	selection.Symmetric: "limit", selection.Within: "within", selection.Angle: "quotient", selection.Quotient: "divide", selection.Root: "root"}

// expression is the right side of the line that computes operation id.
func (e *emitter) expression(id program.ID) string {
	if e.p.Ops[id].Type == program.Bool {
		return e.truth(id)
	}
	return texts[e.Ops[id].Form](e, id)
}

// call is an operation that has a function of its own for each width.
func (e *emitter) call(id program.ID) string {
	op, o := &e.p.Ops[id], &e.Ops[id]
	args := ""
	for n, a := range o.Args {
		if n > 0 {
			args += ", "
		}
		args += e.argument(a)
	}
	if o.Form == selection.Wrap {
		args += ", " + e.define(op.Name+"_turn", o.Width, op.K.Num().Int64(), "one turn")
	}
	return e.narrowed(op.Type, e.primitive(primitive{form: o.Form, typ: o.Width})+"("+args+")", o.Width)
}

// round is a division by a power of two.
func (e *emitter) round(id program.ID) string {
	op, o := &e.p.Ops[id], &e.Ops[id]
	to := o.Width
	if o.Short {
		to = program.I16
	}
	f := e.primitive(primitive{form: selection.Round, typ: o.Width, to: to, shift: op.Shift, first: o.First})
	return e.narrowed(op.Type, f+"("+e.argument(o.Args[0])+")", to)
}

// lessRounded takes a rounded number off another.
func (e *emitter) lessRounded(id program.ID) string {
	o := &e.Ops[id]
	name := e.primitive(primitive{form: selection.LessRounded, typ: program.I32, to: program.I16, shift: e.p.Ops[o.Fused].Shift})
	return name + "(" + e.argument(o.Args[0]) + ", " + e.argument(o.Args[1]) + ")"
}

// value is the local, the constant or the inlined expression of an operation, in its own type.
func (e *emitter) value(id program.ID) string {
	switch {
	case e.p.Ops[id].Kind == program.Const:
		return e.constant(id)
	case e.Ops[id].Inline:
		return bracketed(e.expression(id))
	}
	return e.local[id]
}

// bracketed puts brackets round an expression that is more than the call of a function.
func bracketed(text string) string {
	name := strings.TrimLeft(text, "abcdefghijklmnopqrstuvwxyz0123456789_")
	if len(name) == len(text) || !strings.HasPrefix(name, "(") {
		return "(" + text + ")"
	}
	depth := 0
	for i, c := range name {
		switch c {
		case '(':
			depth++
		case ')':
			depth--
		}
		if depth == 0 && i < len(name)-1 {
			return "(" + text + ")"
		}
	}
	return text
}

// argument is a value handed to a function. A narrower one takes the width of the function by itself, but int_fast16_t may be
// wider than int32_t.
func (e *emitter) argument(a selection.Operand) string {
	op, w := &e.p.Ops[a.ID], a.Width
	switch fast := op.Type == program.I8 || op.Type == program.I16; {
	case op.Kind == program.Const:
	case op.Type.Bits() > w.Bits(), op.Type.Bits() == w.Bits() && !op.Type.Signed(), fast && w == program.I32:
		return "(" + localType(w) + ")" + e.value(a.ID)
	}
	if e.Ops[a.ID].Inline {
		return e.expression(a.ID)
	}
	return e.value(a.ID)
}

func (e *emitter) constant(id program.ID) string {
	op := e.p.Ops[id]
	macro, ok := e.macroOf[id]
	if !ok {
		value := op.K.Num().Int64()
		macro = e.define(op.Name, op.Type, value, inUnits(value, op.LSB, op.Unit))
		e.macroOf[id] = macro
	}
	return macro
}

// operand is a value as an operand of arithmetic in C.
func (e *emitter) operand(a selection.Operand) string {
	op := &e.p.Ops[a.ID]
	if op.Kind == program.Const || a.Width.Bits() <= 16 || op.Type == a.Width {
		return e.value(a.ID)
	}
	return "(" + ctype(a.Width) + ")" + e.value(a.ID)
}

// pair is both operands of arithmetic. Two constants have no local between them that would
// carry the type, so the first is cast.
func (e *emitter) pair(id program.ID) (a, b string) {
	args, w := e.Ops[id].Args, e.Ops[id].Width
	a, b = e.operand(args[0]), e.operand(args[1])
	if w.Bits() > 16 && e.p.Ops[args[0].ID].Kind == program.Const && e.p.Ops[args[1].ID].Kind == program.Const {
		a = "(" + ctype(w) + ")" + a
	}
	return a, b
}

// choice is a value by a condition. Only the branch that is taken is computed.
func (e *emitter) choice(id program.ID) string {
	args := e.Ops[id].Args
	return e.fitted(e.p.Ops[id].Type, e.chosenBy(args[0].ID)+" ? "+e.operand(args[1])+" : "+e.operand(args[2]), e.Ops[id].Width)
}

// fitted is an expression of arithmetic in w, whose value is certified to fit t, as a t. Arithmetic in
// up to 16 bits yields an int or a wider type, which a local of 16 bits or more takes as it is.
func (e *emitter) fitted(t program.Type, text string, w program.Type) string {
	if t == w {
		return text
	}
	return "(" + localType(t) + ")(" + text + ")"
}

// narrowed is a call or name of type w as a t.
func (e *emitter) narrowed(t program.Type, text string, w program.Type) string {
	if t == w || w.Bits() > 16 && t.Bits() > w.Bits() {
		return text // int_fast16_t may be wider than int32_t
	}
	return "(" + localType(t) + ")" + text
}

// member is the value of an operation as a member of a struct, of type t.
func (e *emitter) member(t program.Type, id program.ID) string {
	op := e.p.Ops[id]
	switch {
	case op.Kind == program.Const && t == program.Bool:
		return e.flag(id)
	case op.Kind == program.Const && op.Type.Bits() <= t.Bits(), op.Kind != program.Const && localType(op.Type) == ctype(t):
		if e.Ops[id].Inline {
			return e.expression(id)
		}
		return e.value(id)
	}
	return "(" + ctype(t) + ")" + e.value(id)
}

// scale is a product by a constant, in C.
func (e *emitter) scale(id program.ID) string {
	op, o := &e.p.Ops[id], &e.Ops[id]
	a := e.operand(o.Args[0])
	if e.p.Ops[o.Args[0].ID].Kind == program.Const {
		a = "(" + ctype(o.Width) + ")" + a
	}
	switch o.Form {
	case selection.Copy:
	case selection.Negate:
		a = "-" + a
	default:
		a += " * " + e.factor(id, o.Width)
	}
	return e.fitted(op.Type, a, o.Width)
}

// factor is the macro of what an operation multiplies by. A gain is called as the table of constants calls it, else it is that of the product.
func (e *emitter) factor(id program.ID, w program.Type) string {
	if e.factorOf[id] == "" {
		op := e.p.Ops[id]
		role := op.Name
		if asked := e.unit.Asked; asked != nil {
			role = cmp.Or(asked.Ops[op.Real].Label, role)
		}
		e.factorOf[id] = e.define(role+"_factor", w, op.K.Num().Int64(), "times "+e.p.Ops[op.Args[0]].Name)
	}
	return e.factorOf[id]
}

// up is a multiplication by a power of two that moves bytes. Of a number of 16 bits it goes up to 2^16, and what is left fits 16 bits.
func (e *emitter) up(id program.ID) string {
	o := &e.Ops[id]
	const most = 16
	if o.Form == selection.UpWide {
		return e.primitive(primitive{form: o.Form, typ: program.I32, shift: o.Bits}) + "(" + e.argument(o.Args[0]) + ")"
	}
	x := e.argument(o.Args[0])
	if o.Bits > most {
		x = fmt.Sprintf("%s * %d", e.operand(o.Args[0]), 1<<(o.Bits-most))
	}
	return e.primitive(primitive{form: o.Form, shift: min(o.Bits, most)}) + "(" + x + ")"
}

// times is the call that multiplies, and adds to a sum where there is one.
func (e *emitter) times(id program.ID) string {
	o := &e.Ops[id]
	form, product, args, before := o.Form, id, o.Args, ""
	switch {
	case form == selection.MultiplyAdd:
		product, args, before = o.Fused, args[1:], e.argument(args[0])+", "
	case e.AddedTo0(o):
		form, before = selection.MultiplyAdd, "0, "
	}
	if o.Shape == selection.ByConstant {
		return e.scaled(product, form, o.Factor) + "(" + before + e.argument(args[0]) + ")"
	}
	second := ""
	if len(args) > 1 {
		second = e.argument(args[1])
	} else {
		second = e.signedFactor(product, o.Factor)
	}
	name := e.primitive(primitive{form: form, shape: o.Shape})
	e.calls[name]++
	return name + "(" + before + e.argument(args[0]) + ", " + second + ")"
}

// signedFactor is the macro of a factor, turned round where the product is taken off a sum.
func (e *emitter) signedFactor(product program.ID, k int64) string {
	sign := ""
	if k != e.p.Ops[product].K.Num().Int64() {
		sign = "-"
	}
	return sign + e.factor(product, program.I16)
}

// scaled is a multiplication by one constant as a function, which may add the product to a sum.
type scaled struct {
	name, factor string
	form         selection.Form
	k            int64
}

// scaled returns the name of the function.
func (e *emitter) scaled(product program.ID, form selection.Form, k int64) string {
	for _, s := range e.scales {
		if s.form == form && s.k == k {
			return s.name
		}
	}
	s := scaled{name: e.name + "_" + functions[form] + "_" + e.p.Ops[product].Name, form: form, factor: e.signedFactor(product, k), k: k}
	e.scales = append(e.scales, s)
	return s.name
}
