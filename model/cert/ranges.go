package cert

import (
	"math/big"

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
	Inputs []interval.Range // everything that the raw register can hold, not the declared range
	States []interval.Range // set before Section
	Ranges []interval.Range // filled by Section
	Lost   program.ID       // a value of the section followed last that has no finite range, whatever Ranges holds; None: all have one
	p      program.View
	fixed  *program.Fixed // nil for a real program
	real   *program.Real  // nil for an integer program
	forms  []affine.Form
	left   []interval.Range // by rounding: residues, where asked for
	spans  []program.Span
	linear linearStates
}

// NewEvaluator starts with every state at its start alone.
func NewEvaluator(of program.Dialect) *Evaluator {
	p := of.View()
	e := &Evaluator{Sums: response.Sums, p: p, Inputs: make([]interval.Range, len(p.Inputs)), States: make([]interval.Range, len(p.States)), Ranges: make([]interval.Range, len(p.Ops)),
		forms: make([]affine.Form, len(p.Ops)), left: make([]interval.Range, len(p.Ops)), spans: p.Spans(), linear: linearStatesOf(p)}
	e.fixed, _ = of.(*program.Fixed)
	e.real, _ = of.(*program.Real)
	for i, in := range p.Inputs {
		if e.Inputs[i] = interval.Ints(in.Type.Range()); e.fixed == nil {
			e.Inputs[i] = e.Inputs[i].Scale(in.LSB)
		}
	}
	for i, s := range p.States {
		e.States[i] = interval.Point(s.Start)
	}
	return e
}

// UseLinear marks the sections whose linear states have claims of the second kind: taps by section, 0 for none, below 0 for a section that
// begins a part of its own.
func (e *Evaluator) UseLinear(taps []int) { e.linear.mark(taps) }

// After is where a tick, a reset or the start leads state n from the ranges last found.
func (e *Evaluator) After(n int) interval.Range {
	s := e.p.States[n]
	if len(s.SumOf) > 0 {
		r := interval.Point(new(big.Rat))
		for _, at := range s.SumOf {
			r = r.Add(e.States[at])
		}
		return r
	}
	r := interval.Point(s.Start).Hull(e.Ranges[s.Next])
	if s.Reset != program.None {
		r = r.Hull(e.Ranges[s.ResetTo])
	}
	return r
}

// Residue is the symbol of what a rounding leaves over, below those of the values.
func Residue(id program.ID) int { return -1 - int(id) }

// Of is where a symbol of the values' forms lies: a value or, below 0, what a rounding leaves over.
func (e *Evaluator) Of(symbol int) interval.Range {
	if symbol >= 0 {
		return e.Ranges[symbol]
	}
	id := -1 - symbol
	if e.left[id].Lo == nil {
		e.left[id] = left(e.fixed.Ops[id].Shift)
	}
	return e.left[id]
}

// left is what rounding by a shift leaves over: (a + half)/2^n less its floor is in [0, 1 - 2^-n].
func left(shift uint) interval.Range {
	half := big.NewRat(1, 2)
	return interval.Range{Lo: new(big.Rat).Sub(new(big.Rat).SetFrac(big.NewInt(1), pow2(shift)), half), Hi: half}
}

// Section finds the ranges of one section's values; those of earlier sections must be there.
func (e *Evaluator) Section(section int) {
	e.Lost = program.None
	for i := e.spans[section].First; i < e.spans[section].End; i++ {
		o := &evaluated{e, program.ID(i), e.p.Ops[i]}
		r, f := rangeRules[o.op.Kind](o)
		if r.Lo == nil {
			e.Lost, r = program.ID(i), interval.Point(new(big.Rat))
		}
		if len(f.Terms) > mostTerms {
			f = o.own()
		}
		if !f.Is(i) {
			r = narrower(r, f.Bounds(e.Of))
		}
		if e.fixed != nil {
			if w, ok := r.Whole(); ok {
				r = w
			}
		}
		for _, n := range e.linear.sums[i] { // the sum of what those become, each of which stays in its own range
			r = narrower(r, e.After(n))
		}
		for _, n := range e.linear.becomes[i] {
			if of := e.p.States[n].Section; e.linear.marked(of) && !f.Is(i) && e.linear.part[of] == e.linear.part[section] { // its own symbol enters the recursion: its range must not rest on what the recursion is to prove
				r = narrower(r, e.States[n])
			}
		}
		e.Ranges[i], e.forms[i] = r, f
	}
}

// narrower is what two intervals that both hold a value say of it.
func narrower(a, b interval.Range) interval.Range {
	if both, ok := a.Meet(b); ok {
		return both
	}
	return a
}

// Form is a value as a section sees it, of what was found last.
func (e *Evaluator) Form(a program.ID, section int) affine.Form {
	if e.linear.part[e.p.Ops[a].Section] != e.linear.part[section] {
		return affine.Symbol(int(a))
	}
	return e.forms[a]
}

// evaluated is an operation whose range is asked for.
type evaluated struct {
	*Evaluator
	id program.ID
	op *program.Op
}

func (o *evaluated) arg(i int) interval.Range { return o.Ranges[o.op.Args[i]] }
func (o *evaluated) form(i int) affine.Form   { return o.Form(o.op.Args[i], o.op.Section) }
func (o *evaluated) own() affine.Form         { return affine.Symbol(int(o.id)) }

