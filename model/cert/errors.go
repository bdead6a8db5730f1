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

// gap is what is known of a difference integer value less real value, in units.
type gap struct {
	known bool // false: nothing is known
	form  affine.Form
	alt   *affine.Form // not nil: the difference lies between form and alt, see limited
	by    program.ID   // the limit that decides where
	r     interval.Range
	turn  *big.Rat // not nil: the two values may lie on different sides of a circle's seam, and the difference is modulo this turn
	loose bool     // whole turns are still to be taken off: for the next stage of a wrap alone
}

// zero tells whether the two values are equal; a difference of 0 around a circle is no such thing.
func (g gap) zero() bool { return g.known && g.turn == nil && g.r.IsZero() }

// Differences follows the arithmetic rounding through an integer program beside its real program.
// On the way it verifies that each integer operation does what its real counterpart does with the
// stored constant: a translation that is wrong gives an error, not a wrong bound.
type Differences struct {
	// Sums is response.Sums; a search may remember what it gave.
	Sums   func(a, columns [][]*big.Rat, own, taps int) ([][]response.Sum, float64, error)
	States []*interval.Range // of each state, set before Section; nil: unknown
	p      *program.Fixed
	q      *program.Real
	ranges []interval.Range // of the integer values
	gaps   []gap
	left   []interval.Range // by rounding: residues, where asked for
	chain  bool
	spans  []program.Span
	signal map[program.ID]bool
	reader []program.ID
	part   []int
	linear [][]int
	next   [][]int
	taps   []int
}

// NewDifferences compares from equal starts. ranges are those of the integer program's values.
// chain false: each section's real counterpart is fed with the integer program's own signals.
func NewDifferences(stored *program.Real, integer *program.Fixed, ranges []interval.Range, chain bool) *Differences {
	d := &Differences{Sums: response.Sums, p: integer, q: stored, ranges: ranges, chain: chain, gaps: make([]gap, len(integer.Ops)), left: make([]interval.Range, len(integer.Ops)), spans: integer.Spans(), signal: signals(integer.View()), reader: readers(integer.View()), part: parts(integer.View(), nil), linear: linears(integer.View()), States: make([]*interval.Range, len(integer.States))}
	d.next = linearNext(integer.View(), d.linear)
	for i := range d.States {
		d.States[i] = &interval.Range{Lo: new(big.Rat), Hi: new(big.Rat)}
	}
	return d
}

// UseLinear marks the sections whose linear states have facts of the second kind: taps by section, 0 for none, below 0 for a section that
// begins a part of its own.
func (d *Differences) UseLinear(taps []int) {
	d.taps, d.part = slices.Clone(taps), parts(d.p.View(), taps)
}

func exactly() gap {
	return gap{known: true, form: affine.Constant(new(big.Rat)), r: interval.Point(new(big.Rat))}
}

// After is the difference that a tick, a reset or the start leads state n to; nil where nothing is known.
func (d *Differences) After(n int) *interval.Range {
	s := d.p.States[n]
	zero := interval.Point(new(big.Rat))
	out := &zero
	around := false
	join := func(id program.ID) {
		g := d.seen(id, s.Section)
		if !g.known || g.loose || out == nil || g.turn != nil && !equal(g.turn, d.angular(n)) {
			out = nil
			return
		}
		around = around || g.turn != nil
		r := out.Hull(g.r)
		out = &r
	}
	join(s.Next)
	for _, c := range []program.ID{s.Enable, s.Reset} {
		if c != program.None && !d.seen(c, s.Section).zero() {
			return nil
		}
	}
	if s.Reset != program.None {
		join(s.ResetTo)
	}
	if out != nil && around && out.IsZero() {
		return nil // a claim of 0 says equal, not equal but for whole turns
	}
	return out
}

// angular is the turn of the circle that state n lives on, or nil: its next value is wrapped.
func (d *Differences) angular(n int) *big.Rat {
	op := d.q.Ops[d.q.States[d.p.States[n].Real].Next]
	if op.Kind == program.Wrap {
		return op.K
	}
	return nil
}

// Signal is the difference of a signal; nil where nothing is known. Where turn is not nil, the difference is that around a circle of
// this turn: whole turns may come on top. A signal that does not live on that circle is a number on a line, of which
// nothing is known then.
func (d *Differences) Signal(section, signal int) (r *interval.Range, turn *big.Rat) {
	sig := d.p.Sections[section].Signals[signal]
	g := d.gaps[sig.Value]
	if !g.known || g.loose || g.turn != nil && !equal(g.turn, sig.Angular) {
		return nil, nil
	}
	return &g.r, g.turn
}

