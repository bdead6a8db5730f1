package selection

import "gainwright/model/program"

// Use says who needs the value of an operation.
type Use struct {
	Live  bool       // an output or state depends on it
	Times int        // by how many it is read
	By    program.ID // the last operation that reads it, or None
	store int        // where states read it: the group of states that does, from 1 on
}

// findUses fills in who reads each operation. Of the operations that nobody reads, directly or through others,
// nothing is emitted.
func (s *Selection) findUses() {
	for i := range s.Ops {
		s.Ops[i].Use.By = program.None
	}
	for _, o := range s.Program.Outputs {
		s.read(o.Value)
	}
	for n, g := range s.Groups {
		for _, id := range s.needs(g) {
			s.read(id)
			s.Ops[id].Use.store = n + 1
		}
	}
}

// read notes that a value is read once more.
func (s *Selection) read(id program.ID) {
	u := &s.Ops[id].Use
	u.Times++
	if u.Live {
		return
	}
	u.Live = true
	for _, a := range s.Program.Ops[id].Args {
		s.read(a)
		s.Ops[a].Use.By = id
	}
}

// Group is states of one section that change under the same conditions, and are stored together.
type Group []int

func groupStates(p *program.Fixed) []Group {
	var groups []Group
	for i := range p.States {
		s := &p.States[i]
		if n := len(groups) - 1; n >= 0 && (s.Enable != program.None || s.Reset != program.None) {
			if f := &p.States[groups[n][0]]; f.Section == s.Section && f.Enable == s.Enable && f.Reset == s.Reset {
				groups[n] = append(groups[n], i)
				continue
			}
		}
		groups = append(groups, Group{i})
	}
	return groups
}

// needs are the values that storing a group takes.
func (s *Selection) needs(g Group) []program.ID {
	var ids []program.ID
	first := &s.Program.States[g[0]]
	for _, id := range []program.ID{first.Enable, first.Reset} {
		if id != program.None {
			ids = append(ids, id)
		}
	}
	for _, i := range g {
		state := &s.Program.States[i]
		ids = append(ids, state.Next)
		if state.Reset != program.None {
			ids = append(ids, state.ResetTo)
		}
	}
	return ids
}

// Never tells whether a group is never enabled: it changes by its reset alone, if at all.
func (s *Selection) Never(g Group) bool {
	enable := s.Program.States[g[0]].Enable
	return enable != program.None && s.Is(enable, 0)
}

// inline chooses the operations that stand in the expression of their one reader instead of in a line
// of their own: truths in conditions, values in the branch that alone needs them, products in sums.
func (s *Selection) inline() {
	const most = 12 // operands in an expression
	weights := make([]int, len(s.Ops))
	for i := range s.Ops {
		id, op, o := program.ID(i), &s.Program.Ops[i], &s.Ops[i]
		for _, a := range op.Args {
			if s.Ops[a].Inline {
				weights[i] += weights[a]
			} else {
				weights[i]++
			}
		}
		if o.Use.Live && o.Use.Times == 1 && weights[i] <= most {
			o.Inline = s.standsInReader(id, op, o.Use)
		}
	}
}

func (s *Selection) standsInReader(id program.ID, op *program.FixedOp, u Use) bool {
	switch op.Kind {
	case program.State: // loaded in the branch that takes it
		return op.Type != program.Bool && s.chosen(u.By, op.Section)
	case program.Const, program.Input, program.Coef, program.Angle, program.Table:
		return false
	}
	if u.By == program.None {
		return u.store > 0 && s.inStore(id, s.Groups[u.store-1])
	}
	by := &s.Program.Ops[u.By]
	if op.Kind == program.Round && s.lessRounded(u.By, id) && s.Program.ClockOf(id) == s.Program.ClockOf(u.By) {
		return true
	}
	switch {
	case by.Section != op.Section:
		return false
	case op.Type == program.Bool:
		return by.Kind == program.And || by.Kind == program.Or || by.Kind == program.Not || by.Kind == program.Select && by.Args[0] == id
	case by.Kind == program.Select:
		return true
	case by.Kind == program.Add || by.Kind == program.Sub:
		_, fuses := s.fuses(u.By, id)
		return fuses
	}
	return false
}

// chosen tells whether what reads a state is a choice of its section, and no part of a store: other states may be stored before.
func (s *Selection) chosen(id program.ID, section int) bool {
	if id == program.None || s.Program.Ops[id].Section != section {
		return false
	}
	for s.Program.Ops[id].Kind == program.Select {
		u := s.Ops[id].Use
		if u.Times != 1 {
			return true
		}
		if u.By == program.None {
			return u.store == 0 || !s.inStore(id, s.Groups[u.store-1])
		}
		if s.Program.Ops[u.By].Kind != program.Select {
			return true
		}
		id = u.By
	}
	return false
}

// inStore tells whether a value that only a group of states reads goes into the statement that stores it:
// a condition, and what one branch alone needs.
func (s *Selection) inStore(id program.ID, g Group) bool {
	state, op := &s.Program.States[g[0]], &s.Program.Ops[id]
	if op.Section != state.Section {
		return false
	}
	if id == state.Enable || id == state.Reset {
		return op.Type == program.Bool
	}
	for _, i := range g { // what a sum becomes has a line of its own, where it can be said how far it goes
		if n := &s.Program.States[i]; id == n.Next && len(n.SumOf) > 0 {
			return false
		}
	}
	return op.Type != program.Bool && (state.Enable != program.None || state.Reset != program.None)
}
