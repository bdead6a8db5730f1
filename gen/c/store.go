package c

import (
	"gainwright/gen/contract"
	"gainwright/model/program"
)

// store writes the statement that moves a group of states on.
func (w *body) store(g group) {
	first := w.p.States[g[0]]
	assign := func(indent string, value func(program.FixedState) program.ID) {
		for _, i := range g {
			s := w.p.States[i]
			w.b.WriteString(code(indent, "s->"+w.fields.state[i]+" = "+w.member(s.Type, value(s))+";"))
		}
	}
	next := func(s program.FixedState) program.ID { return s.Next }
	to := func(s program.FixedState) program.ID { return s.ResetTo }
	never := first.Enable != program.None && w.p.Is(first.Enable, 0)
	if never && first.Reset == program.None {
		return
	}
	w.b.WriteString(lineComment("    ", w.kept(g)))
	switch {
	case first.Reset != program.None:
		w.b.WriteString(code("    ", "if ("+w.condition(first.Reset)+") {"))
		assign("        ", to)
		if first.Enable == program.None {
			w.b.WriteString("    } else {\n")
			assign("        ", next)
		} else if !never {
			w.b.WriteString(code("    ", "} else if ("+w.condition(first.Enable)+") {"))
			assign("        ", next)
		}
		w.b.WriteString("    }\n")
	case first.Enable != program.None:
		w.b.WriteString(code("    ", "if ("+w.condition(first.Enable)+") {"))
		assign("        ", next)
		w.b.WriteString("    }\n")
	default:
		assign("    ", next)
	}
}

// kept says what a group of states holds from here on.
func (w *body) kept(g group) string {
	text := "For the next tick: "
	for n, i := range g {
		if n > 0 {
			text += "; "
		}
		text += w.p.States[i].Doc
	}
	return contract.Plain(text) + "."
}

// outputs writes those that are there, with rest all that are left.
func (w *body) outputs(rest bool) {
	for i, o := range w.p.Outputs {
		if w.given[i] || !rest && !w.done[o.Value] {
			continue
		}
		w.given[i] = true
		if w.p.Ops[o.Value].Kind != program.Const {
			w.define(o.Value)
		}
		w.flush()
		w.b.WriteString(code("    ", "out->"+w.fields.out[i]+" = "+w.member(o.Type, o.Value)+";"))
	}
}
