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
	in    string       // indent
}

func (e *emitter) body() string {
	w := &body{emitter: e, in: "    "}
	w.count()
	for _, r := range e.runs {
		w.open(r)
		for _, block := range r.Blocks {
			if block.Section != selection.NoSection {
				w.section(block.Section)
			}
			w.statements(block.Statements)
		}
		w.close(r)
	}
	return w.b.String()
}

func (w *body) statements(list []selection.Statement) {
	for _, s := range list {
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
			w.b.WriteString(code(w.in, "out->"+w.fields.out[s.At].Name+" = "+w.member(o.Type, o.Value)+";"))
		}
	}
	w.flush()
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
	w.b.WriteString(explained(w.in, w.lines))
	w.lines, w.ids = nil, nil
}

// section writes a section's contract.
func (w *body) section(s int) {
	sec := w.p.Sections[s]
	title := contract.Plain(sec.Name)
	if sec.Kind != "" && sec.Kind != sec.Name {
		title += " (" + contract.Plain(sec.Kind) + ")"
	}
	w.b.WriteString("\n" + blockComment(w.in, append([]string{title}, contract.Section(w.unit, s)...)))
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
	w.b.WriteString(lineComment(w.in, w.kept(g)))
	switch {
	case first.Reset != program.None:
		w.b.WriteString(code(w.in, "if ("+w.condition(first.Reset)+") {"))
		assign(w.in+"    ", to)
		if first.Enable == program.None {
			w.b.WriteString(w.in + "} else {\n")
			assign(w.in+"    ", next)
		} else if !never {
			w.b.WriteString(code(w.in, "} else if ("+w.condition(first.Enable)+") {"))
			assign(w.in+"    ", next)
		}
		w.b.WriteString(w.in + "}\n")
	case first.Enable != program.None:
		w.b.WriteString(code(w.in, "if ("+w.condition(first.Enable)+") {"))
		assign(w.in+"    ", next)
		w.b.WriteString(w.in + "}\n")
	default:
		assign(w.in, next)
	}
}

// kept says what a group of states holds from here on.
func (w *body) kept(g selection.Group) string {
	text := "For the next tick: "
	if w.p.Sections[w.p.States[g[0]].Section].Clock.Every != 0 {
		text = "For the next run: "
	}
	for n, i := range g {
		if n > 0 {
			text += "; "
		}
		text += w.p.States[i].Doc
	}
	return contract.Plain(text) + "."
}
