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
	twin    []program.ID     // of each real value: an integer form of it whose difference is known
	values  [][2]affine.Form // of each value, stored and asked, in sources and in the symbols of linear states
	motions map[int]motion   // by symbol of a linear state
	drifts  []*apart         // stored less asked, of sources and signals; nil: not worked out
	taps    int
	sizes   []int // of signals: how many linear states they depend on
}

// motion is how a linear state moves: what it becomes, and what it is at the first tick: a value, or where that is None, the start of state n.
type motion struct {
	next, start program.ID
	n           int
}

// NewAsked compares programs that differ in nothing but constants and starts.
func NewAsked(asked, stored *program.Real, d *Differences) (*Asked, error) {
	if err := checkConstantsAlone(asked, stored); err != nil {
		return nil, fmt.Errorf("of the program that was asked for: %w", err)
	}
	a := &Asked{Apart: response.Apart, s: stored, a: asked, d: d, spans: stored.Spans(), twin: make([]program.ID, len(stored.Ops)), values: make([][2]affine.Form, len(stored.Ops)),
		motions: map[int]motion{}, drifts: make([]*apart, len(stored.Ops)), sizes: make([]int, len(stored.Ops)), States: make([]*interval.Range, len(stored.States))}
	for i := range a.twin {
		a.twin[i] = program.None
	}
	for i := range d.p.Ops {
		if g := d.gaps[i]; g.known && !d.t.loose[i] && g.turn == nil {
			a.twin[d.p.Ops[i].Real] = program.ID(i)
		}
	}
	return a, nil
}

