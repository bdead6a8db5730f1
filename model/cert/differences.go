package cert

import (
	"math/big"
	"slices"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/response"
)

// gap is what is known of a difference integer value less real value, in units.
type gap struct {
	apart
	form affine.Form
	alt  *affine.Form // not nil: the difference lies between form and alt, see limit
	by   program.ID   // the limit that decides where
}

// Differences follows the arithmetic rounding through an integer program beside its real program, one section at a time, from the
// differences of its states.
type Differences struct {
	// Sums is response.Sums; a search may remember what it gave.
	Sums   func(a, columns [][]*big.Rat, own, taps int) ([][]response.Sum, float64, error)
	States []*interval.Range // of each state, set before Section; nil: unknown
	t      *translation
	p      *program.Fixed
	q      *program.Real
	ranges []interval.Range // of the integer values
	gaps   []gap
	left   []interval.Range // by rounding: residues, where asked for
	chain  bool
	spans  []program.Span
	linear linearStates
}

// NewDifferences compares from equal starts, and verifies the translation first. ranges are those of the integer program's values.
// chain false: each section's real counterpart is fed with the integer program's own signals.
func NewDifferences(stored *program.Real, integer *program.Fixed, ranges []interval.Range, chain bool) (*Differences, error) {
	t, err := translate(stored, integer, ranges)
	if err != nil {
		return nil, err
	}
	return newDifferences(t, chain), nil
}

func newDifferences(t *translation, chain bool) *Differences {
	d := &Differences{Sums: response.Sums, t: t, p: t.p, q: t.q, ranges: t.ranges, chain: chain, gaps: make([]gap, len(t.p.Ops)), left: make([]interval.Range, len(t.p.Ops)),
		spans: t.p.Spans(), linear: linearStatesOf(t.p.View()), States: make([]*interval.Range, len(t.p.States))}
	for i := range d.States {
		d.States[i] = &interval.Range{Lo: new(big.Rat), Hi: new(big.Rat)}
	}
	return d
}

// UseLinear marks the sections whose linear states have claims of the second kind: taps by section, 0 for none, below 0 for a section that
// begins a part of its own.
func (d *Differences) UseLinear(taps []int) { d.linear.mark(taps) }

// After is the difference that a tick, a reset or the start leads state n to; nil where nothing is known.
func (d *Differences) After(n int) *interval.Range {
	s := &d.p.States[n]
	if len(s.SumOf) > 0 {
		if slices.ContainsFunc(s.SumOf, func(at int) bool { return d.angular(at) != nil }) {
			return nil
		}
		return added(d.States, s.SumOf)
	}
	return after(&s.StateInfo, interval.Point(new(big.Rat)), d.angular(n), func(id program.ID) apart { return d.seen(id, s.Section).apart })
}

// angular is the turn of the circle that state n lives on, or nil: its next value is wrapped.
func (d *Differences) angular(n int) *big.Rat { return circleOf(d.q, d.p.States[n].Real) }

// Signal is the difference of a signal; nil where nothing is known. Where turn is not nil, the difference is that around a circle of
// this turn: whole turns may come on top. A signal that does not live on that circle is a number on a line, of which
// nothing is known then.
func (d *Differences) Signal(section, signal int) (r *interval.Range, turn *big.Rat) {
	sig := d.p.Sections[section].Signals[signal]
	if d.t.loose[sig.Value] {
		return nil, nil
	}
	return d.gaps[sig.Value].shown(sig.Angular)
}

// Form is a difference as a section sees it, of what was found last; known is false where nothing is.
func (d *Differences) Form(a program.ID, section int) (f affine.Form, known bool) {
	g := d.seen(a, section)
	return g.form, g.known
}

func (d *Differences) seen(a program.ID, section int) gap {
	g := d.gaps[a]
	switch of := d.p.Ops[a].Section; {
	case d.t.loose[a]:
		return gap{}
	case of == section:
	case !d.chain:
		return fresh(a, equals())
	case g.known && !g.zero() && d.linear.part[of] != d.linear.part[section]:
		g.form, g.alt = affine.Symbol(int(a)), nil
	}
	return g
}

