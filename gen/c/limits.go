package c

import (
	"gainwright/model/program"
	"gainwright/model/selection"
)

// limits is a limit by constants, which has a form of its own; one side may be missing.
type limits struct {
	name        string
	typ         program.Type
	lo, hi      *int64
	least, most string // their macros
}

// limit is a clamp, minimum or maximum by constants, as the call of a function that knows them.
func (e *emitter) limit(id program.ID) string {
	op, o := &e.p.Ops[id], &e.Ops[id]
	l := limits{typ: o.Width, lo: o.Least, hi: o.Most}
	for _, a := range o.Args[1:] {
		if macro := e.constant(a.ID); l.lo != nil && l.least == "" {
			l.least = macro
		} else {
			l.most = macro
		}
	}
	name, most := "", ""
	if o.Form == selection.Symmetric {
		name, most = e.primitive(primitive{form: o.Form, typ: o.Width}), ", "+l.most // one function for all limits of this kind
		e.calls[name]++
	} else {
		name = e.limitOf(op.Name, l)
	}
	return e.narrowed(op.Type, name+"("+e.argument(o.Args[0])+most+")", o.Width)
}

// call is what does the same as a limit everywhere: the function, and what it takes.
func (l limits) call() (form selection.Form, inputs string) {
	switch {
	case l.lo == nil:
		return selection.Min, "x, " + l.most
	case l.hi == nil:
		return selection.Max, "x, " + l.least
	}
	return selection.Clamp, "x, " + l.least + ", " + l.most
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
	form, _ := l.call()
	e.primitive(primitive{form: form, typ: l.typ})
	e.limits = append(e.limits, l)
	return l.name
}
