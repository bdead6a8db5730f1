package cert

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// Evaluator finds the range of every value of a program, real or integer, one section at a time,
// from the ranges of its states. It is exact: no rounding, no float.
type Evaluator struct {
	States []interval.Range // set before Section
	Ranges []interval.Range // filled by Section
	p      program.View
	fixed  *program.Fixed // nil for a real program
	forms  []form
	spans  []program.Span
	reader []program.ID // of each state
	part   []int        // of each section
	linear [][]int      // states, by section
	next   [][]int      // see linearNext
	taps   []int        // of marked sections
	whole  bool
	effort bill
	// Declared takes the inputs of a real program inside their declared ranges: to choose formats by,
	// never to prove anything.
	Declared bool
}

func signals(p program.View) map[program.ID]bool {
	out := map[program.ID]bool{}
	for _, s := range p.Sections {
		for _, sig := range s.Signals {
			out[sig.Value] = true
		}
	}
	return out
}

// NewEvaluator starts with every state at its start alone.
func NewEvaluator(of program.Dialect) *Evaluator {
	p := of.View()
	e := &Evaluator{p: p, States: make([]interval.Range, len(p.States)), Ranges: make([]interval.Range, len(p.Ops)), forms: make([]form, len(p.Ops)), spans: p.Spans(), reader: readers(p), part: parts(p, nil), linear: linears(p)}
	e.next = linearNext(p, e.linear)
	for i, s := range p.States {
		e.States[i] = interval.Point(s.Start)
	}
	e.fixed, e.whole = of.(*program.Fixed)
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
	n := e.fixed.Ops[-1-sym].Shift
	if n < uint(len(lefts)) {
		return lefts[n]
	}
	return left(n)
}

// left is what rounding by a shift leaves over: (a + half)/2^n less its floor is in [0, 1 - 2^-n].
func left(shift uint) interval.Range {
	half := big.NewRat(1, 2)
	return interval.Range{Lo: new(big.Rat).Sub(new(big.Rat).SetFrac(big.NewInt(1), pow2(shift)), half), Hi: half}
}

var lefts = func() (out [64]interval.Range) {
	for n := range out {
		out[n] = left(uint(n))
	}
	return out
}()

func pow2(n uint) *big.Int { return new(big.Int).Lsh(big.NewInt(1), n) }

// Section finds the ranges of one section's values; those of earlier sections must be there.
func (e *Evaluator) Section(section int) {
	e.effort.ops(e.spans[section])
	for i := e.spans[section].First; i < e.spans[section].End; i++ {
		e.op(program.ID(i), section)
	}
}

func (e *Evaluator) form(a program.ID, section int) form {
	if e.part[e.p.Ops[a].Section] != e.part[section] {
		return symbol(int(a))
	}
	return e.forms[a]
}

func (e *Evaluator) op(id program.ID, section int) {
	op := e.p.Ops[id]
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
		k := new(big.Rat).SetFrac(big.NewInt(1), pow2(e.fixed.Ops[id].Shift))
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
		var half *big.Rat
		if e.whole {
			half = new(big.Rat).SetInt64(2 * e.fixed.Ops[id].Table.Quarter)
		} else {
			half = new(big.Rat).Quo(program.Turn(op.Unit), big.NewRat(2, 1))
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
		e.effort.add(Effort(perTerm * len(f.terms)))
		if both, ok := r.Meet(f.bounds(e.of)); ok {
			r = both
		}
	}
	if e.whole {
		if w, ok := r.Whole(); ok {
			r = w
		}
	}
	for _, n := range e.next[id] {
		if !marked(e.taps, section) || f.is(id) {
			break // its own symbol enters the recursion: its range must not rest on what the recursion is to prove
		}
		if both, ok := r.Meet(e.States[n]); ok {
			r = both
		}
	}
	e.Ranges[id], e.forms[id] = r, f
}

// UseLinear marks the sections whose linear states have facts of the second kind: taps by section, 0 for none, below 0 for a section that
// begins a part of its own.
func (e *Evaluator) UseLinear(taps []int) {
	e.taps, e.part = slices.Clone(taps), parts(e.p, taps)
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
	if e.whole {
		s := e.fixed.Coefs[i].Setter
		a, b := s.Apply(s.XLo), s.Apply(s.XHi)
		return interval.Ints(min(a, b), max(a, b))
	}
	c := e.p.Coefs[i]
	g := e.p.Gains[c.Gain]
	return interval.Range{Lo: g.Lo, Hi: g.Hi}.Scale(c.Factor)
}

// Rest is where a state that changes as x' = c*x + w, |c| < 1, comes to rest while w stays in the interval last
// found. It is a guess to start from: no claim is built on it.
func (e *Evaluator) Rest(n int) (interval.Range, bool) {
	s := e.p.States[n]
	return rest(e.p, e.form(s.Next, s.Section), e.reader[n], e.of)
}

// Rest is the same for the difference of a state in the two programs.
func (d *Differences) Rest(n int) (interval.Range, bool) {
	s := d.p.States[n]
	g := d.seen(s.Next, s.Section)
	if !g.known {
		return interval.Range{}, false
	}
	return rest(d.p.View(), g.form, d.reader[n], d.of)
}

func rest(p program.View, f form, reader program.ID, of func(sym int) interval.Range) (interval.Range, bool) {
	w := interval.Point(f.c)
	var c *big.Rat
	for _, t := range f.terms {
		if t.sym == int(reader) || t.sym >= 0 && p.Ops[t.sym].Kind == program.Select && (p.Ops[t.sym].Args[1] == reader || p.Ops[t.sym].Args[2] == reader) {
			if c != nil {
				return w, false
			}
			c = t.k
			continue
		}
		w = w.Add(of(t.sym).Scale(t.k))
	}
	one := big.NewRat(1, 1)
	if c == nil || new(big.Rat).Abs(c).Cmp(one) >= 0 {
		return w, false
	}
	if c.Sign() < 0 { // it swings: the size decides
		size := w.Size()
		w = interval.Range{Lo: new(big.Rat).Neg(size), Hi: size}
	}
	return w.Scale(new(big.Rat).Inv(new(big.Rat).Sub(one, new(big.Rat).Abs(c)))), true
}