// Of is where a symbol of the differences' forms lies: a value's difference or, below 0, what a rounding adds.
func (d *Differences) Of(symbol int) interval.Range {
	if symbol >= 0 {
		return d.gaps[symbol].r
	}
	id := -1 - symbol
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
func (d *Differences) Section(section int) {
	for i := d.spans[section].First; i < d.spans[section].End; i++ {
		g := d.operation(program.ID(i))
		if g.known {
			if g.alt != nil || !g.form.Is(i) {
				g.r = g.narrower(g.bounds(d.Of))
			}
			if len(g.form.Terms) > mostTerms || g.alt != nil && len(g.alt.Terms) > mostTerms {
				g.form, g.alt = affine.Symbol(i), nil
			}
		}
		for _, n := range d.linear.becomes[i] {
			of := d.p.States[n].Section
			if of != section && (!d.chain || d.linear.part[of] != d.linear.part[section]) {
				continue // another section's difference, or its own symbol there
			}
			if !d.linear.marked(of) || d.States[n] == nil || !g.known || g.turn != nil || g.alt != nil || g.form.Is(i) {
				continue // its own symbol enters the recursion: its range must not rest on what the recursion is to prove
			}
			if both, ok := g.r.Meet(*d.States[n]); ok {
				g.r = both
			}
		}
		d.gaps[i] = g
	}
}

// narrower is what two intervals that both hold the difference say of it. Around a circle they may speak of different turns, so that what
// they share need not hold it: the smaller one is taken.
func (g gap) narrower(b interval.Range) interval.Range {
	width := func(r interval.Range) *big.Rat { return new(big.Rat).Sub(r.Hi, r.Lo) }
	both, ok := g.r.Meet(b)
	switch {
	case g.turn == nil && ok:
		return both
	case g.turn != nil && width(b).Cmp(width(g.r)) < 0:
		return b
	}
	return g.r
}

// fresh is a value whose difference is correlated with nothing.
func fresh(id program.ID, g apart) gap {
	if g.known && g.r.IsZero() {
		return gap{apart: g, form: affine.Constant(new(big.Rat))}
	}
	return gap{apart: g, form: affine.Symbol(int(id))}
}

// beside is an integer operation beside its real one, with what is known of the arguments.
type beside struct {
	operands
	*Differences
	id   program.ID
	op   *program.FixedOp
	real *program.RealOp
	gaps []gap // of the arguments
}

func (d *Differences) operation(id program.ID) gap {
	o := &beside{Differences: d, id: id, op: &d.p.Ops[id], real: &d.q.Ops[d.p.Ops[id].Real]}
	var in []apart
	for _, a := range o.op.Args {
		g := d.seen(a, o.op.Section)
		if d.t.loose[a] { // it is the stage of a wrap before this one
			g = d.gaps[a]
		}
		o.gaps, in = append(o.gaps, g), append(in, g.apart)
	}
	o.operands = operandsOf(in)
	return differenceRules[o.op.Kind](o)
}

// differenceRules say by kind how far a value is from its real counterpart.
var differenceRules = [program.Kinds]func(o *beside) gap{
	program.Const: alone(exactly),
	program.Input: alone(exactly),
	program.Coef:  alone(exactly),
	program.State: func(o *beside) gap {
		claim := o.States[o.op.Index]
		if claim == nil {
			return gap{}
		}
		g := gap{apart: apart{known: true, r: *claim}, form: affine.Symbol(int(o.id))}
		g.apart = g.around(o.angular(o.op.Index))
		return g
	},
	program.Add: func(o *beside) gap { return o.sum(affine.Form.Add, interval.Range.Add) },
	program.Sub: func(o *beside) gap { return o.sum(affine.Form.Sub, interval.Range.Sub) },
	program.Scale: func(o *beside) gap {
		if o.t.converts(o.op) {
			return o.gaps[0]
		}
		if !o.known || o.turn != nil {
			return gap{}
		}
		g := o.gaps[0].each(func(f affine.Form) affine.Form { return f.Scale(o.real.K) })
		g.r = g.r.Scale(o.real.K)
		return g
	},
	program.Mul: func(o *beside) gap { // x*y - (x-e)*(y-f), with x and y those of the integer program
		if !o.known || o.turn != nil {
			return gap{}
		}
		e, f := o.in[0].r, o.in[1].r
		x, y := o.units(0), o.units(1)
		return o.multiplied(x.Mul(f).Add(y.Mul(e)).Sub(e.Mul(f)))
	},
	program.Round: func(o *beside) gap {
		if !o.known {
			return gap{}
		}
		g := o.gaps[0].each(func(f affine.Form) affine.Form { return f.Add(affine.Symbol(Residue(o.id))) })
		g.r = g.r.Add(o.residues(o.op))
		return g
	},
	program.Clamp: func(o *beside) gap {
		if o.known && o.turn == nil && o.in[1].zero() && o.in[2].zero() && !o.same {
			return limit(o.id, o.gaps[0], o.op.Args[0])
		}
		return alone(limited)(o)
	},
	program.Min:  alone(limited),
	program.Max:  alone(limited),
	program.Abs:  alone(sized),
	program.Wrap: (*beside).wrap,
	program.Angle: func(o *beside) gap {
		if !o.same {
			return gap{}
		}
		e := mul(o.t.tables[o.id], o.op.LSB)
		return fresh(o.id, apart{known: true, r: interval.Range{Lo: new(big.Rat).Neg(e), Hi: e}})
	},
	program.Less:      alone(decided),
	program.LessEqual: alone(decided),
	program.And:       alone(decided),
	program.Or:        alone(decided),
	program.Not:       alone(decided),
	program.Select:    alone(chosen),
}

// multiplied is a difference that is itself made of products of differences. Along a chain of them both its digits and, where it is no bound
// worth the name, its size would double at each: so it has few digits, and none is known beyond 2^256.
func (o *beside) multiplied(r interval.Range) gap {
	if size := r.Size(); size.Num().BitLen()-size.Denom().BitLen() > 256 {
		return gap{}
	}
	return fresh(o.id, apart{known: true, r: r.Short()})
}

// alone is a rule that correlates its value with nothing.
func alone(rule func(operands) apart) func(o *beside) gap {
	return func(o *beside) gap { return fresh(o.id, rule(o.operands)) }
}

// units is where an argument of the integer program lies, in units.
func (o *beside) units(n int) interval.Range {
	a := o.op.Args[n]
	return o.ranges[a].Scale(o.p.Ops[a].LSB)
}

func (o *beside) sum(form func(a, b affine.Form) affine.Form, of func(a, b interval.Range) interval.Range) gap {
	if !o.known {
		return gap{}
	}
	g := o.gaps[0].with(o.gaps[1], o.op.Args[1], form)
	g.apart = apart{true, of(o.in[0].r, o.in[1].r), o.turn}
	return g
}

// wrap is a stage of a wrap, which translation.go verifies.
func (o *beside) wrap() gap {
	arg := o.op.Args[0]
	g := o.gaps[0]
	if o.t.isTurn(o.op, o.real) && g.known && g.turn == nil && !o.t.loose[arg] && awayFromSeam(o.ranges[arg].Scale(o.op.LSB), g.r, o.real.K) {
		return g
	}
	if g.turn != nil && !equal(g.turn, o.real.K) {
		return gap{}
	}
	g.apart = g.around(o.real.K) // equal values are wrapped alike
	return g
}
