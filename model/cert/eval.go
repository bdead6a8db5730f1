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

// Evaluator finds the range of every value of a program, real or integer, one section at a time,
// from the ranges of its states. It is exact: no rounding, no float.
type Evaluator struct {
	// Sums is response.Sums; a search may remember what it gave.
	Sums   func(a, columns [][]*big.Rat, own, taps int) ([][]response.Sum, float64, error)
	States []interval.Range // set before Section
	Ranges []interval.Range // filled by Section
	p      program.View
	fixed  *program.Fixed // nil for a real program
	forms  []affine.Form
	spans  []program.Span
	reader []program.ID // of each state
	part   []int        // of each section
	linear [][]int      // states, by section
	next   [][]int      // see linearNext
	taps   []int        // of marked sections
	whole  bool
	left   []interval.Range // by rounding: residues, where asked for
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
	e := &Evaluator{Sums: response.Sums, p: p, States: make([]interval.Range, len(p.States)), Ranges: make([]interval.Range, len(p.Ops)), forms: make([]affine.Form, len(p.Ops)), left: make([]interval.Range, len(p.Ops)), spans: p.Spans(), reader: readers(p), part: parts(p, nil), linear: linears(p)}
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

// Residue is the symbol of what a rounding leaves over, below those of the values.
func Residue(id program.ID) int { return -1 - int(id) }

// Of is where a symbol of the values' forms lies: a value or, below 0, what a rounding leaves over.
func (e *Evaluator) Of(sym int) interval.Range {
	if sym >= 0 {
		return e.Ranges[sym]
	}
	if e.left[-1-sym].Lo == nil {
		e.left[-1-sym] = left(e.fixed.Ops[-1-sym].Shift)
	}
	return e.left[-1-sym]
}

// left is what rounding by a shift leaves over: (a + half)/2^n less its floor is in [0, 1 - 2^-n].
func left(shift uint) interval.Range {
	half := big.NewRat(1, 2)
	return interval.Range{Lo: new(big.Rat).Sub(new(big.Rat).SetFrac(big.NewInt(1), pow2(shift)), half), Hi: half}
}

func pow2(n uint) *big.Int { return new(big.Int).Lsh(big.NewInt(1), n) }

// Section finds the ranges of one section's values; those of earlier sections must be there.
func (e *Evaluator) Section(section int) {
	for i := e.spans[section].First; i < e.spans[section].End; i++ {
		e.op(program.ID(i), section)
	}
}

// Form is a value as a section sees it, of what was found last.
func (e *Evaluator) Form(a program.ID, section int) affine.Form {
	if e.part[e.p.Ops[a].Section] != e.part[section] {
		return affine.Symbol(int(a))
	}
	return e.forms[a]
}

func (e *Evaluator) op(id program.ID, section int) {
	op := e.p.Ops[id]
	arg := func(i int) interval.Range { return e.Ranges[op.Args[i]] }
	fm := func(i int) affine.Form { return e.Form(op.Args[i], section) }
	own := affine.Symbol(int(id))
	f := own
	var r interval.Range
	switch op.Kind {
	case program.Const:
		r, f = interval.Point(op.K), affine.Constant(op.K)
	case program.Input:
		r = e.input(op.Index)
	case program.Coef:
		r = e.coef(op.Index)
	case program.State:
		r = e.States[op.Index]
	case program.Add:
		r, f = arg(0).Add(arg(1)), fm(0).Add(fm(1))
	case program.Sub:
		r, f = arg(0).Sub(arg(1)), fm(0).Sub(fm(1))
	case program.Scale:
		r, f = arg(0).Scale(op.K), fm(0).Scale(op.K)
	case program.Mul:
		r = arg(0).Mul(arg(1))
	case program.Round:
		k := new(big.Rat).SetFrac(big.NewInt(1), pow2(e.fixed.Ops[id].Shift))
		half := big.NewRat(1, 2)
		s := arg(0).Scale(k)
		r = interval.Range{Lo: new(big.Rat).SetInt(interval.Floor(new(big.Rat).Add(s.Lo, half))), Hi: new(big.Rat).SetInt(interval.Floor(new(big.Rat).Add(s.Hi, half)))}
		f = fm(0).Scale(k).Add(affine.Symbol(Residue(id)))
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
	if len(f.Terms) > mostTerms {
		f = own
	}
	if len(f.Terms) != 1 || f.Terms[0].Symbol != int(id) {
		if both, ok := r.Meet(f.Bounds(e.Of)); ok {
			r = both
		}
	}
	if e.whole {
		if w, ok := r.Whole(); ok {
			r = w
		}
	}
	for _, n := range e.next[id] {
		if !marked(e.taps, section) || f.Is(int(id)) {
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
