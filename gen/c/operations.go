package c

import (
	"fmt"
	"strings"

	"gainwright/model/program"
)

// expression is the right side of the line that computes operation id, in the type of its local.
//
// Where the arithmetic is done in 32 or 64 bits, operands of another type are cast to it. In up to
// 16 bits no operand needs a cast: all of them promote to int, which has at least 16.
func (e *emitter) expression(id program.ID) string {
	op := e.p.Ops[id]
	if op.Type == program.Bool {
		return e.truth(id)
	}
	switch op.Kind {
	case program.Input:
		return "in->" + e.fields.in[op.Index]
	case program.Coef:
		return "gains->" + e.fields.coef[op.Index]
	case program.State:
		return "s->" + e.fields.state[op.Index]
	case program.Select:
		return e.choice(id)
	case program.Add, program.Sub:
		return e.sum(id)
	case program.Mul:
		return e.product(id)
	case program.Scale:
		return e.scale(id)
	case program.Angle:
		return e.angleCall(id)
	case program.Round:
		return e.round(id)
	}
	return e.call(id)
}

// call is an operation that has a function of its own for each width.
func (e *emitter) call(id program.ID) string {
	op := e.p.Ops[id]
	w := e.width(id)
	if text, ok := e.limit(id, w); ok {
		return e.narrowed(op.Type, text, w)
	}
	args := e.argument(op.Args[0], w)
	for _, a := range op.Args[1:] {
		args += ", " + e.argument(a, w)
	}
	kind := map[program.Kind]string{program.Clamp: "clamp", program.Min: "min", program.Max: "max", program.Abs: "abs", program.Wrap: "wrap"}[op.Kind]
	if op.Kind == program.Wrap {
		args += ", " + e.define(op.Name+"_turn", w, op.K.Num().Int64(), "one turn")
	}
	if kind == "" {
		panic(fmt.Sprintf("c: operation %d is a %v, which has no C form", id, op.Kind))
	}
	return e.narrowed(op.Type, e.primitive(primitive{kind: kind, typ: w})+"("+args+")", w)
}

// round is a division by a power of two.
func (e *emitter) round(id program.ID) string {
	op := e.p.Ops[id]
	w := e.width(id)
	to := w
	if op.Type.Bits() <= 16 {
		to = program.I16
	}
	f := e.primitive(primitive{kind: "round", typ: w, to: to, shift: op.Shift, first: e.twice[id]})
	return e.narrowed(op.Type, f+"("+e.argument(op.Args[0], w)+")", to)
}

// width is the type of the operation's arithmetic, at least 16 bits.
func (e *emitter) width(id program.ID) program.Type {
	op := e.p.Ops[id]
	w := program.Widest(e.p.Width(id), program.I16)
	if op.Kind == program.Round {
		if op.Shift > 63 {
			panic(fmt.Sprintf("c: %s is rounded by %d bits, int64 has 63", op.Name, op.Shift))
		}
		w = program.Widest(w, program.Holding(0, program.Halves(op.Shift, e.twice[id]))) // the sum may fit where half alone does not
	}
	return w
}

// value is the local, the constant or the inlined expression of an operation, in its own type.
func (e *emitter) value(id program.ID) string {
	switch {
	case e.p.Ops[id].Kind == program.Const:
		return e.constant(id)
	case e.inline[id]:
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

// argument is a value handed to a function that takes w. A narrower one becomes a w by itself, but int_fast16_t may be
// wider than int32_t.
func (e *emitter) argument(id program.ID, w program.Type) string {
	op := e.p.Ops[id]
	switch fast := op.Type == program.I8 || op.Type == program.I16; {
	case op.Kind == program.Const:
	case op.Type.Bits() > w.Bits(), op.Type.Bits() == w.Bits() && !op.Type.Signed(), fast && w == program.I32:
		return "(" + localType(w) + ")" + e.value(id)
	}
	if e.inline[id] {
		return e.expression(id)
	}
	return e.value(id)
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

// operand is a value as an operand of arithmetic in type w.
func (e *emitter) operand(id program.ID, w program.Type) string {
	op := e.p.Ops[id]
	if op.Kind == program.Const || w.Bits() <= 16 || op.Type == w {
		return e.value(id)
	}
	return "(" + ctype(w) + ")" + e.value(id)
}

// pair is both operands of arithmetic in w. Two constants have no local between them that would
// carry the type, so the first is cast.
func (e *emitter) pair(id program.ID, w program.Type) (a, b string) {
	args := e.p.Ops[id].Args
	a, b = e.operand(args[0], w), e.operand(args[1], w)
	if w.Bits() > 16 && e.p.Ops[args[0]].Kind == program.Const && e.p.Ops[args[1]].Kind == program.Const {
		a = "(" + ctype(w) + ")" + a
	}
	return a, b
}

func (e *emitter) infix(id program.ID, sign string) string {
	w := e.width(id)
	a, b := e.pair(id, w)
	return e.fitted(e.p.Ops[id].Type, a+" "+sign+" "+b, w)
}

// choice is a value by a condition. Only the branch that is taken is computed.
func (e *emitter) choice(id program.ID) string {
	op := e.p.Ops[id]
	w := e.width(id)
	return e.fitted(op.Type, e.condition(op.Args[0])+" ? "+e.operand(op.Args[1], w)+" : "+e.operand(op.Args[2], w), w)
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
		if e.inline[id] {
			return e.expression(id)
		}
		return e.value(id)
	}
	return "(" + ctype(t) + ")" + e.value(id)
}
