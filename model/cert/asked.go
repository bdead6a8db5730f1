package cert

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/response"
)

// Asked follows how far the integer program can be from the program that was asked for, whose constants are those of the spec, both fed with
// the same raw inputs. That is the arithmetic rounding, which Differences knows, and on top of it the drift: how far the stored real
// program is from the one asked for.
//
// The drift of what changes linearly is that of two filters fed alike: the sizes of the difference of their impulse responses,
// times what comes in. Multiplying each value by the change of its constant would say far more, for a filter forgets
// what it was fed.
//
// What is not linear is bounded as in Differences: limits, extremes and sizes move values no further apart, and decisions, products,
// angles and seams need equal values. Live gains are unknown: how far a setting is from its coefficient depends on it.
type Asked struct {
	// Apart is response.Apart; a search may remember what it gave.
	Apart   func(stored, asked response.Filter, taps int) (response.Parting, error)
	States  []*interval.Range // drift of states that are not followed as linear ones; set before Section. nil: linear, or unknown
	s, a    *program.Real     // stored, asked
	d       *Differences      // integer less stored, from the raw inputs, all sections done
	spans   []program.Span
	reader  []program.ID
	twin    []program.ID     // of each real value: an integer form of it whose difference is known
	values  [][2]affine.Form // of each value, stored and asked, in sources and in the symbols of linear states
	motions map[int]motion   // by symbol of a linear state
	drifts  []drift          // of sources and signals
	taps    int
	sizes   []int // of signals: how many linear states they depend on
}

// drift is what is known of stored value less asked value, in units.
type drift struct {
	done, known bool
	r           interval.Range
	turn        *big.Rat // as in gap
}

func (g drift) zero() bool { return g.known && g.turn == nil && g.r.IsZero() }

// motion is how a linear state moves: what it becomes, and what it is at the first tick: a value, or where that is None, the start of state n.
type motion struct {
	next, start program.ID
	n           int
}

// NewAsked compares programs that differ in nothing but constants and starts.
func NewAsked(asked, stored *program.Real, d *Differences) (*Asked, error) {
	if err := checkAlike(asked, stored); err != nil {
		return nil, err
	}
	a := &Asked{Apart: response.Apart, s: stored, a: asked, d: d, spans: stored.Spans(), reader: readers(stored.View()), twin: make([]program.ID, len(stored.Ops)), values: make([][2]affine.Form, len(stored.Ops)),
		motions: map[int]motion{}, drifts: make([]drift, len(stored.Ops)), sizes: make([]int, len(stored.Ops)), States: make([]*interval.Range, len(stored.States))}
	for i := range a.twin {
		a.twin[i] = program.None
	}
	for i := range d.p.Ops {
		if g := d.gaps[i]; g.known && !g.loose && g.turn == nil {
			a.twin[d.p.Ops[i].Real] = program.ID(i)
		}
	}
	return a, nil
}

// checkAlike verifies that two real programs differ in constants and starts alone.
func checkAlike(asked, stored *program.Real) error {
	other := func(what string) error { return fmt.Errorf("the program that was asked for has another %s", what) }
	if asked == nil {
		return fmt.Errorf("there is no program that was asked for")
	}
	if err := checkReal(asked); err != nil {
		return fmt.Errorf("of the program that was asked for: %w", err)
	}
	if len(asked.Ops) != len(stored.Ops) || len(asked.States) != len(stored.States) || len(asked.Sections) != len(stored.Sections) || len(asked.Inputs) != len(stored.Inputs) ||
		len(asked.Coefs) != len(stored.Coefs) || len(asked.Outputs) != len(stored.Outputs) {
		return other("size")
	}
	for i, x := range asked.Sections {
		if len(x.Signals) != len(stored.Sections[i].Signals) {
			return other("signal in " + x.Name)
		}
	}
	if err := checkNames(asked.View(), stored.View()); err != nil {
		return fmt.Errorf("of the program that was asked for: %w", err)
	}
	if err := checkGains(asked.View(), stored.View()); err != nil {
		return fmt.Errorf("of the program that was asked for: %w", err)
	}
	for i, x := range asked.Coefs {
		if y := stored.Coefs[i]; x.Gain != y.Gain || !equal(x.Factor, y.Factor) {
			return other("coefficient " + x.Name)
		}
	}
	for i, x := range asked.Ops {
		y := stored.Ops[i]
		free := !x.Bool && (x.Kind == program.Const || x.Kind == program.Scale)
		same := x.K == nil && y.K == nil || equal(x.K, y.K) || free && x.K != nil && y.K != nil
		if x.Kind != y.Kind || x.Index != y.Index || x.Section != y.Section || x.Bool != y.Bool || x.Unit != y.Unit || !slices.Equal(x.Args, y.Args) || !same {
			return other("value " + x.Name)
		}
	}
	for i, x := range asked.States {
		y := stored.States[i]
		if x.Section != y.Section || x.Bool != y.Bool || x.Latch != y.Latch || x.Next != y.Next || x.Enable != y.Enable || x.Reset != y.Reset || x.ResetTo != y.ResetTo || x.Start == nil || y.Start == nil ||
			x.Bool && !equal(x.Start, y.Start) {
			return other("state " + x.Name)
		}
	}
	for i, x := range asked.Outputs {
		if stored.Outputs[i].Value != x.Value {
			return other("output " + x.Name)
		}
	}
	for i, x := range asked.Sections {
		if !slices.EqualFunc(x.Signals, stored.Sections[i].Signals, func(p, q program.Signal) bool { return p.Value == q.Value }) {
			return other("signal in " + x.Name)
		}
	}
	return nil
}

