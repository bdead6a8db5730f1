package c

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/program"
)

// body writes the statements of a step. Each value is computed where it is first needed and each state is
// stored as soon as nothing needs its old value, so that few values are alive at a time: small parts
// have few registers.
type body struct {
	*emitter
	b       strings.Builder
	lines   []remark     // locals that are not written yet: they line up
	ids     []program.ID // what they define
	done    []bool       // operations whose local is defined
	stored  []bool       // groups of states
	given   []bool       // outputs
	latched bool         // the live gains of this tick
	reads   [][]program.ID
	in      map[int][]program.ID // operations by section
	before  [][]program.ID       // by a group's first state: see needed
}

func (e *emitter) body() string {
	w := &body{emitter: e, done: make([]bool, len(e.p.Ops)), stored: make([]bool, len(e.groups)),
		given: make([]bool, len(e.p.Outputs)), in: map[int][]program.ID{}, before: make([][]program.ID, len(e.p.States))}
	for i := range e.p.Ops {
		at := e.p.Ops[i].Section
		if at < 0 {
			at = outside
		}
		w.in[at] = append(w.in[at], program.ID(i))
	}
	w.inputs()
	w.place(outside)
	for s := range e.p.Sections {
		w.section(s)
	}
	w.stores(func(group) bool { return true })
	w.outputs(true)
	return w.b.String()
}

// inputs reads all inputs at once where they are few: the pointer's registers are free from there on.
func (w *body) inputs() {
	if !w.early() {
		return
	}
	for i, op := range w.p.Ops {
		if op.Kind == program.Input && w.named(program.ID(i)) {
			w.define(program.ID(i))
		}
	}
	w.flush()
}

// place writes what stands in one section, or outside all.
func (w *body) place(section int) {
	for _, id := range w.in[section] {
		if w.named(id) && !w.awaited(id) {
			w.define(id)
			w.stores(w.storable)
		}
	}
	w.stores(func(g group) bool { return w.past(g, section) })
	w.flush()
}

// named tells whether an operation gets a local.
func (w *body) named(id program.ID) bool {
	return w.uses[id].live && !w.inline[id] && w.p.Ops[id].Kind != program.Const
}

// awaited tells whether an operation waits until a reader asks for it: reads of inputs, states and
// coefficients, and what has one reader in the section, whose line comes right behind.
func (w *body) awaited(id program.ID) bool {
	op, u := w.p.Ops[id], w.uses[id]
	switch op.Kind {
	case program.Input, program.State, program.Coef:
		return true
	}
	return u.times == 1 && u.by != program.None && w.p.Ops[u.by].Section == op.Section
}

// define writes the line of an operation, and those that it needs before it.
func (w *body) define(id program.ID) {
	if w.done[id] {
		return
	}
	w.done[id] = true
	for _, a := range w.operandsOf(id) {
		w.define(a)
	}
	op := w.p.Ops[id]
	if op.Kind == program.Coef && !w.latched {
		w.latched = true
		w.flush()
		w.b.WriteString(w.latch())
	}
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

// section writes a section's contract and its operations; one that nothing depends on is left out.
func (w *body) section(s int) {
	if !w.lives(s) {
		return
	}
	sec := w.p.Sections[s]
	title := contract.Plain(sec.Name)
	if sec.Kind != "" && sec.Kind != sec.Name {
		title += " (" + contract.Plain(sec.Kind) + ")"
	}
	w.b.WriteString("\n" + blockComment("    ", append([]string{title}, contract.Section(w.unit, s)...)))
	w.place(s)
	w.outputs(false)
}

// lives tells whether a section has an operation that is emitted, or hands on a value of another.
func (w *body) lives(s int) bool {
	for _, id := range w.in[s] {
		if w.uses[id].live {
			return true
		}
	}
	for _, sig := range w.p.Sections[s].Signals {
		if w.uses[sig.Value].live {
			return true
		}
	}
	return false
}

// stores writes the groups of states that may be stored.
func (w *body) stores(may func(group) bool) {
	for n, g := range w.groups {
		if w.stored[n] || !may(g) {
			continue
		}
		w.stored[n] = true
		for _, id := range w.needed(g) {
			w.define(id)
		}
		w.flush()
		w.store(g)
	}
}

// storable tells whether all that a group takes is there, and nobody still waits to read an old state of it.
func (w *body) storable(g group) bool {
	for _, id := range w.needed(g) {
		if !w.done[id] {
			return false
		}
	}
	return true
}

// past tells whether all that a group takes, and all that reads its old states, stands in sections up to this one.
func (w *body) past(g group, section int) bool {
	for _, id := range w.needed(g) {
		if at := w.p.Ops[id].Section; at > section {
			return false
		}
	}
	return true
}

// needed lists the operations that come before the store of a group: what it takes, and the reads of its old
// states.
func (w *body) needed(g group) []program.ID {
	if known := w.before[g[0]]; known != nil { // this is asked for each group after each operation
		return known
	}
	ids := []program.ID{}
	for _, id := range w.needs(g) {
		switch {
		case w.inline[id]:
			ids = append(ids, w.operandsOf(id)...)
		case w.p.Ops[id].Kind != program.Const:
			ids = append(ids, id)
		}
	}
	if w.reads == nil {
		w.reads = make([][]program.ID, len(w.p.States))
		for i, op := range w.p.Ops {
			if op.Kind == program.State && w.uses[i].live {
				w.reads[op.Index] = append(w.reads[op.Index], program.ID(i))
			}
		}
	}
	for _, n := range g {
		for _, id := range w.reads[n] {
			for w.inline[id] { // it is read where its reader is computed
				id = w.uses[id].by
			}
			ids = append(ids, id)
		}
	}
	slices.Sort(ids[len(ids)-w.readsOf(g):])
	w.before[g[0]] = ids
	return ids
}

// readsOf counts the reads of a group's old states.
func (w *body) readsOf(g group) int {
	n := 0
	for _, m := range g {
		n += len(w.reads[m])
	}
	return n
}