// Form is a difference as a section sees it, of what was found last; known is false where nothing is.
func (d *Differences) Form(a program.ID, section int) (f affine.Form, known bool) {
	g := d.seen(a, section)
	return g.form, g.known
}

func (d *Differences) seen(a program.ID, section int) gap {
	if d.p.Ops[a].Section == section {
		return d.gaps[a]
	}
	if !d.chain {
		return exactly()
	}
	g := d.gaps[a]
	if g.loose {
		return gap{}
	}
	if g.known && !g.zero() && d.part[d.p.Ops[a].Section] != d.part[section] {
		g.form, g.alt = affine.Symbol(int(a)), nil
	}
	return g
}

// Of is where a symbol of the differences' forms lies: a value's difference or, below 0, what a rounding adds.
func (d *Differences) Of(sym int) interval.Range {
	if sym >= 0 {
		return d.gaps[sym].r
	}
	id := -1 - sym
	if d.left[id].Lo == nil {
		d.left[id] = d.residues(&d.p.Ops[id])
	}
	return d.left[id]
}

// residues is what a rounding can add, in units.
func (d *Differences) residues(op *program.FixedOp) interval.Range {
	return left(op.Shift).Scale(op.LSB)
}

// Section follows one section; earlier ones must be done.
func (d *Differences) Section(section int) error {
	for i := d.spans[section].First; i < d.spans[section].End; i++ {
		g, err := d.op(program.ID(i), section)
		if err != nil {
			return err
		}
		if g.known {
			if g.alt != nil || len(g.form.Terms) != 1 || g.form.Terms[0].Symbol != i {
				g.r = g.narrower(g.bounds(d.Of))
			}
			if len(g.form.Terms) > mostTerms || g.alt != nil && len(g.alt.Terms) > mostTerms {
				g.form, g.alt = affine.Symbol(i), nil
			}
		}
		for _, n := range d.next[i] {
			if !marked(d.taps, section) || d.States[n] == nil || !g.known || g.turn != nil || g.alt != nil || g.form.Is(i) {
				continue // its own symbol enters the recursion: its range must not rest on what the recursion is to prove
			}
			if both, ok := g.r.Meet(*d.States[n]); ok {
				g.r = both
			}
		}
		d.gaps[i] = g
	}
	return nil
}

// narrower is what two intervals that both hold the difference say of it. Around a circle they may speak of different turns, so that what
// they share need not hold it: the smaller one is taken.
func (g gap) narrower(b interval.Range) interval.Range {
	if g.turn != nil {
		if width(b).Cmp(width(g.r)) < 0 {
			return b
		}
		return g.r
	}
	if both, ok := g.r.Meet(b); ok {
		return both
	}
	return g.r
}

func width(r interval.Range) *big.Rat { return new(big.Rat).Sub(r.Hi, r.Lo) }

// fresh is a value whose difference lies in r and is correlated with nothing.
func fresh(id program.ID, r interval.Range) gap {
	if r.IsZero() {
		return exactly()
	}
	return gap{known: true, form: affine.Symbol(int(id)), r: r}
}

