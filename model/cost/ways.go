package cost

import "gainwright/model/program"

// A tick goes one way at each truth that decides something. Which operations it comes by follows from the truths: a choice needs one
// of its sides, a state that is reset needs no next value, and what nobody on the way needs is not computed. The compiler moves code
// into the branches that need it, so that this holds for the machine code too. It does not move assembly: on AVR a branch has only
// what is written in it.

// truth is what is known of a boolean on a way: the negation of one is its negative, both of two their minimum, one of two their maximum.
type truth int8

const (
	no   truth = -1
	open truth = 0 // not decided
	yes  truth = 1
)

// way is what is decided of a tick, and what it comes by.
type way struct {
	decided []truth      // by operation: of those that others do not follow from
	known   []truth      // and what follows
	through []program.ID // the argument that each one passes on as it is, or None
	same    []program.ID // and where that leads to
	seen    []bool
	needed  []bool
	stored  []bool // states
	weight  int64
}

// longest lists the operations that the longest way comes by. Each truth that decides something is taken the way that takes more,
// one after the other.
func (c *code) longest() *way {
	n := len(c.p.Ops)
	w := &way{decided: make([]truth, n), known: make([]truth, n), through: make([]program.ID, n), same: make([]program.ID, n),
		seen: make([]bool, n), needed: make([]bool, n), stored: make([]bool, len(c.p.States))}
	for _, id := range c.deciding() {
		w.decided[id] = yes
		one := c.walk(w)
		w.decided[id] = no
		if other := c.walk(w); one > other {
			w.decided[id] = yes
		}
	}
	c.walk(w)
	return w
}

// deciding lists the truths that choices and states hang on, taken apart as far as they follow from others.
func (c *code) deciding() (out []program.ID) {
	seen := make([]bool, len(c.p.Ops))
	var find func(id program.ID)
	find = func(id program.ID) {
		if id == program.None || seen[id] {
			return
		}
		seen[id] = true
		switch op := c.p.Ops[id]; op.Kind {
		case program.Const:
		case program.Not, program.And, program.Or:
			for _, a := range op.Args {
				find(a)
			}
		default:
			out = append(out, id)
		}
	}
	for i := range c.p.Ops {
		if op := &c.p.Ops[i]; c.Ops[i].Use.Live && op.Kind == program.Select {
			find(op.Args[0])
		}
	}
	for _, s := range c.p.States {
		find(s.Enable)
		find(s.Reset)
	}
	return out
}

// walk finds what a way needs, and how much that is.
func (c *code) walk(w *way) int64 {
	for i := range c.p.Ops {
		op := &c.p.Ops[i]
		w.seen[i], w.needed[i], w.known[i] = false, false, w.decided[i]
		of := func(n int) truth { return w.known[op.Args[n]] }
		switch {
		case !op.Bool && op.Type != program.Bool:
		case op.Kind == program.Const && op.K.Sign() != 0:
			w.known[i] = yes
		case op.Kind == program.Const:
			w.known[i] = no
		case op.Kind == program.Not:
			w.known[i] = -of(0)
		case op.Kind == program.And && min(of(0), of(1)) != open:
			w.known[i] = min(of(0), of(1))
		case op.Kind == program.Or && max(of(0), of(1)) != open:
			w.known[i] = max(of(0), of(1))
		}
		w.through[i], w.same[i] = program.None, program.ID(i)
		if c.Ops[i].Use.Live {
			if from := c.passed(w, op); from != program.None {
				w.through[i], w.same[i] = from, w.same[from]
			}
		}
	}
	w.weight = 0
	for i := range c.p.Ops {
		if c.Target.Word == 8 && c.Ops[i].Use.Live && !c.inBranch(program.ID(i)) {
			c.take(w, program.ID(i))
		}
	}
	for _, o := range c.p.Outputs {
		c.take(w, o.Value)
	}
	for i := range c.p.States {
		s := &c.p.States[i]
		reset, enabled := no, yes
		if s.Reset != program.None {
			reset = w.known[s.Reset]
			c.take(w, s.Reset)
		}
		if s.Enable != program.None {
			enabled = w.known[s.Enable]
			c.take(w, s.Enable)
		}
		if w.stored[i] = reset != no || enabled != no; w.stored[i] {
			w.weight += c.storing[i]
		}
		if reset != no {
			c.take(w, s.ResetTo)
		}
		if reset != yes && enabled != no {
			c.take(w, s.Next)
		}
	}
	return w.weight
}

