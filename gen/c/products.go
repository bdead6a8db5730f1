package c

import (
	"fmt"

	"gainwright/model/program"
)

// sum is an addition or subtraction. A product that nothing else uses is added to the sum in one call.
func (e *emitter) sum(id program.ID) string {
	op := e.p.Ops[id]
	for n, a := range op.Args {
		if e.inline[a] && e.fuses(id, a) {
			f, _ := e.factorsOf(a, op.Kind == program.Sub)
			return e.times(f, e.argument(op.Args[1-n], program.I32))
		}
	}
	return e.infix(id, map[program.Kind]string{program.Add: "+", program.Sub: "-"}[op.Kind])
}

// fuses tells whether a product goes into the sum that reads it.
func (e *emitter) fuses(sum, product program.ID) bool {
	op := e.p.Ops[sum]
	if kind := e.p.Ops[product].Kind; kind != program.Mul && kind != program.Scale || e.width(sum) != program.I32 {
		return false
	}
	f, ok := e.factorsOf(product, op.Kind == program.Sub)
	if !ok || f.form == "32" {
		return false
	}
	if op.Args[1] == product {
		return true
	}
	if op.Kind == program.Sub {
		return false
	}
	other := op.Args[1]
	if e.uses[other].times == 1 {
		if k := e.p.Ops[other].Kind; k == program.Mul || k == program.Scale {
			return false
		}
	}
	return true
}

// product is a multiplication of two values.
func (e *emitter) product(id program.ID) string {
	if f, ok := e.factorsOf(id, false); ok {
		return e.times(f, "")
	}
	return e.infix(id, "*")
}

// scale is a multiplication by a constant.
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
		return e.fitted(op.Type, a, w)
	case -1:
		return e.fitted(op.Type, "-"+a, w)
	}
	if text, ok := e.moved(id); ok {
		return text
	}
	if f, ok := e.factorsOf(id, false); ok {
		return e.times(f, "")
	}
	return e.fitted(op.Type, a+" * "+e.factor(id, w), w)
}

// factor is the macro of what an operation multiplies by.
func (e *emitter) factor(id program.ID, w program.Type) string {
	if e.factorOf[id] == "" {
		op := e.p.Ops[id]
		e.factorOf[id] = e.define(op.Name+"_factor", w, op.K.Num().Int64(), "times "+e.p.Ops[op.Args[0]].Name)
	}
	return e.factorOf[id]
}

// moved is a multiplication by 2^8, or by 2^16 and more, of a value of 16 bits: a move of bytes.
func (e *emitter) moved(id program.ID) (string, bool) {
	bits, ok := e.byteMove(id)
	if !ok {
		return "", false
	}
	a := e.p.Ops[id].Args[0]
	x := e.argument(a, program.I16)
	if bits > 16 {
		x = fmt.Sprintf("%s * %d", e.operand(a, program.I16), 1<<(bits-16))
	}
	return e.primitive(primitive{kind: "up", shift: min(bits, 16)}) + "(" + x + ")", true
}

// byteMove tells whether an operation multiplies 16 bits by a power of two that is a move of bytes, and perhaps a short shift.
func (e *emitter) byteMove(id program.ID) (bits uint, ok bool) {
	op := e.p.Ops[id]
	n, a := op.K.Num(), e.p.Ops[op.Args[0]]
	if !e.forms || op.Type != program.I32 || !inside(a, program.I16) || a.Kind == program.Const || n.Sign() <= 0 {
		return 0, false
	}
	bits = n.TrailingZeroBits()
	return bits, n.BitLen() == int(bits)+1 && (bits == 8 || bits >= 16 && bits <= 20)
}

// inside tells whether a value lies in the range of a type, whatever its own.
func inside(op program.Op, t program.Type) bool {
	lo, hi := t.Range()
	return op.Lo >= lo && op.Hi <= hi
}

// factors are the two factors of a product of 32 bits, and the form that multiplies them:
//
//	16    two signed numbers of 16 bits
//	16p   the same, the second one not negative
//	32    32 bits and 16 bits
//	k     16 bits and a constant of 16 bits
type factors struct {
	form          string
	product       program.ID
	first, second program.ID // second is None for a constant
	k             int64
}

// factorsOf finds the form of a product; turned asks for the negated product, which a product by a constant can
// give.
func (e *emitter) factorsOf(id program.ID, turned bool) (f factors, ok bool) {
	op := e.p.Ops[id]
	if !e.forms || op.Type != program.I32 || e.width(id) != program.I32 || e.p.Ops[op.Args[0]].Kind == program.Const {
		return f, false
	}
	f = factors{product: id, first: op.Args[0], second: program.None}
	var second program.Op
	switch op.Kind {
	case program.Mul:
		f.second = op.Args[1]
		if turned || e.p.Ops[f.second].Kind == program.Const {
			return f, false
		}
		if e.swaps(f.first, f.second) {
			f.first, f.second = f.second, f.first
		}
		second = e.p.Ops[f.second]
	case program.Scale:
		f.k = op.K.Num().Int64()
		if _, moves := e.byteMove(id); moves || f.k >= -1 && f.k <= 1 {
			return f, false
		}
		if turned {
			f.k = -f.k
		}
		second.Lo, second.Hi = f.k, f.k
	}
	switch first := e.p.Ops[f.first]; {
	case !inside(second, program.I16) || first.Type.Bits() > 32:
		return f, false
	case !inside(first, program.I16):
		f.form = "32"
	case op.Kind == program.Scale:
		f.form = "k"
	case second.Lo >= 0:
		f.form = "16p"
	default:
		f.form = "16"
	}
	return f, true
}

// swaps tells whether b makes the better first factor: the first one may be wide or negative.
func (e *emitter) swaps(a, b program.ID) bool {
	x, y := e.p.Ops[a], e.p.Ops[b]
	if !inside(y, program.I16) {
		return true
	}
	return inside(x, program.I16) && x.Lo >= 0 && (y.Lo < 0 || x.Hi < y.Hi)
}

// times is the call that multiplies, and adds to a sum where there is one.
func (e *emitter) times(f factors, sum string) string {
	kind, before := "mul", ""
	if sum != "" {
		kind, before = "mac", sum+", "
	}
	if f.form == "k" {
		return e.scaled(f, kind) + "(" + before + e.argument(f.first, program.I16) + ")"
	}
	w, second := program.I16, ""
	if f.form == "32" {
		w = program.I32
	}
	if f.second == program.None {
		second = e.factor(f.product, program.I16)
		if f.k != e.p.Ops[f.product].K.Num().Int64() {
			second = "-" + second
		}
	} else {
		second = e.argument(f.second, program.I16)
	}
	return e.primitive(primitive{kind: kind + f.form}) + "(" + before + e.argument(f.first, w) + ", " + second + ")"
}

// scaled is a multiplication by one constant as a function, which may add the product to a sum.
type scaled struct {
	name, kind, factor string
	k                  int64
}

// scaled returns the name of the function.
func (e *emitter) scaled(f factors, kind string) string {
	for _, s := range e.scales {
		if s.kind == kind && s.k == f.k {
			return s.name
		}
	}
	op := e.p.Ops[f.product]
	s := scaled{name: e.name + "_" + kind + "_" + op.Name, kind: kind, factor: e.factor(f.product, program.I16), k: f.k}
	if f.k != op.K.Num().Int64() {
		s.factor = "-" + s.factor
	}
	e.scales = append(e.scales, s)
	return s.name
}
