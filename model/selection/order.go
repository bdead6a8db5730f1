package selection

import (
	"slices"

	"gainwright/model/program"
)

// Block is statements that belong together: those of a section, or of none.
type Block struct {
	Section    int           // or NoSection: before, between or behind them
	Clock      program.Clock // at which ticks it is come by
	Statements []Statement
}

// Run is blocks behind one another that are come by at the same ticks. What is computed there stands in locals; what is read elsewhere is held, where
// it is not computed at each tick.
type Run struct {
	Clock  program.Clock
	Blocks []Block
	Held   []program.ID // in order
}

// NoSection is the section of a block that belongs to none.
const NoSection = -1

// Statement is one step of a tick.
type Statement struct {
	Kind StatementKind
	At   int // the operation, group of states or output
}

// StatementKind is what a statement does.
type StatementKind uint8

// The kinds of statements.
const (
	Define StatementKind = iota // computes an operation that is not inline
	Latch                       // takes the set of live coefficients of this tick
	Store                       // moves a group of states on
	Output                      // hands out an output
)

// earlyBytes is how many bytes of inputs a small part has registers for while it computes with them.
const earlyBytes = 6

// Early tells whether all inputs are read before anything is computed: the pointer's registers are free from there on.
func (s *Selection) Early() bool {
	bytes := uint(0)
	for i := range s.Ops {
		if s.Ops[i].Form == Input {
			bytes += max(s.Program.Ops[i].Type.Bits()/8, 1)
		}
	}
	return s.Target.Forms && bytes <= earlyBytes
}

// Has tells whether some operation has a form.
func (s *Selection) Has(form Form) bool {
	return slices.ContainsFunc(s.Ops, func(o Operation) bool { return o.Form == form })
}

// Spills tells whether some value has 64 bits: more than a small part has registers for.
func (s *Selection) Spills() bool {
	for i := range s.Ops {
		if s.Ops[i].Use.Live && s.Program.Ops[i].Type == program.I64 {
			return true
		}
	}
	return false
}

// Local tells whether an operation is computed by a statement of its own.
func (s *Selection) Local(id program.ID) bool {
	o := &s.Ops[id]
	return o.Use.Live && !o.Inline && s.Program.Ops[id].Kind != program.Const
}

// order puts statements in order. Each value is computed where it is first needed and each state is
// stored as soon as nothing needs its old value, so that few values are alive at a time: small parts
// have few registers.
type order struct {
	*Selection
	blocks  []Block
	done    []bool // operations that are computed
	stored  []bool // groups of states
	given   []bool // outputs
	latched bool
	in      map[int][]program.ID // operations by section
	before  [][]program.ID       // what comes before the store of a group
	clock   program.Clock        // of the block
}

// Blocks are the statements of a tick, in order. A section that nothing depends on has no block.
func (s *Selection) Blocks() []Block {
	w := &order{Selection: s, done: make([]bool, len(s.Ops)), stored: make([]bool, len(s.Groups)), given: make([]bool, len(s.Program.Outputs)),
		in: map[int][]program.ID{}}
	for i := range s.Ops {
		at := max(s.Program.Ops[i].Section, NoSection)
		w.in[at] = append(w.in[at], program.ID(i))
	}
	w.findBefore()
	w.begin(NoSection)
	if s.Early() {
		for i := range s.Ops {
			if s.Ops[i].Form == Input && !s.Ops[i].Inline {
				w.define(program.ID(i))
			}
		}
	}
	w.begin(NoSection)
	w.place(NoSection)
	for section := range s.Program.Sections {
		if !w.lives(section) {
			continue
		}
		if clock := s.Program.Sections[section].Clock; clock != w.clock {
			w.turn(section, clock)
		}
		w.begin(section)
		w.place(section)
		if w.clock.Every == 0 {
			w.outputs(false)
		}
	}
	w.clock = program.Clock{}
	w.begin(NoSection)
	w.stores(func(int) bool { return true })
	for n := range w.Groups { // what takes a value of a later section
		if !w.stored[n] {
			if w.clock = w.clockOf(n); w.blocks[len(w.blocks)-1].Clock != w.clock {
				w.begin(NoSection)
			}
			w.stores(func(group int) bool { return group == n })
		}
	}
	w.clock = program.Clock{}
	w.begin(NoSection)
	w.outputs(true)
	return w.blocks
}

