package c

import (
	"fmt"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/program"
	"gainwright/model/selection"
)

// body writes the statements of a step, in the order of the selection.
type body struct {
	*emitter
	b     strings.Builder
	lines []remark     // locals that are not written yet: they line up
	ids   []program.ID // what they define
}

func (e *emitter) body() string {
	w := &body{emitter: e}
	for _, block := range e.Blocks() {
		if block.Section != selection.NoSection {
			w.section(block.Section)
		}
		for _, s := range block.Statements {
			if s.Kind == selection.Define {
				w.define(program.ID(s.At))
				continue
			}
			w.flush()
			switch s.Kind {
			case selection.Latch:
				w.b.WriteString(w.latch())
			case selection.Store:
				w.store(w.Groups[s.At])
			case selection.Output:
				o := w.p.Outputs[s.At]
				w.b.WriteString(code("    ", "out->"+w.fields.out[s.At].Name+" = "+w.member(o.Type, o.Value)+";"))
			}
		}
		w.flush()
	}
	return w.b.String()
}

// define adds the line of an operation.
func (w *body) define(id program.ID) {
	op := &w.p.Ops[id]
	text := op.Doc
	if op.Type != program.Bool {
		text = joined(op.Doc, short(op.Lo, op.Hi, op.LSB, op.Unit))
	}
	w.ids = append(w.ids, id)
	w.lines = append(w.lines, remark{w.expression(id), text})
}

// flush writes the locals since the last statement of another kind, with names and equal signs lined up.
func (w *body) flush() {
	const furthest = 28
	types, roles := 0, 0
	for _, id := range w.ids {
		types = max(types, len(localType(w.p.Ops[id].Type)))
		if len(w.local[id]) <= furthest {
			roles = max(roles, len(w.local[id]))
		}
	}
	for i, id := range w.ids {
		w.lines[i].code = fmt.Sprintf("const %-*s %-*s = %s;", types, localType(w.p.Ops[id].Type), roles, w.local[id], w.lines[i].code)
	}
	w.b.WriteString(explained("    ", w.lines))
	w.lines, w.ids = nil, nil
}

// section writes a section's contract.
func (w *body) section(s int) {
	sec := w.p.Sections[s]
	title := contract.Plain(sec.Name)
	if sec.Kind != "" && sec.Kind != sec.Name {
		title += " (" + contract.Plain(sec.Kind) + ")"
	}
	w.b.WriteString("\n" + blockComment("    ", append([]string{title}, contract.Section(w.unit, s)...)))
}

// store writes the statement that moves a group of states on.
func (w *body) store(g selection.Group) {
	first := w.p.States[g[0]]
	assign := func(indent string, value func(program.FixedState) program.ID) {
		for _, i := range g {
			s := w.p.States[i]
			w.b.WriteString(code(indent, "s->"+w.fields.state[i].Name+" = "+w.member(s.Type, value(s))+";"))
		}
	}
	next := func(s program.FixedState) program.ID { return s.Next }
	to := func(s program.FixedState) program.ID { return s.ResetTo }
	never := w.Never(g)
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
func (w *body) kept(g selection.Group) string {
	text := "For the next tick: "
	for n, i := range g {
		if n > 0 {
			text += "; "
		}
		text += w.p.States[i].Doc
	}
	return contract.Plain(text) + "."
}