func (d *Differences) op(id program.ID, section int) (gap, error) {
	op := &d.p.Ops[id]
	real := &d.q.Ops[op.Real]
	wrong := func(why string) (gap, error) {
		return gap{}, fmt.Errorf("value %s does not do what %s of the real program does: %s", op.Name, real.Name, why)
	}
	in := make([]gap, len(op.Args))
	known, same := true, true
	var turn *big.Rat // of the circle that an argument's difference goes around
	for i, a := range op.Args {
		if d.p.Ops[a].Section != section && !d.signal[a] {
			return wrong(fmt.Sprintf("%s crosses sections and is no signal", d.p.Ops[a].Name))
		}
		in[i] = d.seen(a, section)
		if in[i].loose && op.Kind != program.Wrap {
			return wrong("it reads a half-wrapped value")
		}
		known = known && in[i].known
		same = same && in[i].zero()
		if t := in[i].turn; t != nil {
			known = known && (turn == nil || equal(turn, t))
			turn = t
		}
	}
	if len(op.Args) == 1 && d.converts(op) {
		a := d.p.Ops[op.Args[0]]
		g := in[0]
		switch {
		case op.Kind == program.Scale && equal(mul(op.K, op.LSB), a.LSB):
			return g, nil
		case op.Kind == program.Round && equal(mul(new(big.Rat).SetInt(pow2(op.Shift)), a.LSB), op.LSB):
			if !g.known {
				return gap{}, nil
			}
			g = g.each(func(f affine.Form) affine.Form { return f.Add(affine.Symbol(Residue(id))) })
			g.r = g.r.Add(d.residues(op))
			return g, nil
		}
		return wrong("a change of format changes the value")
	}
	if op.Kind != real.Kind || op.Section != real.Section || len(op.Args) != len(real.Args) {
		return wrong("it is another operation")
	}
	for i, a := range op.Args {
		if !d.standsFor(a, real.Args[i]) && !in[i].loose {
			return wrong(fmt.Sprintf("argument %d is another value", i+1))
		}
	}
	aligned := func(from int) bool { // arguments share the result's format
		for _, a := range op.Args[from:] {
			if !equal(d.p.Ops[a].LSB, op.LSB) {
				return false
			}
		}
		return true
	}
	unknown := gap{}
	switch op.Kind {
	case program.Const:
		if !equal(mul(op.K, op.LSB), real.K) {
			return wrong("the constant differs")
		}
		return exactly(), nil
	case program.Input:
		if op.Index != real.Index || !equal(op.LSB, d.q.Inputs[op.Index].LSB) {
			return wrong("the input's format differs")
		}
		return exactly(), nil
	case program.Coef:
		if op.Index != real.Index || !equal(op.LSB, d.p.Coefs[op.Index].LSB) {
			return wrong("the coefficient's format differs")
		}
		return exactly(), nil
	case program.State:
		s := d.p.States[op.Index]
		if s.Real != real.Index || !equal(op.LSB, s.LSB) {
			return wrong("the state's format differs")
		}
		if d.States[op.Index] == nil {
			return unknown, nil
		}
		g := gap{known: true, form: affine.Symbol(int(id)), r: *d.States[op.Index]}
		if !g.zero() {
			g.turn = d.angular(op.Index)
		}
		return g, nil
	case program.Scale:
		if !equal(mul(op.K, op.LSB), mul(real.K, d.p.Ops[op.Args[0]].LSB)) {
			return wrong("the factor differs")
		}
		if !known || turn != nil {
			return unknown, nil
		}
		g := in[0].each(func(f affine.Form) affine.Form { return f.Scale(real.K) })
		g.r = g.r.Scale(real.K)
		return g, nil
	case program.Mul:
		a, b := &d.p.Ops[op.Args[0]], &d.p.Ops[op.Args[1]]
		if !equal(op.LSB, mul(a.LSB, b.LSB)) {
			return wrong("the formats do not multiply")
		}
		if !known || turn != nil {
			return unknown, nil
		}
		// A*B - (A - da)*(B - db), with A and B those of the integer program
		both := d.ranges[op.Args[0]].Scale(a.LSB).Mul(in[1].r).Add(d.ranges[op.Args[1]].Scale(b.LSB).Mul(in[0].r))
		return fresh(id, both.Sub(in[0].r.Mul(in[1].r))), nil
	}
	from := 0
	if op.Kind == program.Select {
		from = 1
	}
	if !op.Bool && op.Kind != program.Angle && !aligned(from) {
		return wrong("the formats of the arguments differ")
	}
	switch op.Kind {
	case program.Add, program.Sub:
		g := gap{}
		if known && op.Kind == program.Add {
			g = in[0].with(in[1], op.Args[1], affine.Form.Add)
			g.r = in[0].r.Add(in[1].r)
		} else if known {
			g = in[0].with(in[1], op.Args[1], affine.Form.Sub)
			g.r = in[0].r.Sub(in[1].r)
		}
		g.turn = turn
		return g, nil
	case program.Wrap:
		return d.wrap(id, op, real, in[0])
	case program.Angle:
		if !same || !equal(mul(new(big.Rat).SetInt64(4*op.Table.Quarter), op.LSB), program.Turn(real.Unit)) || !equal(d.p.Ops[op.Args[0]].LSB, d.p.Ops[op.Args[1]].LSB) {
			return unknown, nil
		}
		most, err := ArctanError(op.Table)
		if err != nil {
			return gap{}, err
		}
		e := mul(most, op.LSB)
		return fresh(id, interval.Range{Lo: new(big.Rat).Neg(e), Hi: e}), nil
	case program.Less, program.LessEqual:
		if !equal(d.p.Ops[op.Args[0]].LSB, d.p.Ops[op.Args[1]].LSB) {
			return wrong("values of different formats are compared")
		}
		fallthrough
	case program.And, program.Or, program.Not:
		if !same {
			return unknown, nil // the two programs may decide differently
		}
		return exactly(), nil
	case program.Select:
		if !in[0].zero() || !known {
			return unknown, nil
		}
		g := fresh(id, in[1].r.Hull(in[2].r))
		g.turn = turn
		return g, nil
	}
	// clamp, minimum, maximum, absolute: none moves its values further apart than its arguments are
	if !known || turn != nil {
		return unknown, nil
	}
	if op.Kind == program.Clamp && in[1].zero() && in[2].zero() && !same {
		return limited(id, in[0], op.Args[0]), nil
	}
	r := interval.Point(new(big.Rat))
	for _, g := range in {
		r = r.Hull(g.r)
	}
	if op.Kind == program.Abs {
		r = r.Hull(r.Neg())
	}
	return fresh(id, r), nil
}