func (w *order) begin(section int) {
	w.blocks = append(w.blocks, Block{Section: section, Clock: w.clock})
}

// clockOf is the clock of a group of states.
func (w *order) clockOf(group int) program.Clock {
	return w.Program.At(w.Program.States[w.Groups[group][0]].Section)
}

// turn comes to sections of another clock. What they read, and others may read too, is read before them: at each tick.
func (w *order) turn(section int, clock program.Clock) {
	w.clock = program.Clock{}
	if clock.Every == 0 {
		return
	}
	w.begin(NoSection)
	for s := section; s < len(w.Program.Sections) && (w.Program.Sections[s].Clock == clock || !w.lives(s)); s++ {
		for _, id := range w.in[s] {
			if w.Ops[id].Form == Coef && w.Ops[id].Use.Live && !w.latched {
				w.latched = true
				w.add(Latch, 0)
			}
			if w.Local(id) {
				w.everyTick(w.operands(id))
			}
		}
		for n := range w.Groups {
			if w.Program.States[w.Groups[n][0]].Section == s {
				w.everyTick(w.before[n])
			}
		}
	}
	w.clock = clock
}

// everyTick computes those values that are computed at each tick.
func (w *order) everyTick(ids []program.ID) {
	for _, id := range ids {
		if w.Program.ClockOf(id).Every == 0 {
			w.define(id)
		}
	}
}

// Runs are the statements of a tick by the ticks at which they are come by.
func (s *Selection) Runs() (runs []Run) {
	at := map[program.ID]int{} // the run that computes a value
	for _, b := range s.Blocks() {
		if b.Section == NoSection && len(b.Statements) == 0 {
			continue
		}
		if n := len(runs) - 1; n < 0 || runs[n].Clock != b.Clock {
			runs = append(runs, Run{Clock: b.Clock})
		}
		r := &runs[len(runs)-1]
		r.Blocks = append(r.Blocks, b)
		for _, t := range b.Statements {
			if t.Kind == Define {
				at[program.ID(t.At)] = len(runs) - 1
			}
		}
	}
	held := map[program.ID]bool{}
	for n, r := range runs {
		read := func(ids []program.ID) {
			for _, id := range ids {
				if from, is := at[id]; is && from != n && runs[from].Clock.Every != 0 && !held[id] {
					held[id] = true
					runs[from].Held = append(runs[from].Held, id)
				}
			}
		}
		for _, b := range r.Blocks {
			for _, t := range b.Statements {
				switch t.Kind {
				case Define:
					read(s.operands(program.ID(t.At)))
				case Store:
					for _, id := range s.needs(s.Groups[t.At]) {
						read(s.seen(id))
					}
				case Output:
					read(s.seen(s.Program.Outputs[t.At].Value))
				}
			}
		}
	}
	for n := range runs {
		slices.Sort(runs[n].Held)
	}
	return runs
}

// seen is a value that is read, or what it is made of where it stands in the expression of its reader.
func (s *Selection) seen(id program.ID) []program.ID {
	if s.Ops[id].Inline {
		return s.operands(id)
	}
	return []program.ID{id}
}

func (w *order) add(kind StatementKind, at int) {
	b := &w.blocks[len(w.blocks)-1]
	b.Statements = append(b.Statements, Statement{kind, at})
}

// place orders what stands in one section, or outside all.
func (w *order) place(section int) {
	for _, id := range w.in[section] {
		if w.Local(id) && !w.awaited(id) {
			w.define(id)
			w.stores(w.storable)
		}
	}
	if w.clock.Every != 0 { // what others read is what it was in this run
		for _, id := range w.in[section] {
			if w.Local(id) {
				w.define(id)
			}
		}
	}
	w.stores(func(n int) bool { // what is taken, and what reads the old states, stands in sections up to this one
		return !slices.ContainsFunc(w.before[n], func(id program.ID) bool { return w.Program.Ops[id].Section > section })
	})
}