// rangeRules say by kind where a value lies, nowhere if there is no end to it, and what it is as a form; its own symbol where it is linear in nothing.
var rangeRules = [program.Kinds]func(o *evaluated) (interval.Range, affine.Form){
	program.Const: func(o *evaluated) (interval.Range, affine.Form) {
		return interval.Point(o.op.K), affine.Constant(o.op.K)
	},
	program.Input: func(o *evaluated) (interval.Range, affine.Form) { return o.Inputs[o.op.Index], o.own() },
	program.Coef:  func(o *evaluated) (interval.Range, affine.Form) { return o.coef(o.op.Index), o.own() },
	program.State: func(o *evaluated) (interval.Range, affine.Form) { return o.States[o.op.Index], o.own() },
	program.Add: func(o *evaluated) (interval.Range, affine.Form) {
		return o.arg(0).Add(o.arg(1)), o.form(0).Add(o.form(1))
	},
	program.Sub: func(o *evaluated) (interval.Range, affine.Form) {
		return o.arg(0).Sub(o.arg(1)), o.form(0).Sub(o.form(1))
	},
	program.Scale: func(o *evaluated) (interval.Range, affine.Form) {
		return o.arg(0).Scale(o.op.K), o.form(0).Scale(o.op.K)
	},
	program.Mul: func(o *evaluated) (interval.Range, affine.Form) { return o.arg(0).Mul(o.arg(1)), o.own() },
	program.Round: func(o *evaluated) (interval.Range, affine.Form) {
		k := new(big.Rat).SetFrac(big.NewInt(1), pow2(o.fixed.Ops[o.id].Shift))
		floor := func(x *big.Rat) *big.Rat {
			return new(big.Rat).SetInt(interval.Floor(new(big.Rat).Add(x, big.NewRat(1, 2))))
		}
		s := o.arg(0).Scale(k)
		return interval.Range{Lo: floor(s.Lo), Hi: floor(s.Hi)}, o.form(0).Scale(k).Add(affine.Symbol(Residue(o.id)))
	},
	program.Clamp: func(o *evaluated) (interval.Range, affine.Form) {
		f := o.own()
		if (interval.Range{Lo: o.arg(1).Hi, Hi: o.arg(2).Lo}).Holds(o.arg(0)) {
			f = o.form(0) // proven never active
		}
		return o.arg(0).Limit(o.arg(1), o.arg(2)), f
	},
	program.Min:  func(o *evaluated) (interval.Range, affine.Form) { return o.arg(0).Min(o.arg(1)), o.own() },
	program.Max:  func(o *evaluated) (interval.Range, affine.Form) { return o.arg(0).Max(o.arg(1)), o.own() },
	program.Abs:  func(o *evaluated) (interval.Range, affine.Form) { return o.arg(0).Abs(), o.own() },
	program.Wrap: (*evaluated).wrap,
	program.Angle: func(o *evaluated) (interval.Range, affine.Form) {
		var half *big.Rat
		if o.fixed != nil {
			half = new(big.Rat).SetInt64(2 * o.fixed.Ops[o.id].Arctan.Quarter)
		} else {
			half = quo(program.Turn(o.op.Unit), big.NewRat(2, 1))
		}
		return interval.Range{Lo: new(big.Rat).Neg(half), Hi: half}, o.own()
	},
	program.Less:      truth,
	program.LessEqual: truth,
	program.And:       truth,
	program.Or:        truth,
	program.Not:       truth,
	program.Select:    func(o *evaluated) (interval.Range, affine.Form) { return o.arg(1).Hull(o.arg(2)), o.own() },
}

func truth(o *evaluated) (interval.Range, affine.Form) { return interval.Ints(0, 1), o.own() }

// wrap is where wrapping leads. An integer program takes off one turn at most.
func (o *evaluated) wrap() (interval.Range, affine.Form) {
	a, turn := o.arg(0), o.op.K
	half, one := quo(turn, big.NewRat(2, 1)), big.NewRat(1, 1)
	low := new(big.Rat).Neg(half)
	if low.Cmp(a.Lo) <= 0 && a.Hi.Cmp(half) < 0 {
		return a, o.form(0) // nothing is taken off
	}
	var parts []interval.Range
	if mid, ok := a.Meet(interval.Range{Lo: low, Hi: new(big.Rat).Sub(half, one)}); ok {
		parts = append(parts, mid)
	}
	if a.Lo.Cmp(low) < 0 {
		parts = append(parts, interval.Range{Lo: a.Lo, Hi: interval.Min(a.Hi, new(big.Rat).Sub(low, one))}.Add(interval.Point(turn)))
	}
	if a.Hi.Cmp(half) >= 0 {
		parts = append(parts, interval.Range{Lo: interval.Max(a.Lo, half), Hi: a.Hi}.Sub(interval.Point(turn)))
	}
	if o.fixed == nil || len(parts) == 0 {
		return interval.Range{Lo: low, Hi: half}, o.own()
	}
	r := parts[0]
	for _, part := range parts[1:] {
		r = r.Hull(part)
	}
	return r, o.own()
}

// coef is where a live coefficient lies while its gain stays in its range.
func (e *Evaluator) coef(i int) interval.Range {
	if e.fixed != nil {
		return reach(e.fixed.Coefs[i].Setter)
	}
	g := e.p.Gains[e.p.Coefs[i].Gain]
	return interval.Range{Lo: g.Lo, Hi: g.Hi}.Scale(e.p.Coefs[i].Factor)
}
