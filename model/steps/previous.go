package steps

import (
	"math/big"
	"slices"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// The value that a signal had in the last tick is a state, and a signal of its own. It may be that of a step that comes later: this is how a
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
		if _, made := l.signals[previousOf(r.name)]; !r.previous || made || !known || owner == st.Name {
			continue
		}
		l.step, l.kind, l.prefix, l.section = st, nil, strings.ReplaceAll(r.name, ".", "_")+"_previous", len(l.p.Sections)
		l.p.Sections = append(l.p.Sections, program.Section{Name: previousOf(r.name), Kind: "previous", Line: r.pos.Line,
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

// previousOf is the name of the signal that holds the last value of another.
func previousOf(name string) string { return name + ".previous" }

// lastOf adds the state that holds a signal's last value.
func (l *Lowering) lastOf(r reference, st *spec.Step) (int, program.ID) {
	owner, _, further := strings.Cut(r.name, ".")
	s, there := l.signals[r.name]
	if !there {
		s.unit, _ = l.units.Of(r.name)
		if k := Find(l.spec.Step(owner).Kind); k != nil {
			s.isBool = k.IsSwitch && !further
		}
	}
	info := program.StateInfo{Unit: s.unit, Bool: s.isBool, Form: program.Copy, Start: new(big.Rat)}
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

// startOf is what a step says that its signal is before its first run.
func (l *Lowering) startOf(step string) *spec.Arg {
	if st := l.spec.Step(step); st != nil {
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
