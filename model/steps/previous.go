package steps

import (
	"math/big"
	"slices"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/formula"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// The value that a signal had in the last tick, `previous speed` in a spec and its last value in this code, is a state, and a signal of its own. It may be that of a step that comes later: this is how a
// controller feeds back. Where it is read by other steps it stands in a section before them; a step that reads its own keeps it itself, as fine as a
// state can be.

// previousName takes the name out of `previous speed`.
func previousName(text string) (name string, ok bool) {
	words := strings.Fields(text)
	if len(words) == 2 && words[0] == "previous" {
		return words[1], true
	}
	return text, false
}

// awaited is a state that holds a signal's last value, where that signal is still to come.
type awaited struct {
	state int
	name  string // of the signal
	value program.ID
	step  *spec.Step // that names it
	key   string
	pos   finding.Pos
}

// lowerPrevious makes a section for each last value that the step reads of others.
func (l *Lowering) lowerPrevious(st *spec.Step, refs []reference) {
	for _, r := range refs {
		owner, _, _ := strings.Cut(r.name, ".")
		known := l.spec.Step(owner) != nil || slices.Contains(l.spec.InputNames(), owner)
		if _, made := l.signals[previousOf(r.name)]; !r.previous || made || !known || owner == st.Name && (r.name != owner || !l.inRing(owner)) {
			continue
		}
		l.step, l.kind, l.last, l.prefix, l.section = st, nil, nil, strings.ReplaceAll(r.name, ".", "_")+"_previous", len(l.p.Sections)
		l.clock = l.clockOfLast(owner)
		l.p.Sections = append(l.p.Sections, program.Section{Name: previousOf(r.name), Kind: "previous", Clock: l.clock, Line: r.pos.Line,
			Sentence: "The value that " + r.name + " had in the last tick.", Equation: previousOf(r.name) + " = " + r.name + " a tick before"})
		n, before := l.lastOf(r, st)
		v := before
		if s, there := l.signals[r.name]; there && l.startOf(owner) == nil { // before its first run it is what it is now
			v = l.Select(l.first, s.id, before, "now", "the value before, at the first tick the one of now")
		}
		l.Publish(v, "", l.signals[r.name].angular)
		made := l.signals[l.prefix]
		delete(l.signals, l.prefix)
		sec := &l.p.Sections[l.section]
		sec.Signals[len(sec.Signals)-1].Name = previousOf(r.name)
		l.signals[previousOf(r.name)] = made
		l.awaited = append(l.awaited, awaited{n, r.name, before, st, r.key, r.pos})
	}
}

// inRing tells whether a step feeds itself back through others: then none of them can be looked at alone, and its own last value stands outside, too.
func (l *Lowering) inRing(step string) bool {
	seen := map[string]bool{}
	next := []string{step}
	for len(next) > 0 {
		at := next[0]
		next = next[1:]
		for _, r := range references(l.spec.Step(at), l.kinds[at]) {
			owner, _, _ := strings.Cut(r.name, ".")
			switch {
			case l.spec.Step(owner) == nil || owner == at:
			case owner == step:
				return true
			case !seen[owner]:
				seen[owner] = true
				next = append(next, owner)
			}
		}
	}
	return false
}

// previousOf is the name of the signal that holds the last value of another.
func previousOf(name string) string { return name + ".previous" }

// lastOf adds the state that holds a signal's last value.
func (l *Lowering) lastOf(r reference, st *spec.Step) (int, program.ID) {
	owner, _, further := strings.Cut(r.name, ".")
	s, there := l.signals[r.name]
	if !there {
		s.unit = l.unitAhead(r.name, owner)
		s.isBool = !further && l.isSwitch(owner, 0)
	}
	info := program.StateInfo{Unit: s.unit, Bool: s.isBool, Purpose: program.Copy, Start: new(big.Rat)}
	switch a := l.startOf(owner); {
	case a != nil && !s.isBool:
		l.step = l.spec.Step(owner)
		info.Start = l.Number("start", s.unit, new(big.Rat))
		l.step = st
	case !there && !s.isBool:
		l.fail(r.pos, r.key, "no-start", "start: 0, at the step "+owner, "%s comes later than the step %s: it is to be said what it was before its first tick", r.name, st.Name)
	}
	return l.State(program.RealState{StateInfo: info, Like: program.None}, "", r.name+" at the last tick")
}

// unitAhead is the unit of a signal that is not there yet: as it follows from what is said of others, else as its start is written.
func (l *Lowering) unitAhead(signal, step string) string {
	unit, sure := l.units.Of(signal)
	if start := l.startOf(step); start != nil && !sure {
		if q, err := spec.ParseQuantity(start.Value.Text); err == nil && q.Unit != "" {
			return q.Unit
		}
	}
	return unit
}

// isSwitch tells whether the signal of a step that is not there yet is a switch: its kind says so, or its formula by what is outermost in it.
func (l *Lowering) isSwitch(step string, depth int) bool {
	st, k := l.spec.Step(step), l.kinds[step]
	if k == nil || k.Name != "formula" || st.Arg("value") == nil {
		return k != nil && k.IsSwitch
	}
	n, _ := formula.Parse(st.Arg("value").Value.Text)
	return l.yieldsSwitch(n, depth)
}

func (l *Lowering) yieldsSwitch(n *formula.Node, depth int) bool {
	const deepest = 100 // names of names
	switch {
	case n == nil || depth > deepest:
		return false
	case n.Op == formula.If && len(n.Args) == 3:
		return l.yieldsSwitch(n.Args[1], depth+1)
	case n.Op == formula.Name, n.Op == formula.Previous:
		if s, there := l.signals[n.Text]; there {
			return s.isBool
		}
		return l.spec.Step(n.Text) != nil && l.isSwitch(n.Text, depth+1)
	case n.Op == formula.And, n.Op == formula.Or, n.Op == formula.Not, n.Op == formula.Rises, n.Op == formula.Falls:
		return true
	}
	return n.Op.Compares()
}

// last is the last value of a step's own signal.
type last struct {
	signal signal
	state  int
	kept   bool // the state is there
}

// ownLast tells of a step's own last value, which its formula reads.
func (l *Lowering) ownLast(pos finding.Pos, key string) signal {
	if l.last == nil {
		l.last = &last{}
		l.last.signal.isBool = l.isSwitch(l.step.Name, 0)
		if !l.last.signal.isBool {
			l.last.signal.unit = l.unitAhead(l.step.Name, l.step.Name)
			if l.startOf(l.step.Name) == nil {
				l.fail(pos, key, "no-start", "start: 0, at this step", "%s reads its own last value: it is to be said what that is in the first tick", l.step.Name)
			}
		}
	}
	return l.last.signal
}

// keepLast adds the state of a step's own last value, where its formula reads it: as fine as a state can be, and not as the signal is rounded.
func (l *Lowering) keepLast() {
	if l.last == nil || l.last.kept {
		return
	}
	l.last.kept = true
	s := &l.last.signal
	info := program.StateInfo{Unit: s.unit, Bool: s.isBool, Purpose: program.Accumulator, Start: new(big.Rat)}
	if s.isBool {
		info.Purpose = program.Copy
	} else {
		info.Start = l.Number("start", s.unit, new(big.Rat))
	}
	l.last.state, s.id = l.State(program.RealState{StateInfo: info, Like: program.None}, "last", "the value of the last tick")
}

// becomes ties the state of the last value to the value that the step has now. Where nothing but sums and limits leads around, nothing is rounded there.
func (l *Lowering) becomes(v program.ID) {
	if l.last == nil || !l.last.kept {
		return
	}
	s := &l.p.States[l.last.state]
	if s.Next = v; s.Bool {
		s.Like = v
	}
	back := map[program.ID]bool{l.last.signal.id: true} // what depends on the last value
	for id := l.last.signal.id + 1; id <= v; id++ {
		op := &l.p.Ops[id]
		for _, a := range op.Args {
			if !back[a] {
				continue
			}
			if k := op.Kind; k.Of().Rounds || k == program.Mul || k == program.Angle || k == program.Table || k == program.Scale && (!op.K.IsInt() || op.K.Num().BitLen() > 1) {
				return
			}
			back[id] = true
		}
	}
	if back[v] {
		l.Exact(v)
	}
}

// startOf is what a step says that its signal is before its first run.
func (l *Lowering) startOf(step string) *spec.Arg {
	if st := l.spec.Step(step); st != nil && st.Arg("start") != nil && !isName(st.Arg("start").Value) { // some kinds start from a signal
		return st.Arg("start")
	}
	return nil
}

// settlePrevious ties the states to the signals, which are all there now.
func (l *Lowering) settlePrevious() {
	for _, w := range l.awaited {
		s, there := l.signals[w.name]
		state := &l.p.States[w.state]
		l.step = w.step
		switch {
		case !there || isUnknown(s.unit):
			s = signal{id: w.value, unit: state.Unit, isBool: state.Bool} // told elsewhere
		case s.isBool != state.Bool || s.unit != state.Unit:
			l.fail(w.pos, w.key, "unit-mismatch", "unit: "+s.unit+", at the steps between", "the unit of %s is %s, that of its last value was taken for %s", w.name, orNone(s.unit), orNone(state.Unit))
			s = signal{id: w.value}
		}
		state.Next, state.Like = s.id, s.id
	}
}
