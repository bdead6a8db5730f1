package c

import (
	"gainwright/model/program"
)

// use says who needs the value of an operation.
type use struct {
	live  bool       // an output or state depends on it
	times int        // by how many it is read
	by    program.ID // the last operation that reads it, or None
	store int        // where states read it: the group of states that does, from 1 on
}

// findUses fills in who reads each operation. Of the operations that nobody reads, directly or through others,
// nothing is emitted.
func (e *emitter) findUses() {
	e.uses = make([]use, len(e.p.Ops))
	for i := range e.uses {
		e.uses[i].by = program.None
	}
	for _, o := range e.p.Outputs {
		e.read(o.Value)
	}
	for n, g := range e.groups {
		for _, id := range e.needs(g) {
			e.read(id)
			e.uses[id].store = n + 1
		}
	}
}

// read notes that id is read once more.
func (e *emitter) read(id program.ID) {
	u := &e.uses[id]
	u.times++
	if u.live {
		return
	}
	u.live = true
	for _, a := range e.p.Ops[id].Args {
		e.read(a)
		e.uses[a].by = id
	}
}

// group is states of one section that change under the same conditions.
type group []int

// groupStates puts the states together that are stored together.
func groupStates(p *program.Fixed) []group {
	var groups []group
	for i, s := range p.States {
		if n := len(groups) - 1; n >= 0 {
			if f := p.States[groups[n][0]]; f.Section == s.Section && f.Enable == s.Enable && f.Reset == s.Reset && !(s.Enable == program.None && s.Reset == program.None) {
				groups[n] = append(groups[n], i)
				continue
			}
		}
		groups = append(groups, group{i})
	}
	return groups
}

// needs are the values that storing a group takes.
func (e *emitter) needs(g group) []program.ID {
	var ids []program.ID
	first := e.p.States[g[0]]
	for _, id := range []program.ID{first.Enable, first.Reset} {
		if id != program.None {
			ids = append(ids, id)
		}
	}
	for _, i := range g {
		s := e.p.States[i]
		ids = append(ids, s.Next)
		if s.Reset != program.None {
			ids = append(ids, s.ResetTo)
		}
	}
	return ids
}

// operandsOf lists what the line of an operation needs before it, inlined operations seen through, in the
// order to compute it in: what a sum starts with is read last, into the place where the sum is to be.
func (e *emitter) operandsOf(id program.ID) []program.ID {
	var ids []program.ID
	args := e.p.Ops[id].Args
	if len(args) == 2 && e.inline[args[1]] && e.p.Ops[args[0]].Kind == program.State {
		args = []program.ID{args[1], args[0]}
	}
	for _, a := range args {
		if e.inline[a] {
			ids = append(ids, e.operandsOf(a)...)
		} else if e.p.Ops[a].Kind != program.Const {
			ids = append(ids, a)
		}
	}
	return ids
}

// markInline chooses the operations that stand in the expression of their one reader instead of in a line
// of their own: truths in conditions, values in the branch that alone needs them, products in sums.
func (e *emitter) markInline() {
	e.inline = make([]bool, len(e.p.Ops))
	weights := make([]int, len(e.p.Ops)) // operands in the expression
	for i := range e.p.Ops {
		id := program.ID(i)
		op := e.p.Ops[i]
		for _, a := range op.Args {
			if e.inline[a] {
				weights[i] += weights[a]
			} else {
				weights[i]++
			}
		}
		u := e.uses[i]
		if !u.live || u.times != 1 || weights[i] > 12 {
			continue
		}
		switch op.Kind {
		case program.State: // loaded in the branch that takes it
			e.inline[i] = u.by != program.None && op.Type != program.Bool && e.p.Ops[u.by].Kind == program.Select && e.p.Ops[u.by].Section == op.Section
			continue
		case program.Const, program.Input, program.Coef, program.Angle:
			continue
		}
		if u.by == program.None {
			e.inline[i] = u.store > 0 && e.inStore(id, e.groups[u.store-1])
			continue
		}
		by := e.p.Ops[u.by]
		if e.inline[i] = op.Kind == program.Round && e.lessRounded(u.by, id); e.inline[i] || by.Section != op.Section {
			continue
		}
		switch {
		case op.Type == program.Bool:
			e.inline[i] = by.Kind == program.And || by.Kind == program.Or || by.Kind == program.Not || by.Kind == program.Select && by.Args[0] == id
		case by.Kind == program.Select:
			e.inline[i] = true
		case by.Kind == program.Add || by.Kind == program.Sub:
			e.inline[i] = e.fuses(u.by, id)
		}
	}
}

// inStore tells whether a value that only a group of states reads goes into the statement that stores it:
// a condition, and what one branch alone needs.
func (e *emitter) inStore(id program.ID, g group) bool {
	s := e.p.States[g[0]]
	if e.p.Ops[id].Section != s.Section {
		return false
	}
	if id == s.Enable || id == s.Reset {
		return e.p.Ops[id].Type == program.Bool
	}
	return e.p.Ops[id].Type != program.Bool && (s.Enable != program.None || s.Reset != program.None)
}
