package c

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/selection"
)

// Sections that do not run at each tick stand in an if. For each distance between two runs there is one member that counts the ticks; what is read elsewhere of
// what such a section computes is held in members, too.

// counter counts the ticks of all clocks with as many ticks between two runs: 0 is the first tick of all, then it goes round from 1 to their number.
type counter struct {
	every int
	Member
}

// newCounters lists the counters of a program. Its states have their names already.
func newCounters(p *program.Fixed, state names) (out []counter) {
	for _, s := range p.Sections {
		n := s.Clock.Every
		if n == 0 || slices.ContainsFunc(out, func(c counter) bool { return c.every == n }) {
			continue
		}
		t := program.U8
		if n > 255 {
			t = program.U16
		}
		out = append(out, counter{n, Member{state.unique(fmt.Sprintf("tick_of_%d", n)), t}})
	}
	return out
}

// count writes the lines that count this tick. They read the number of this tick into a local, which the conditions compare.
func (w *body) count() {
	for i, k := range w.fields.ticks {
		if i == 0 {
			w.b.WriteString(lineComment(w.in, "The number of this tick among those between two runs of slower steps; 0 at the first tick, when all of them run."))
		}
		w.b.WriteString(code(w.in, fmt.Sprintf("const %s %s = s->%s;", ctype(k.Type), w.tick[i], k.Name)))
	}
	for i, k := range w.fields.ticks {
		now := w.tick[i]
		w.b.WriteString(code(w.in, fmt.Sprintf("s->%s = (%s)(%s == %du ? 1u : %s + 1u);", k.Name, ctype(k.Type), now, k.every, now)))
	}
}

// open writes what a run stands in, where it is not come by at each tick.
func (w *body) open(r selection.Run) {
	if r.Clock.Every == 0 {
		return
	}
	i := slices.IndexFunc(w.fields.ticks, func(k counter) bool { return k.every == r.Clock.Every })
	at := r.Clock.Phase
	if at == 0 {
		at = r.Clock.Every
	}
	w.b.WriteString("\n" + lineComment(w.in, fmt.Sprintf("Every %d ticks, phase %d.", r.Clock.Every, r.Clock.Phase)) +
		code(w.in, fmt.Sprintf("if (%s == 0u || %s == %du) {", w.tick[i], w.tick[i], at)))
	w.in += "    "
}

// close holds what is read elsewhere, and ends what open began.
func (w *body) close(r selection.Run) {
	if r.Clock.Every == 0 {
		return
	}
	if len(r.Held) > 0 {
		w.b.WriteString(lineComment(w.in, "Held until the next run."))
	}
	for _, id := range r.Held {
		m := w.fields.held[id]
		w.b.WriteString(code(w.in, "s->"+m.Name+" = "+w.member(m.Type, id)+";"))
		w.local[id] = "s->" + m.Name
	}
	w.in = strings.TrimSuffix(w.in, "    ")
	w.b.WriteString(w.in + "}\n")
}

// heldValues lists what is held, in order.
func heldValues(runs []selection.Run) (out []program.ID) {
	for _, r := range runs {
		out = append(out, r.Held...)
	}
	slices.Sort(out)
	return out
}

// nearZero is the number of a range next to 0: what a member that is held begins with, before its first run.
func nearZero(op *program.FixedOp) int64 { return min(max(0, op.Lo), op.Hi) }

// Counted is a member of the state that stands for no state of the program: it counts ticks, or holds a value from run to run.
type Counted struct {
	Member
	Lo, Hi, Start int64
}

// CountedMembers lists those members of the header.
func CountedMembers(u *model.Unit) (out []Counted) {
	e := newEmitter(u, preferred(u))
	for _, k := range e.fields.ticks {
		out = append(out, Counted{k.Member, 0, int64(k.every), 0})
	}
	for _, id := range e.kept {
		op := &e.p.Ops[id]
		out = append(out, Counted{e.fields.held[id], op.Lo, op.Hi, nearZero(op)})
	}
	return out
}