// wrap verifies one stage of a wrap. A stage takes off a turn at most, or two, four, ... turns at most;
// the last one must leave the value inside half a turn.
func (d *Differences) wrap(id program.ID, op *program.FixedOp, real *program.RealOp, g gap) (gap, error) {
	arg := d.p.Ops[op.Args[0]]
	if g.loose && arg.Real != op.Real || !equal(arg.LSB, op.LSB) {
		return gap{}, fmt.Errorf("value %s wraps another value", op.Name)
	}
	turns := new(big.Rat).Quo(mul(op.K, op.LSB), real.K)
	if !turns.IsInt() || new(big.Int).And(op.K.Num(), big.NewInt(1)).Sign() != 0 {
		return gap{}, fmt.Errorf("value %s wraps by %s counts: an even number that makes whole turns is needed", op.Name, text(op.K))
	}
	half := op.K.Num().Int64() / 2
	one := turns.Cmp(big.NewRat(1, 1)) == 0
	if one && g.known && g.turn == nil && !g.loose && d.awayFromSeam(op, real.K, g.r) {
		return g, nil
	}
	if g.turn != nil && !equal(g.turn, real.K) {
		return gap{loose: true}, nil
	}
	inside := interval.Ints(-half, half-1).Holds(d.ranges[id])
	if !g.zero() { // equal values are wrapped alike
		g.turn = real.K
	}
	g.loose = !one || !inside
	return g, nil
}

// awayFromSeam tells whether neither program's value is ever as much as half a turn out, so that neither takes a turn off: the integer one
// lies in its range, the real one as far from it as the difference r says.
func (d *Differences) awayFromSeam(op *program.FixedOp, turn *big.Rat, r interval.Range) bool {
	half := new(big.Rat).Quo(turn, big.NewRat(2, 1))
	whole := d.ranges[op.Args[0]].Scale(op.LSB)
	both := whole.Hull(whole.Sub(r))
	return both.Lo.Cmp(new(big.Rat).Neg(half)) >= 0 && both.Hi.Cmp(half) < 0
}

// converts tells whether op only gives its argument another format.
func (d *Differences) converts(op *program.FixedOp) bool {
	return (op.Kind == program.Round || op.Kind == program.Scale) && d.standsFor(op.Args[0], op.Real)
}

func isCopy(op *program.Op) bool {
	return op.Kind == program.Scale && op.K.Cmp(big.NewRat(1, 1)) == 0
}

// standsFor tells whether integer value a is a form of real value r, through copies.
func (d *Differences) standsFor(a, r program.ID) bool {
	real := d.p.Ops[a].Real
	for real != r {
		switch op := &d.q.Ops[r].Op; {
		case isCopy(op):
			r = op.Args[0]
		case isCopy(&d.q.Ops[real].Op) && real > r:
			real = d.q.Ops[real].Args[0]
		default:
			return false
		}
	}
	return true
}

func equal(a, b *big.Rat) bool { return a != nil && b != nil && a.Cmp(b) == 0 }

func mul(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