// inBranch tells whether a value stands in the expression of its one reader, and so in a branch where that does.
func (c *code) inBranch(id program.ID) bool {
	op := &c.p.Ops[id]
	return c.Ops[id].Use.Times == 1 && op.Kind > program.State && (c.Ops[id].Use.By == program.None || c.p.Ops[c.Ops[id].Use.By].Section == op.Section)
}

// take notes that a way needs a value.
func (c *code) take(w *way, id program.ID) {
	if w.seen[id] {
		return
	}
	w.seen[id] = true
	op, from := &c.p.Ops[id], w.through[id]
	if from != program.None {
		if op.Kind == program.Select { // a branch
			w.needed[id] = true
			w.weight += c.weight[id]
			c.take(w, op.Args[0])
		}
		c.take(w, from)
		return
	}
	w.needed[id] = true
	w.weight += c.weight[id]
	if c.Target.Word > 8 && op.Kind == program.Round && op.Lo >= -1 && op.Hi <= 1 { // on each way it is one number, as the compiler sees
		chosen := op.Args[0]
		for w.through[chosen] != program.None && c.p.Ops[chosen].Kind == program.Select {
			w.needed[chosen] = true
			c.take(w, c.p.Ops[chosen].Args[0])
			chosen = w.through[chosen]
		}
		if chosen != op.Args[0] {
			return
		}
	}
	for _, a := range op.Args {
		c.take(w, a)
	}
}

// passed is the argument that an operation passes on as it is on a way, or None. The compiler sees it too: it copies code for each
// way, and what is known there makes less of it.
func (c *code) passed(w *way, op *program.FixedOp) program.ID {
	arg := func(n int) *program.FixedOp { return &c.p.Ops[w.same[op.Args[n]]] }
	zero := func(n int) bool { a := arg(n); return a.Kind == program.Const && a.K.Sign() == 0 }
	if op.Kind == program.Select {
		switch w.known[op.Args[0]] {
		case yes:
			return op.Args[1]
		case no:
			return op.Args[2]
		}
	}
	if c.Target.Word == 8 {
		return program.None // forms in assembly do the same on each way
	}
	switch op.Kind {
	case program.Add:
		if zero(0) {
			return op.Args[1]
		}
		if zero(1) {
			return op.Args[0]
		}
	case program.Sub:
		if zero(1) {
			return op.Args[0]
		}
	case program.Clamp:
		if x := arg(0); x.Lo >= arg(1).Hi && x.Hi <= arg(2).Lo {
			return op.Args[0]
		}
	case program.Round:
		if x := arg(0); x.Kind == program.Const || x.Kind == program.Scale && x.K.Num().IsInt64() && x.K.Num().Int64() == 1<<op.Shift {
			return w.same[op.Args[0]]
		}
	case program.Mul, program.Scale:
		for n := range op.Args {
			if zero(n) {
				return op.Args[n]
			}
		}
	}
	return program.None
}

// weigh says what operations and the stores of states take by a table, each for itself, in thousandths: whole numbers add up to the same
// in any order.
func (c *code) weigh(t *Table) {
	f := Features{}
	sum := func() (total int64) {
		for name, n := range f {
			total += int64(1000 * n * t.Costs[name])
		}
		clear(f)
		clear(c.have)
		return total
	}
	c.weight, c.storing = make([]int64, len(c.p.Ops)), make([]int64, len(c.p.States))
	for i := range c.p.Ops {
		if c.Ops[i].Use.Live {
			c.count(f, program.ID(i))
			c.weight[i] = sum()
		}
	}
	for i, s := range c.p.States {
		c.store(f, s.Type, i)
		c.storing[i] = sum()
	}
	clear(c.signed)
}