// awaited tells whether an operation waits until a reader asks for it: reads of inputs, states and
// coefficients, and what has one reader in the section, whose line comes right behind.
func (w *order) awaited(id program.ID) bool {
	op, u := &w.Program.Ops[id], w.Ops[id].Use
	switch op.Kind {
	case program.Input, program.State, program.Coef:
		return true
	}
	return u.Times == 1 && u.By != program.None && w.Program.Ops[u.By].Section == op.Section
}

// define computes an operation, and what it needs before it.
func (w *order) define(id program.ID) {
	if w.done[id] {
		return
	}
	w.done[id] = true
	for _, a := range w.operands(id) {
		w.define(a)
	}
	if w.Ops[id].Form == Coef && !w.latched {
		w.latched = true
		w.add(Latch, 0)
	}
	w.add(Define, int(id))
}

// operands lists what the expression of an operation needs before it, inlined operations seen through, in the
// order to compute it in: what a sum starts with is read last, into the place where the sum is to be.
func (s *Selection) operands(id program.ID) []program.ID {
	var ids []program.ID
	args := s.Program.Ops[id].Args
	if len(args) == 2 && s.Ops[args[1]].Inline && s.Ops[args[0]].Form == State {
		args = []program.ID{args[1], args[0]}
	}
	for _, a := range args {
		if s.Ops[a].Inline {
			ids = append(ids, s.operands(a)...)
		} else if s.Program.Ops[a].Kind != program.Const {
			ids = append(ids, a)
		}
	}
	return ids
}

// lives tells whether a section has an operation that is emitted, or hands on a value of another.
func (w *order) lives(section int) bool {
	return slices.ContainsFunc(w.in[section], func(id program.ID) bool { return w.Ops[id].Use.Live }) ||
		slices.ContainsFunc(w.Program.Sections[section].Signals, func(sig program.Signal) bool { return w.Ops[sig.Value].Use.Live })
}

// stores stores the groups of states that may be.
func (w *order) stores(may func(group int) bool) {
	for n := range w.Groups {
		if w.stored[n] || w.clockOf(n) != w.clock || !may(n) {
			continue
		}
		w.stored[n] = true
		for _, id := range w.before[n] {
			w.define(id)
		}
		w.add(Store, n)
	}
}

// storable tells whether all that a group takes is there, and nobody still waits to read an old state of it.
func (w *order) storable(n int) bool {
	return !slices.ContainsFunc(w.before[n], func(id program.ID) bool { return !w.done[id] })
}

// findBefore lists for each group the operations that come before its store: what it takes, and the reads of its old
// states.
func (w *order) findBefore() {
	reads := make([][]program.ID, len(w.Program.States))
	for i := range w.Ops {
		if w.Ops[i].Form == State {
			at := program.ID(i)
			for w.Ops[at].Inline { // it is read where its reader is computed
				at = w.Ops[at].Use.By
			}
			index := w.Program.Ops[i].Index
			reads[index] = append(reads[index], at)
		}
	}
	for _, g := range w.Groups {
		ids := []program.ID{}
		for _, id := range w.needs(g) {
			switch {
			case w.Ops[id].Inline:
				ids = append(ids, w.operands(id)...)
			case w.Program.Ops[id].Kind != program.Const:
				ids = append(ids, id)
			}
		}
		taken := len(ids)
		for _, n := range g {
			ids = append(ids, reads[n]...)
		}
		slices.Sort(ids[taken:])
		w.before = append(w.before, ids)
	}
}

// outputs hands out those that are there, with rest all that are left.
func (w *order) outputs(rest bool) {
	for i, o := range w.Program.Outputs {
		if w.given[i] || !rest && !w.done[o.Value] {
			continue
		}
		w.given[i] = true
		if w.Program.Ops[o.Value].Kind != program.Const {
			w.define(o.Value)
		}
		w.add(Output, i)
	}
}