// linear tells whether a state is followed as one that changes linearly with others.
func (a *Asked) linear(n int) bool {
	s := a.s.States[n]
	return a.States[n] == nil && !s.Bool && s.Enable == program.None && s.Reset == program.None
}

// Section follows one section, with so many taps for each response; earlier ones must be done.
func (a *Asked) Section(section, taps int) {
	span := a.spans[section]
	a.taps = taps
	for i := span.First; i < span.End; i++ {
		a.drifts[i] = drift{}
		delete(a.motions, i)
		a.values[i] = a.value(program.ID(i))
	}
	for i := span.First; i < span.End; i++ {
		if f := a.values[i][0]; f.Is(i) && !a.moves(i) {
			a.drifts[i] = a.source(program.ID(i))
		}
	}
	for _, sig := range a.s.Sections[section].Signals {
		if g := &a.drifts[sig.Value]; !g.done {
			*g = a.of(sig.Value, section)
		}
		a.sizes[sig.Value] = len(a.moving(a.values[sig.Value]))
	}
}

func (a *Asked) moves(sym int) bool { _, ok := a.motions[sym]; return ok }

// value is what a value is in both programs, in sources and linear states.
func (a *Asked) value(id program.ID) [2]affine.Form {
	x, y := &a.s.Ops[id], &a.a.Ops[id]
	own := [2]affine.Form{affine.Symbol(int(id)), affine.Symbol(int(id))}
	if x.Bool {
		return own
	}
	arg := func(i int) [2]affine.Form { return a.seen(x.Args[i], x.Section) }
	var out [2]affine.Form
	switch x.Kind {
	case program.Const:
		return [2]affine.Form{affine.Constant(x.K), affine.Constant(y.K)}
	case program.Add:
		p, q := arg(0), arg(1)
		out = [2]affine.Form{p[0].Add(q[0]), p[1].Add(q[1])}
	case program.Sub:
		p, q := arg(0), arg(1)
		out = [2]affine.Form{p[0].Sub(q[0]), p[1].Sub(q[1])}
	case program.Scale:
		p := arg(0)
		out = [2]affine.Form{p[0].Scale(x.K), p[1].Scale(y.K)}
	case program.State:
		if a.linear(x.Index) {
			a.motions[int(id)] = motion{a.s.States[x.Index].Next, program.None, x.Index}
		}
		return own
	case program.Select:
		if n, ok := a.begun(id); ok {
			a.motions[int(id)] = motion{a.s.States[n].Next, x.Args[1], n}
		}
		return own
	default:
		return own
	}
	if len(out[0].Terms) > mostTerms || len(out[1].Terms) > mostTerms {
		return own
	}
	return out
}

// begun tells whether a choice is the start of a filter: another value at the first tick, and from then on a linear state of its section.
func (a *Asked) begun(id program.ID) (state int, ok bool) {
	op := &a.s.Ops[id]
	of := a.plain(op.Args[2])
	s := &a.s.Ops[of]
	if s.Kind != program.State || s.Section != op.Section || !a.linear(s.Index) || !a.once(op.Args[0]) {
		return 0, false
	}
	return s.Index, true
}