// checkConstantsAlone verifies that two real programs differ in constants and starts alone.
func checkConstantsAlone(asked, stored *program.Real) error {
	other := func(what string) error { return fmt.Errorf("it has another %s", what) }
	if asked == nil {
		return fmt.Errorf("there is none")
	}
	if err := checkReal(asked); err != nil {
		return err
	}
	if len(asked.Ops) != len(stored.Ops) || len(asked.States) != len(stored.States) {
		return other("size")
	}
	if err := checkOutside(asked.View(), stored.View()); err != nil {
		return err
	}
	for i, x := range asked.Ops {
		y := &stored.Ops[i]
		free := !x.Bool && (x.Kind == program.Const || x.Kind == program.Scale)
		if x.Kind != y.Kind || x.Index != y.Index || x.Section != y.Section || x.Bool != y.Bool || x.Unit != y.Unit || len(x.Points) != len(y.Points) || !slices.Equal(x.Args, y.Args) || !free && !same(x.K, y.K) {
			return other("value " + x.Name)
		}
	}
	for i, x := range asked.States {
		y := &stored.States[i]
		if x.Section != y.Section || x.Bool != y.Bool || x.Latch != y.Latch || !slices.Equal(x.SumOf, y.SumOf) || x.Next != y.Next || x.Enable != y.Enable || x.Reset != y.Reset || x.ResetTo != y.ResetTo || x.Bool && !equal(x.Start, y.Start) {
			return other("state " + x.Name)
		}
	}
	if err := checkSums(asked.View()); err != nil {
		return err
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

// linear tells whether a state is followed as one that changes linearly with others: with what stands before it or in its section, since only that is
// known when its section is followed.
func (a *Asked) linear(n int) bool {
	s := &a.s.States[n].StateInfo
	return a.States[n] == nil && isLinear(s) && a.s.Ops[s.Next].Section <= s.Section
}

// Section follows one section, with so many taps for each response; earlier ones must be done.
func (a *Asked) Section(section, taps int) {
	span := a.spans[section]
	a.taps = taps
	for i := span.First; i < span.End; i++ {
		a.drifts[i] = nil
		delete(a.motions, i)
		a.values[i] = a.value(program.ID(i))
	}
	for i := span.First; i < span.End; i++ {
		if a.values[i][0].Is(i) && !a.moves(i) {
			g := a.source(program.ID(i))
			a.drifts[i] = &g
		}
	}
	for _, sig := range a.s.Sections[section].Signals {
		g := a.at(sig.Value)
		a.drifts[sig.Value] = &g
		a.sizes[sig.Value] = len(a.moving(a.values[sig.Value]))
	}
}

func (a *Asked) moves(symbol int) bool { _, ok := a.motions[symbol]; return ok }

// value is what a value is in both programs, in sources and linear states; its own symbol where it is no sum of others.
func (a *Asked) value(id program.ID) [2]affine.Form {
	own := [2]affine.Form{affine.Symbol(int(id)), affine.Symbol(int(id))}
	x := &a.s.Ops[id]
	if x.Bool {
		return own
	}
	if n, start, ok := a.state(id); ok {
		a.motions[int(id)] = motion{a.s.States[n].Next, start, n}
		return own
	}
	rule := driftRules[x.Kind].sum
	if rule == nil {
		return own
	}
	var in [2][]affine.Form
	for _, arg := range x.Args {
		f := a.seen(arg, x.Section)
		in[0], in[1] = append(in[0], f[0]), append(in[1], f[1])
	}
	out := [2]affine.Form{rule(x.K, in[0]), rule(a.a.Ops[id].K, in[1])}
	if len(out[0].Terms) > mostTerms || len(out[1].Terms) > mostTerms {
		return own
	}
	return out
}

// state tells whether a value is a linear state, read as it is or with its start chosen: another value at the first tick, and from then on
// a linear state of its section.
func (a *Asked) state(id program.ID) (n int, start program.ID, ok bool) {
	op := &a.s.Ops[id]
	switch op.Kind {
	case program.State:
		return op.Index, program.None, a.linear(op.Index)
	case program.Select:
		s := &a.s.Ops[a.plain(op.Args[2])]
		return s.Index, op.Args[1], s.Kind == program.State && s.Section == op.Section && a.linear(s.Index) && a.once(op.Args[0], a.s.At(op.Section))
	}
	return 0, program.None, false
}

// plain goes back through copies.
func (a *Asked) plain(id program.ID) program.ID {
	for copies(a.s, id) && isCopy(&a.a.Ops[id].Op) {
		id = a.s.Ops[id].Args[0]
	}
	return id
}

// once tells whether a truth value is true in the first tick and never again, in both programs, as what runs by a clock finds it.
func (a *Asked) once(id program.ID, clock program.Clock) bool {
	op := &a.s.Ops[a.plain(id)]
	if at := a.s.At(op.Section); op.Kind != program.State || !op.Bool || at != clock && at.Every != 0 {
		return false
	}
	s := &a.s.States[op.Index]
	next := &a.s.Ops[s.Next]
	return s.Enable == program.None && s.Reset == program.None && isOne(s.Start) && next.Kind == program.Const && next.K.Sign() == 0
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
func (a *Asked) source(id program.ID) apart {
	op := &a.s.Ops[id]
	o := &drifting{Asked: a, id: id, op: op}
	var in []apart
	for _, arg := range op.Args {
		in = append(in, a.at(arg))
	}
	o.operands = operandsOf(in)
	return driftRules[op.Kind].source(o)
}

// drifting is an operation in both real programs, with what is known of the arguments.
type drifting struct {
	operands
	*Asked
	id program.ID
	op *program.RealOp
}

// driftRule is, for a kind whose value is a sum of its arguments times constants, that sum; and how far a value that is not followed as
// a sum has drifted.
type driftRule struct {
	sum    func(k *big.Rat, in []affine.Form) affine.Form
	source func(o *drifting) apart
}

var driftRules = [program.Kinds]driftRule{
	// of truth values: checkConstantsAlone holds constants to be equal
	program.Const: {func(k *big.Rat, _ []affine.Form) affine.Form { return affine.Constant(k) }, by(exactly)},
	program.Input: {nil, by(exactly)},
	program.Coef:  {nil, by(unknown)},
	program.State: {nil, func(o *drifting) apart {
		claim := o.States[o.op.Index]
		if claim == nil {
			return apart{}
		}
		return apart{known: true, r: *claim}.around(circleOf(o.s, o.op.Index))
	}},
	program.Add: {func(_ *big.Rat, in []affine.Form) affine.Form { return in[0].Add(in[1]) }, by(unknown)}, // its form is too long
	program.Sub: {func(_ *big.Rat, in []affine.Form) affine.Form { return in[0].Sub(in[1]) }, by(unknown)},
	program.Scale: {func(k *big.Rat, in []affine.Form) affine.Form { return in[0].Scale(k) }, func(o *drifting) apart {
		if !o.op.Bool {
			return apart{}
		}
		return o.in[0] // a copy of a truth value
	}},
	program.Mul:       {nil, by(decided)},
	program.Round:     {nil, by(unknown)}, // real programs have none
	program.Clamp:     {nil, by(limited)},
	program.Min:       {nil, by(limited)},
	program.Max:       {nil, by(limited)},
	program.Abs:       {nil, by(sized)},
	program.Wrap:      {nil, (*drifting).wrap},
	program.Angle:     {nil, by(decided)},
	program.Less:      {nil, by(decided)},
	program.LessEqual: {nil, by(decided)},
	program.And:       {nil, by(decided)},
	program.Or:        {nil, by(decided)},
	program.Not:       {nil, by(decided)},
	program.Select:    {nil, by(chosen)},
}

func by(rule func(operands) apart) func(o *drifting) apart {
	return func(o *drifting) apart { return rule(o.operands) }
}

func (o *drifting) wrap() apart {
	if !o.known || o.turn != nil && !equal(o.turn, o.op.K) {
		return apart{}
	}
	if stored, ok := o.ranged(o.op.Args[0]); ok && o.turn == nil && awayFromSeam(stored, o.in[0].r, o.op.K) {
		return o.in[0]
	}
	return o.in[0].around(o.op.K)
}

// at is the drift of a value.
func (a *Asked) at(id program.ID) apart {
	if g := a.drifts[id]; g != nil {
		return *g
	}
	return a.of(id)
}

// of works out the drift of a value that is linear in sources, now and at earlier ticks.
func (a *Asked) of(id program.ID) apart {
	v := a.values[id]
	if v[0].C == nil {
		return apart{}
	}
	if t := v[0].Terms; len(t) == 1 && v[0].Is(t[0].Symbol) && v[1].Is(t[0].Symbol) && a.drifts[t[0].Symbol] != nil {
		return *a.drifts[t[0].Symbol] // a copy
	}
	if moving := a.moving(v); len(moving) > 0 {
		return a.filtered(v, moving)
	}
	g := apart{known: true, r: interval.Point(new(big.Rat).Sub(v[0].C, v[1].C))}
	for _, symbol := range symbols(v) {
		from := a.drifts[symbol]
		if from == nil || !from.known || from.turn != nil {
			return apart{}
		}
		ks, ka := v[0].Factor(symbol), v[1].Factor(symbol)
		if k := new(big.Rat).Sub(ks, ka); k.Sign() != 0 {
			in, ok := a.ranged(program.ID(symbol))
			if !ok {
				return apart{}
			}
			g.r = g.r.Add(in.Scale(k))
		}
		g.r = g.r.Add(from.r.Scale(ka))
	}
	return g
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
	s := &a.s.States[n]
	if len(s.SumOf) > 0 {
		if slices.ContainsFunc(s.SumOf, func(at int) bool { return circleOf(a.s, at) != nil }) {
			return nil
		}
		return added(a.States, s.SumOf)
	}
	return after(&s.StateInfo, interval.Point(new(big.Rat).Sub(s.Start, a.a.States[n].Start)), circleOf(a.s, n), a.at)
}

// Signal is how far a signal of the integer program can be from the one asked for; nil where nothing is known. turn is as in
// Differences.Signal.
func (a *Asked) Signal(section, signal int) (r *interval.Range, turn *big.Rat) {
	rounding, around := a.d.Signal(section, signal)
	sig := a.s.Sections[section].Signals[signal]
	g := a.drifts[sig.Value]
	if rounding == nil || g == nil {
		return nil, nil
	}
	drift, turn := g.shown(sig.Angular)
	if drift == nil || turn != nil && around != nil && !equal(around, turn) {
		return nil, nil
	}
	sum := rounding.Add(*drift)
	if around != nil {
		turn = around
	}
	return &sum, turn
}
