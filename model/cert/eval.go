package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// Evaluator finds the range of every value of a program, real or integer, one section at a time,
// from the ranges of its states. It is exact: no rounding, no float.
type Evaluator struct {
	States []interval.Range // set before Section
	Ranges []interval.Range // filled by Section
	p      *program.Program
	forms  []form
	spans  []span
	whole  bool
	// Declared takes the inputs of a real program inside their declared ranges: to choose formats by,
	// never to prove anything.
	Declared bool
}

// span is where a section's operations stand.
type span struct{ first, end int }

func spans(p *program.Program) []span {
	out := make([]span, len(p.Sections))
	for i := range out {
		out[i] = span{first: len(p.Ops)}
	}
	for i, op := range p.Ops {
		s := &out[op.Section]
		s.first, s.end = min(s.first, i), i+1
	}
	return out
}

func signals(p *program.Program) map[program.ID]bool {
	out := map[program.ID]bool{}
	for _, s := range p.Sections {
		for _, sig := range s.Signals {
			out[sig.Value] = true
		}
	}
	return out
}

// NewEvaluator starts with every state at its start alone.
func NewEvaluator(p *program.Program) *Evaluator {
	e := &Evaluator{p: p, States: make([]interval.Range, len(p.States)), Ranges: make([]interval.Range, len(p.Ops)), forms: make([]form, len(p.Ops)), spans: spans(p)}
	for i, s := range p.States {
		e.States[i] = interval.Point(s.Start)
	}
	e.whole = len(p.Ops) > 0 && p.Ops[0].LSB != nil
	return e
}

// After is where a tick, a reset or the start leads state n from the ranges last found.
func (e *Evaluator) After(n int) interval.Range {
	s := e.p.States[n]
	r := interval.Point(s.Start).Hull(e.Ranges[s.Next])
	if s.Reset != program.None {
		r = r.Hull(e.Ranges[s.ResetTo])
	}
	return r
}

// Rounding residues are symbols of their own, numbered below the values.
func residue(id program.ID) int { return -1 - int(id) }

func (e *Evaluator) of(sym int) interval.Range {
	if sym >= 0 {
		return e.Ranges[sym]
	}
	n := e.p.Ops[-1-sym].Shift // (a + half)/2^n less its floor is in [0, 1 - 2^-n]
	half := big.NewRat(1, 2)
	return interval.Range{Lo: new(big.Rat).Sub(new(big.Rat).SetFrac(big.NewInt(1), pow2(n)), half), Hi: half}
}

func pow2(n uint) *big.Int { return new(big.Int).Lsh(big.NewInt(1), n) }

// Section finds the ranges of one section's values; those of earlier sections must be there.
func (e *Evaluator) Section(section int) {
	for i := e.spans[section].first; i < e.spans[section].end; i++ {
		e.op(program.ID(i), section)
	}
}

func (e *Evaluator) form(a program.ID, section int) form {
	if e.p.Ops[a].Section != section {
		return symbol(int(a))
	}
	return e.forms[a]
}