// plain goes back through copies.
func (a *Asked) plain(id program.ID) program.ID {
	for isCopy(&a.s.Ops[id].Op) && isCopy(&a.a.Ops[id].Op) {
		id = a.s.Ops[id].Args[0]
	}
	return id
}

// once tells whether a truth value is true in the first tick and never again, in both programs.
func (a *Asked) once(id program.ID) bool {
	op := &a.s.Ops[a.plain(id)]
	if op.Kind != program.State || !op.Bool {
		return false
	}
	s := a.s.States[op.Index]
	next := &a.s.Ops[s.Next]
	return s.Enable == program.None && s.Reset == program.None && s.Start.Cmp(big.NewRat(1, 1)) == 0 && next.Kind == program.Const && next.K.Sign() == 0
}

// mostMoving is how many linear states a response may have; a longer chain of filters is cut where it passes a signal whose drift is
// known, and what crosses the cut counts as a source.
const mostMoving = 24

// seen is a value as a section reads it.
func (a *Asked) seen(id program.ID, section int) [2]affine.Form {
	of := a.s.Ops[id].Section
	if of == section || a.sizes[id]+a.states(section) <= mostMoving {
		return a.values[id]
	}
	return [2]affine.Form{affine.Symbol(int(id)), affine.Symbol(int(id))}
}

func (a *Asked) states(section int) (n int) {
	for _, s := range a.s.States {
		if s.Section == section {
			n++
		}
	}
	return n
}

// moving lists the linear states that a value depends on, now or at earlier ticks, in order of discovery.
func (a *Asked) moving(v [2]affine.Form) (out []int) {
	found := map[int]bool{}
	add := func(v [2]affine.Form) {
		for _, f := range v {
			for _, t := range f.Terms {
				if a.moves(t.Symbol) && !found[t.Symbol] {
					found[t.Symbol] = true
					out = append(out, t.Symbol)
				}
			}
		}
	}
	add(v)
	for i := 0; i < len(out) && len(out) <= 2*mostMoving; i++ {
		m, section := a.motions[out[i]], a.s.Ops[out[i]].Section
		add(a.seen(m.next, section))
		if m.start != program.None {
			add(a.seen(m.start, section))
		}
	}
	return out
}

// ranged is the range of a stored value, from those of its integer form; ok is false where nothing is known.
func (a *Asked) ranged(id program.ID) (r interval.Range, ok bool) {
	z := a.twin[id]
	if z == program.None {
		z = a.twin[a.plain(id)]
	}
	if z == program.None {
		return r, false
	}
	return a.d.ranges[z].Scale(a.d.p.Ops[z].LSB).Sub(a.d.gaps[z].r), true
}

// source is the drift of a value that is not linear in others.
func (a *Asked) source(id program.ID) drift {
	x := &a.s.Ops[id]
	unknown := drift{done: true}
	fresh := func(r interval.Range) drift { return drift{done: true, known: true, r: r} }
	none := fresh(interval.Point(new(big.Rat)))
	in := make([]drift, len(x.Args))
	known, same := true, true
	var turn *big.Rat
	for i, arg := range x.Args {
		in[i] = a.at(arg, x.Section)
		known, same = known && in[i].known, same && in[i].zero()
		if t := in[i].turn; t != nil {
			known = known && (turn == nil || equal(turn, t))
			turn = t
		}
	}
	hull := interval.Point(new(big.Rat))
	for _, g := range in {
		if g.known {
			hull = hull.Hull(g.r)
		}
	}
	switch x.Kind {
	case program.Const, program.Input: // of truth values: checkAlike holds constants to be equal
		return none
	case program.State:
		claim := a.States[x.Index]
		if claim == nil {
			return unknown
		}
		g := fresh(*claim)
		if !g.zero() {
			g.turn = a.angular(x.Index)
		}
		return g
	case program.Scale: // a copy of a truth value
		return in[0]
	case program.Wrap:
		if !known || turn != nil && !equal(turn, x.K) {
			return unknown
		}
		if same {
			return none
		}
		if g := fresh(in[0].r); turn == nil && a.awayFromSeam(x, in[0].r) {
			return g
		}
		g := fresh(in[0].r)
		g.turn = x.K
		return g
	case program.Mul, program.Angle, program.Less, program.LessEqual, program.And, program.Or, program.Not:
		if !known || !same {
			return unknown
		}
		return none
	case program.Select:
		if !known || !in[0].zero() {
			return unknown
		}
		g := fresh(in[1].r.Hull(in[2].r).Hull(interval.Point(new(big.Rat))))
		g.turn = turn
		return g
	case program.Clamp, program.Min, program.Max:
		if !known || turn != nil {
			return unknown
		}
		return fresh(hull)
	case program.Abs:
		if !known || turn != nil {
			return unknown
		}
		return fresh(hull.Hull(hull.Neg()))
	}
	return unknown // a live gain; a value whose form is too long
}

