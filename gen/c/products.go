package c

import (
	"fmt"

	"gainwright/model/program"
)

// sum is an addition or subtraction. A product that nothing else uses is added to the sum in one call.
func (e *emitter) sum(id program.ID) string {
	op := e.p.Ops[id]
	if r := op.Args[1]; e.inline[r] && e.lessRounded(id, r) {
		name := e.primitive(primitive{kind: "less", typ: program.I32, to: program.I16, shift: e.p.Ops[r].Shift})
		return name + "(" + e.argument(op.Args[0], program.I16) + ", " + e.argument(e.p.Ops[r].Args[0], program.I32) + ")"
	}
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
	if !ok || f.form == "32" || !e.addsUp(sum) {
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

// lessRounded tells whether a difference takes off a number of 32 bits that nothing else rounds to its upper half.
func (e *emitter) lessRounded(difference, rounding program.ID) bool {
	d, r := e.p.Ops[difference], e.p.Ops[rounding]
	return e.forms && d.Kind == program.Sub && d.Args[1] == rounding && d.Type == program.I16 && e.width(difference) == program.I16 &&
		r.Kind == program.Round && r.Shift == 16 && e.twice[rounding] == 0 && e.width(rounding) == program.I32
}

// addsUp tells whether a sum fits 32 bits by the ranges of its operands alone. Where it takes the certificate to
// see that it does, a product stays a value of its own, of which an analyser can be told what the certificate knows.
func (e *emitter) addsUp(sum program.ID) bool {
	op := e.p.Ops[sum]
	a, b := e.p.Ops[op.Args[0]], e.p.Ops[op.Args[1]]
	lo, hi := a.Lo+b.Lo, a.Hi+b.Hi
	if op.Kind == program.Sub {
		lo, hi = a.Lo-b.Hi, a.Hi-b.Lo
	}
	return program.Holding(lo, hi) != program.I64
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
	if text, ok := e.movedWide(id); ok {
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

// moved is a multiplication by 2^8 or more of a value of 16 bits: a move of bytes and a short shift.
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

// movedWide is a multiplication of a value of 32 bits by 2^3 or more, which compilers for small parts shift bit by bit, or multiply. Small code
// takes the multiplication that is there for others.
func (e *emitter) movedWide(id program.ID) (string, bool) {
	bits, ok := e.wideMove(id)
	if !ok {
		return "", false
	}
	return e.primitive(primitive{kind: "up", typ: program.I32, shift: bits}) + "(" + e.argument(e.p.Ops[id].Args[0], program.I32) + ")", true
}

// wideMove tells whether an operation is such a multiplication.
func (e *emitter) wideMove(id program.ID) (bits uint, ok bool) {
	op := e.p.Ops[id]
	n, a := op.K.Num(), e.p.Ops[op.Args[0]]
	if !e.forms || e.options.Prefer == Size || op.Type != program.I32 || e.width(id) != program.I32 || a.Kind == program.Const || n.Sign() <= 0 {
		return 0, false
	}
	bits = n.TrailingZeroBits()
	least := uint(3)
	if inside(a, program.I16) { // which has a shorter way up to here
		least = 21
	}
	return bits, n.BitLen() == int(bits)+1 && bits >= least && bits <= 30
}

// byteMove tells whether an operation multiplies 16 bits by a power of two that is a move of bytes and a short shift.
func (e *emitter) byteMove(id program.ID) (bits uint, ok bool) {
	op := e.p.Ops[id]
	n, a := op.K.Num(), e.p.Ops[op.Args[0]]
	if !e.forms || op.Type != program.I32 || !inside(a, program.I16) || a.Kind == program.Const || n.Sign() <= 0 {
		return 0, false
	}
	bits = n.TrailingZeroBits()
	return bits, n.BitLen() == int(bits)+1 && bits >= 8 && bits <= 20
}

// inside tells whether a value lies in the range of a type, whatever its own.
func inside(op program.FixedOp, t program.Type) bool {
	lo, hi := t.Range()
	return op.Lo >= lo && op.Hi <= hi
}