func (e *Evaluator) op(id program.ID, section int) {
	op := &e.p.Ops[id]
	arg := func(i int) interval.Range { return e.Ranges[op.Args[i]] }
	fm := func(i int) form { return e.form(op.Args[i], section) }
	own := symbol(int(id))
	f := own
	var r interval.Range
	switch op.Kind {
	case program.Const:
		r, f = interval.Point(op.K), constant(op.K)
	case program.Input:
		r = e.input(op.Index)
	case program.Coef:
		r = e.coef(op.Index)
	case program.State:
		r = e.States[op.Index]
	case program.Add:
		r, f = arg(0).Add(arg(1)), fm(0).add(fm(1))
	case program.Sub:
		r, f = arg(0).Sub(arg(1)), fm(0).sub(fm(1))
	case program.Scale:
		r, f = arg(0).Scale(op.K), fm(0).scale(op.K)
	case program.Mul:
		r = arg(0).Mul(arg(1))
	case program.Round:
		k := new(big.Rat).SetFrac(big.NewInt(1), pow2(op.Shift))
		half := big.NewRat(1, 2)
		s := arg(0).Scale(k)
		r = interval.Range{Lo: new(big.Rat).SetInt(interval.Floor(new(big.Rat).Add(s.Lo, half))), Hi: new(big.Rat).SetInt(interval.Floor(new(big.Rat).Add(s.Hi, half)))}
		f = fm(0).scale(k).add(symbol(residue(id)))
	case program.Clamp:
		r = arg(0).Limit(arg(1), arg(2))
		if (interval.Range{Lo: arg(1).Hi, Hi: arg(2).Lo}).Holds(arg(0)) {
			f = fm(0) // proven never active
		}
	case program.Min:
		r = arg(0).Min(arg(1))
	case program.Max:
		r = arg(0).Max(arg(1))
	case program.Abs:
		r = arg(0).Abs()
	case program.Wrap:
		var same bool
		if r, same = e.wrap(arg(0), op.K); same {
			f = fm(0)
		}
	case program.Angle:
		half := new(big.Rat).Quo(program.Turn(op.Unit), big.NewRat(2, 1))
		if e.whole {
			half = new(big.Rat).SetInt64(2 * op.Table.Quarter)
		}
		r = interval.Range{Lo: new(big.Rat).Neg(half), Hi: half}
	case program.Less, program.LessEqual, program.And, program.Or, program.Not:
		r = interval.Ints(0, 1)
	case program.Select:
		r = arg(1).Hull(arg(2))
	default:
		panic(fmt.Sprintf("cert: no rule for %v", op.Kind))
	}
	if len(f.terms) > mostTerms {
		f = own
	}
	if len(f.terms) != 1 || f.terms[0].sym != int(id) {
		if both, ok := r.Meet(f.bounds(e.of)); ok {
			r = both
		}
	}
	if e.whole {
		if w, ok := r.Whole(); ok {
			r = w
		}
	}
	e.Ranges[id], e.forms[id] = r, f
}

// wrap is where wrapping leads; same tells that it changes nothing. An integer program takes off one turn at most.
func (e *Evaluator) wrap(a interval.Range, turn *big.Rat) (r interval.Range, same bool) {
	half := new(big.Rat).Quo(turn, big.NewRat(2, 1))
	inside := interval.Range{Lo: new(big.Rat).Neg(half), Hi: half}
	if inside.Lo.Cmp(a.Lo) <= 0 && a.Hi.Cmp(half) < 0 {
		return a, true
	}
	if !e.whole {
		return inside, false
	}
	one := big.NewRat(1, 1)
	turnUp := interval.Point(turn)
	first := true
	join := func(part interval.Range) {
		if first {
			r, first = part, false
		} else {
			r = r.Hull(part)
		}
	}
	if mid, ok := a.Meet(interval.Range{Lo: inside.Lo, Hi: new(big.Rat).Sub(half, one)}); ok {
		join(mid)
	}
	if a.Lo.Cmp(inside.Lo) < 0 {
		join(interval.Range{Lo: a.Lo, Hi: interval.Min(a.Hi, new(big.Rat).Sub(inside.Lo, one))}.Add(turnUp))
	}
	if a.Hi.Cmp(half) >= 0 {
		join(interval.Range{Lo: interval.Max(a.Lo, half), Hi: a.Hi}.Sub(turnUp))
	}
	return r, false
}

// input is everything that the raw register can hold, not the declared range.
func (e *Evaluator) input(i int) interval.Range {
	in := e.p.Inputs[i]
	lo, hi := in.Type.Range()
	r := interval.Ints(lo, hi)
	if e.whole {
		return r
	}
	if e.Declared && in.Lo != nil {
		r := interval.Range{Lo: in.Lo, Hi: in.Hi}
		if in.Offset != nil {
			r = r.Sub(interval.Point(in.Offset))
		}
		if in.Turned {
			r = r.Neg()
		}
		return r
	}
	return r.Scale(in.LSB)
}

func (e *Evaluator) coef(i int) interval.Range {
	c := e.p.Coefs[i]
	if e.whole {
		a, b := c.Setter.Apply(c.Setter.XLo), c.Setter.Apply(c.Setter.XHi)
		return interval.Ints(min(a, b), max(a, b))
	}
	g := e.p.Gains[c.Gain]
	return interval.Range{Lo: g.Lo, Hi: g.Hi}.Scale(c.Factor)
}
