package c

import (
	"gainwright/model/program"
)

// limits is a clamp between constants, which has a form of its own; one side may be missing.
type limits struct {
	name         string
	typ          program.Type
	lo, hi       *int64
	least, most  string // their macros
	kind, inputs string // the function that does the same, and what it takes
}

// limit is a clamp, minimum or maximum by constants, as the call of a function that knows them.
func (e *emitter) limit(id program.ID, w program.Type) (string, bool) {
	op := e.p.Ops[id]
	if !e.forms || w == program.I64 || w == program.I16 && op.Kind != program.Clamp {
		return "", false
	}
	l := limits{typ: w}
	x := op.Args[0]
	side := func(i int, value **int64, macro *string) bool {
		a := e.p.Ops[op.Args[i]]
		if a.Kind != program.Const {
			return false
		}
		v := a.K.Num().Int64()
		*value, *macro = &v, e.constant(op.Args[i])
		return true
	}
	switch op.Kind {
	case program.Clamp:
		if !side(1, &l.lo, &l.least) || !side(2, &l.hi, &l.most) || *l.lo > 0 || *l.hi < 0 || *l.lo >= *l.hi {
			return "", false
		}
		l.kind, l.inputs = "clamp", "x, "+l.least+", "+l.most
	case program.Min, program.Max:
		at := 1
		if e.p.Ops[x].Kind == program.Const {
			at, x = 0, op.Args[1]
		}
		value, macro := &l.hi, &l.most
		l.kind = "min"
		if op.Kind == program.Max {
			value, macro, l.kind = &l.lo, &l.least, "max"
		}
		if !side(at, value, macro) {
			return "", false
		}
		l.inputs = "x, " + *macro
	default:
		return "", false
	}
	if w == program.I32 && e.sharesLimit() && l.lo != nil && l.hi != nil && *l.lo == -*l.hi {
		name := e.primitive(primitive{kind: "limit", typ: w}) // one function for all limits of this kind
		e.calls[name]++
		return name + "(" + e.argument(x, w) + ", " + l.most + ")", true
	}
	return e.limitOf(op.Name, l) + "(" + e.argument(x, w) + ")", true
}

// sharesLimit tells whether one function limits numbers of 32 bits to [-most, most]: in small code, where there are three or more
// such limits.
func (e *emitter) sharesLimit() bool {
	if e.options.Prefer != Size {
		return false
	}
	most := map[int64]bool{}
	for i, op := range e.p.Ops {
		if op.Kind == program.Clamp && e.uses[i].live && e.width(program.ID(i)) == program.I32 {
			if lo, hi := e.p.Ops[op.Args[1]], e.p.Ops[op.Args[2]]; lo.Kind == program.Const && hi.Kind == program.Const && lo.Lo == -hi.Lo {
				most[hi.Lo] = true
			}
		}
	}
	return len(most) > 2
}

// limitOf returns the name of the function with these limits.
func (e *emitter) limitOf(role string, l limits) string {
	equal := func(a, b *int64) bool { return a == b || a != nil && b != nil && *a == *b }
	for _, k := range e.limits {
		if k.typ == l.typ && equal(k.lo, l.lo) && equal(k.hi, l.hi) {
			return k.name
		}
	}
	l.name = e.name + "_within_" + role
	e.primitive(primitive{kind: l.kind, typ: l.typ})
	e.limits = append(e.limits, l)
	return l.name
}
