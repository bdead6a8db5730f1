package c

import (
	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/selection"
)

// Members are the members of <name>_in, <name>_out, <name>_state and <name>_coefs that hold the program's
// inputs, outputs, states and coefficients, at the places of the program's lists.
func Members(p *program.Fixed) (in, out, state, coef []Member) {
	f := newFields(p)
	return f.in, f.out, f.state, f.coef
}

// ActiveCoefs is what stands before a coefficient's name for the one that the last step used, given the
// expression of a state.
func ActiveCoefs(state string) string { return state + ".gains[" + state + ".in_use]." }

// CType is the C type of a value.
func CType(t program.Type) string { return ctype(t) }

// Locals are the names that the values of the step have in the header, by operation of u.Integer: empty for
// constants, for values that no state and no output depends on, and for those that stand in the expression
// of another.
func Locals(u *model.Unit) []string {
	e := newEmitter(u, preferred(u))
	list := make([]string, len(e.Same))
	for i, id := range e.Same {
		if !e.Changed[id] {
			list[i] = e.local[id]
		}
	}
	return list
}

// Emitted is what the step of the header computes, and the names that its values have there: empty as for Locals.
func Emitted(u *model.Unit) (*selection.Selection, []string) {
	e := newEmitter(u, preferred(u))
	return e.Selection, e.local
}
