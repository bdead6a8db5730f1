package c

import (
	"fmt"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/program"
)

// step writes the function that runs one tick.
func (e *emitter) step() string {
	var b strings.Builder
	p := e.p
	b.WriteString("/* One tick: reads in, moves the state on, fills out. The three must not overlap. */\n")
	b.WriteString(code("", fmt.Sprintf("static inline void %s_step(%s_state *s, const %s_in *in, %s_out *out)", e.name, e.name, e.name, e.name)))
	opening := e.opening()
	b.WriteString("{\n" + opening)
	start := b.Len()
	e.block(&b, "The raw inputs, with their whole range.", rawInputs)
	e.block(&b, "", outside)
	for s := range p.Sections {
		e.section(&b, s)
	}
	e.store(&b)
	if len(p.Outputs) > 0 {
		b.WriteString("\n")
	}
	for i, o := range p.Outputs {
		b.WriteString(code("    ", "out->"+e.fields.out[i]+" = "+e.cast(o.Type, o.Value)+";"))
	}
	b.WriteString("}\n")
	if text := b.String(); opening == "" {
		return text[:start] + strings.TrimPrefix(text[start:], "\n")
	}
	return b.String()
}

// opening latches the live gains and marks what is not used.
func (e *emitter) opening() string {
	var b strings.Builder
	if len(e.p.Coefs) > 0 {
		fmt.Fprintf(&b, "    %s_take_gains(s);\n", e.name)
	} else if len(e.p.States) == 0 {
		b.WriteString("    (void)s; /* no memory */\n")
	}
	if len(e.bySection[rawInputs]) == 0 {
		b.WriteString("    (void)in; /* no input is used */\n")
	}
	if len(e.p.Outputs) == 0 {
		b.WriteString("    (void)out; /* no output */\n")
	}
	return b.String()
}

// block writes the operations of one place under a title, if there are any.
func (e *emitter) block(b *strings.Builder, title string, place int) {
	if lines := e.lines(place); len(lines) > 0 {
		b.WriteString("\n" + lineComment("    ", title) + explained("    ", lines))
	}
}

// section writes a section's contract and its operations; one that nothing depends on is left out.
func (e *emitter) section(b *strings.Builder, s int) {
	lines := e.lines(s)
	if len(lines) == 0 && !e.signals(s) {
		return
	}
	sec := e.p.Sections[s]
	title := contract.Plain(sec.Name)
	if sec.Kind != "" && sec.Kind != sec.Name {
		title += " (" + contract.Plain(sec.Kind) + ")"
	}
	b.WriteString("\n" + blockComment("    ", append([]string{title}, contract.Section(e.unit, s)...)) + explained("    ", lines))
}

// signals tells whether a section hands on a live value, be it no operation of its own.
func (e *emitter) signals(s int) bool {
	for _, sig := range e.p.Sections[s].Signals {
		if e.live[sig.Value] {
			return true
		}
	}
	return false
}

// lines are the definitions of the locals of one place, with names and equal signs lined up.
func (e *emitter) lines(place int) []remark {
	const furthest = 28
	types, roles := 0, 0
	for _, id := range e.bySection[place] {
		types = max(types, len(ctype(e.p.Ops[id].Type)))
		if len(e.local[id]) <= furthest {
			roles = max(roles, len(e.local[id]))
		}
	}
	var lines []remark
	for _, id := range e.bySection[place] {
		op := e.p.Ops[id]
		text := op.Doc
		if op.Type != program.Bool {
			text = joined(op.Doc, short(op.Lo, op.Hi, op.LSB, op.Unit))
		}
		lines = append(lines, remark{fmt.Sprintf("const %-*s %-*s = %s;", types, ctype(op.Type), roles, e.local[id], e.expression(id)), text})
	}
	return lines
}

// store writes the new states, all of them after everything has been computed from the old ones.
func (e *emitter) store(b *strings.Builder) {
	if len(e.p.States) == 0 {
		return
	}
	b.WriteString("\n    /* What the next tick starts from. */\n")
	states := e.p.States
	for i := 0; i < len(states); {
		j := i + 1
		for j < len(states) && states[j].Enable == states[i].Enable && states[j].Reset == states[i].Reset {
			j++
		}
		e.storeGroup(b, i, j)
		i = j
	}
}

// storeGroup writes states i to j-1, which share their enable and their reset.
func (e *emitter) storeGroup(b *strings.Builder, i, j int) {
	enable, reset := e.p.States[i].Enable, e.p.States[i].Reset
	assign := func(indent string, value func(program.StateInfo) program.ID) {
		for k := i; k < j; k++ {
			s := e.p.States[k]
			b.WriteString(code(indent, "s->"+e.fields.state[k]+" = "+e.cast(s.Type, value(s))+";"))
		}
	}
	next := func(s program.StateInfo) program.ID { return s.Next }
	to := func(s program.StateInfo) program.ID { return s.ResetTo }
	switch {
	case reset != program.None && enable != program.None:
		b.WriteString("    if (" + e.flag(reset) + " != 0) {\n")
		assign("        ", to)
		b.WriteString("    } else if (" + e.flag(enable) + " != 0) {\n")
		assign("        ", next)
		b.WriteString("    }\n")
	case reset != program.None:
		b.WriteString("    if (" + e.flag(reset) + " != 0) {\n")
		assign("        ", to)
		b.WriteString("    } else {\n")
		assign("        ", next)
		b.WriteString("    }\n")
	case enable != program.None:
		b.WriteString("    if (" + e.flag(enable) + " != 0) {\n")
		assign("        ", next)
		b.WriteString("    }\n")
	default:
		assign("    ", next)
	}
}