// awayFromSeam tells whether neither program ever takes a turn off.
func (a *Asked) awayFromSeam(op *program.RealOp, r interval.Range) bool {
	stored, ok := a.ranged(op.Args[0])
	if !ok {
		return false
	}
	half := new(big.Rat).Quo(op.K, big.NewRat(2, 1))
	both := stored.Hull(stored.Sub(r))
	return both.Lo.Cmp(new(big.Rat).Neg(half)) >= 0 && both.Hi.Cmp(half) < 0
}

// angular is the turn of the circle that a state lives on, or nil.
func (a *Asked) angular(n int) *big.Rat {
	if op := a.s.Ops[a.s.States[n].Next]; op.Kind == program.Wrap {
		return op.K
	}
	return nil
}

// at is the drift of a value as a section reads it.
func (a *Asked) at(id program.ID, section int) drift {
	if g := a.drifts[id]; g.done {
		return g
	}
	return a.of(id, section)
}

// of works out the drift of a value that is linear in sources, now and at earlier ticks.
func (a *Asked) of(id program.ID, section int) drift {
	v := a.values[id]
	if v[0].C == nil {
		return drift{done: true}
	}
	if t := v[0].Terms; len(t) == 1 && v[0].Is(t[0].Symbol) && v[1].Is(t[0].Symbol) && a.drifts[t[0].Symbol].done {
		return a.drifts[t[0].Symbol] // a copy
	}
	if moving := a.moving(v); len(moving) > 0 {
		return a.filtered(v, moving)
	}
	r := interval.Point(new(big.Rat).Sub(v[0].C, v[1].C))
	for _, sym := range symbols(v) {
		g := a.drifts[sym]
		if !g.known || g.turn != nil {
			return drift{done: true}
		}
		ks, ka := v[0].Factor(sym), v[1].Factor(sym)
		if k := new(big.Rat).Sub(ks, ka); k.Sign() != 0 {
			in, ok := a.ranged(program.ID(sym))
			if !ok {
				return drift{done: true}
			}
			r = r.Add(in.Scale(k))
		}
		r = r.Add(g.r.Scale(ka))
	}
	return drift{done: true, known: true, r: r}
}

// symbols lists the symbols of two forms.
func symbols(v [2]affine.Form) (out []int) {
	for _, f := range v {
		for _, t := range f.Terms {
			if !slices.Contains(out, t.Symbol) {
				out = append(out, t.Symbol)
			}
		}
	}
	return out
}

// After is the drift that a tick, a reset or the start leads state n to; nil where nothing is known. Linear states have none of their own.
func (a *Asked) After(n int) *interval.Range {
	s := a.s.States[n]
	out := interval.Point(new(big.Rat).Sub(s.Start, a.a.States[n].Start))
	around := false
	for _, id := range []program.ID{s.Next, s.ResetTo} {
		if id == program.None {
			continue
		}
		g := a.at(id, s.Section)
		if !g.known || g.turn != nil && !equal(g.turn, a.angular(n)) {
			return nil
		}
		around = around || g.turn != nil
		out = out.Hull(g.r)
	}
	for _, c := range []program.ID{s.Enable, s.Reset} {
		if c != program.None && !a.at(c, s.Section).zero() {
			return nil
		}
	}
	if around && out.IsZero() {
		return nil
	}
	return &out
}

// Signal is how far a signal of the integer program can be from the one asked for; nil where nothing is known. turn is as in
// Differences.Signal.
func (a *Asked) Signal(section, signal int) (r *interval.Range, turn *big.Rat) {
	rounding, around := a.d.Signal(section, signal)
	sig := a.s.Sections[section].Signals[signal]
	g := a.drifts[sig.Value]
	if rounding == nil || !g.done || !g.known || g.turn != nil && (!equal(g.turn, sig.Angular) || around != nil && !equal(around, g.turn)) {
		return nil, nil
	}
	if turn = around; turn == nil {
		turn = g.turn
	}
	sum := rounding.Add(g.r)
	return &sum, turn
}
