package c

import (
	"math"

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
func groupStates(p *program.Program) []group {
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

// addProductsLast turns p + q + x, with products p and q that nothing else uses, into x + p + q: each
// product can then be added to a sum that is there already. It does so where the sums on the way fit 32 bits,
// and returns the operations that hold x + p now.
func addProductsLast(p *program.Program) (regrouped map[program.ID]bool) {
	regrouped = map[program.ID]bool{}
	times := make([]int, len(p.Ops))
	count := func(id program.ID) {
		if id != program.None {
			times[id]++
		}
	}
	for _, op := range p.Ops {
		for _, a := range op.Args {
			count(a)
		}
	}
	for _, s := range p.States {
		count(s.Next)
		count(s.Enable)
		count(s.Reset)
		count(s.ResetTo)
	}
	for _, o := range p.Outputs {
		count(o.Value)
	}
	product := func(id program.ID) bool {
		op := p.Ops[id]
		return (op.Kind == program.Mul || op.Kind == program.Scale) && op.Type == program.I32 && times[id] == 1
	}
	for i := range p.Ops {
		sum := &p.Ops[i]
		if sum.Kind != program.Add || sum.Type != program.I32 {
			continue
		}
		for n := range sum.Args {
			pair, x := &p.Ops[sum.Args[n]], sum.Args[1-n]
			if pair.Kind != program.Add || pair.Type != program.I32 || times[sum.Args[n]] != 1 || pair.Section != sum.Section ||
				!product(pair.Args[0]) || !product(pair.Args[1]) || product(x) {
				continue
			}
			one, two := p.Ops[pair.Args[0]], pair.Args[1]
			lo, hi := p.Ops[x].Lo+one.Lo, p.Ops[x].Hi+one.Hi
			if p.Ops[x].Type == program.I64 || lo < math.MinInt32 || hi > math.MaxInt32 {
				continue
			}
			pair.Args, pair.Lo, pair.Hi = []program.ID{x, pair.Args[0]}, lo, hi
			regrouped[sum.Args[n]] = true
			sum.Args = []program.ID{sum.Args[n], two}
			break
		}
	}
	return regrouped
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
		case program.Const, program.Input, program.State, program.Coef, program.Angle:
			continue
		}
		if u.by == program.None {
			e.inline[i] = u.store > 0 && e.inStore(id, e.groups[u.store-1])
			continue
		}
		by := e.p.Ops[u.by]
		if by.Section != op.Section {
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
