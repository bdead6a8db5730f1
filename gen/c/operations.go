package c

import (
	"fmt"

	"gainwright/model/program"
)

// expression is the right side of the line that computes operation id, in the type of its local.
//
// Where the arithmetic is done in 32 or 64 bits, operands of another type are cast to it. In up to
// 16 bits no operand needs a cast: all of them promote to int, which has at least 16.
func (e *emitter) expression(id program.ID) string {
	op := e.p.Ops[id]
	if v, known := e.decided(id); known {
		return fmt.Sprint(v)
	}
	switch op.Kind {
	case program.Input:
		if op.Type == program.Bool {
			return "(uint8_t)(in->" + e.fields.in[op.Index] + " != 0)"
		}
		return "in->" + e.fields.in[op.Index]
	case program.Coef:
		return "s->active." + e.fields.coef[op.Index]
	case program.State:
		return "s->" + e.fields.state[op.Index]
	case program.Less:
		return e.logic(id, "<")
	case program.LessEqual:
		return e.logic(id, "<=")
	case program.And:
		return "(uint8_t)(" + e.flag(op.Args[0]) + " & " + e.flag(op.Args[1]) + ")"
	case program.Or:
		return "(uint8_t)(" + e.flag(op.Args[0]) + " | " + e.flag(op.Args[1]) + ")"
	case program.Not:
		return "(uint8_t)(" + e.flag(op.Args[0]) + " == 0)"
	case program.Select:
		return e.choice(id)
	case program.Add:
		return e.infix(id, "+")
	case program.Sub:
		return e.infix(id, "-")
	case program.Mul:
		return e.infix(id, "*")
	case program.Scale:
		return e.scale(id)
	case program.Angle:
		return e.narrowed(op.Type, e.arctan(id)+"("+e.side(op.Args[0])+", "+e.side(op.Args[1])+")", e.arctanType(op.Table))
	}
	return e.call(id)
}

// call is an operation that has a function of its own.
func (e *emitter) call(id program.ID) string {
	op := e.p.Ops[id]
	w := e.width(id)
	args := e.value(op.Args[0])
	for _, a := range op.Args[1:] {
		args += ", " + e.value(a)
	}
	kind := map[program.Kind]string{program.Round: "round", program.Clamp: "clamp", program.Min: "min",
		program.Max: "max", program.Abs: "abs", program.Wrap: "wrap"}[op.Kind]
	switch op.Kind {
	case program.Round:
		if op.Shift == 0 {
			return e.cast(op.Type, op.Args[0])
		}
		args += ", " + e.define(op.Name+"_shift", program.I16, int64(op.Shift), "bits rounded off")
	case program.Wrap:
		args += ", " + e.define(op.Name+"_turn", w, op.K.Num().Int64(), "one turn")
	}
	if kind == "" {
		panic(fmt.Sprintf("c: operation %d is a %v, which has no C form", id, op.Kind))
	}
	return e.narrowed(op.Type, e.primitive(kind, w)+"("+args+")", w)
}

// width is the type of the operation's arithmetic, at least 16 bits.
func (e *emitter) width(id program.ID) program.Type {
	op := e.p.Ops[id]
	w := program.Widest(e.p.Width(id), program.I16)
	if op.Kind == program.Round && op.Shift > 0 {
		if op.Shift > 63 {
			panic(fmt.Sprintf("c: %s is rounded by %d bits, int64 has 63", op.Name, op.Shift))
		}
		w = program.Widest(w, program.Holding(0, 1<<(op.Shift-1))) // the sum may fit where half alone does not
	}
	return w
}

// value is the local or constant of an operation, in its own type.
func (e *emitter) value(id program.ID) string {
	if e.p.Ops[id].Kind == program.Const {
		return e.constant(id)
	}
	return e.local[id]
}

// side is a value handed to an arctangent, which takes 32 bits.
func (e *emitter) side(id program.ID) string {
	if e.p.Ops[id].Type == program.I64 {
		return e.cast(program.I32, id)
	}
	return e.value(id)
}

// flag is a value used as a truth.
func (e *emitter) flag(id program.ID) string {
	if op := e.p.Ops[id]; op.Kind == program.Const {
		return op.K.Num().String() + "u"
	}
	return e.local[id]
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
	return "(" + ctype(w) + ")" + e.local[id]
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

func (e *emitter) logic(id program.ID, sign string) string {
	a, b := e.pair(id, e.width(id))
	return "(uint8_t)(" + a + " " + sign + " " + b + ")"
}

func (e *emitter) scale(id program.ID) string {
	op := e.p.Ops[id]
	w := e.width(id)
	k := op.K.Num().Int64()
	a := e.operand(op.Args[0], w)
	if e.p.Ops[op.Args[0]].Kind == program.Const {
		a = "(" + ctype(w) + ")" + a
	}
	switch k {
	case 1:
		return e.cast(op.Type, op.Args[0])
	case -1:
		return e.fitted(op.Type, "-"+a, w)
	}
	factor := e.define(op.Name+"_factor", w, k, "times "+e.p.Ops[op.Args[0]].Name)
	return e.fitted(op.Type, a+" * "+factor, w)
}

func (e *emitter) choice(id program.ID) string {
	op := e.p.Ops[id]
	condition := e.flag(op.Args[0]) + " != 0 ? "
	if op.Type == program.Bool {
		return "(uint8_t)(" + condition + e.flag(op.Args[1]) + " : " + e.flag(op.Args[2]) + ")"
	}
	w := e.width(id)
	return e.fitted(op.Type, condition+e.operand(op.Args[1], w)+" : "+e.operand(op.Args[2], w), w)
}

// fitted is an expression of arithmetic in w, whose value is certified to fit t, as a t. Arithmetic in
// up to 16 bits yields an int, whatever that is, so it is always cast.
func (e *emitter) fitted(t program.Type, text string, w program.Type) string {
	if t == w && w.Bits() > 16 {
		return text
	}
	return "(" + ctype(t) + ")(" + text + ")"
}

// narrowed is a call or name of type w as a t.
func (e *emitter) narrowed(t program.Type, text string, w program.Type) string {
	if t == w {
		return text
	}
	return "(" + ctype(t) + ")" + text
}

// cast is the value of an operation as a t.
func (e *emitter) cast(t program.Type, id program.ID) string {
	if e.p.Ops[id].Kind == program.Const {
		if t == program.Bool {
			return e.flag(id)
		}
		if e.p.Ops[id].Type.Bits() <= t.Bits() {
			return e.constant(id)
		}
		return e.narrowed(t, e.constant(id), e.p.Ops[id].Type)
	}
	return e.narrowed(t, e.local[id], e.p.Ops[id].Type)
}
