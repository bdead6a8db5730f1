package formats

import (
	"fmt"
	"math/big"

	"gainwright/model/bound"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// counts is a range in whole counts.
type counts struct{ lo, hi int64 }

// assign gives each value, state and coefficient the narrowest type that holds its counts; a truth and a raw value have theirs. It is the one
// place where types are given.
func assign(p *program.Fixed, ops, states []counts) {
	word := func(c counts, truth bool) (lo, hi int64, t program.Type) {
		if truth {
			return 0, 1, program.Bool
		}
		return c.lo, c.hi, atLeast16(program.Holding(c.lo, c.hi))
	}
	for i := range p.Ops {
		op := &p.Ops[i]
		if op.Lo, op.Hi, op.Type = word(ops[i], op.Bool); op.Kind == program.Input && !op.Bool {
			op.Type = p.Inputs[op.Index].Type
		}
	}
	for n := range p.States {
		s := &p.States[n]
		s.Lo, s.Hi, s.Type = word(states[n], s.Bool)
	}
	for i := range p.Coefs {
		_, _, p.Coefs[i].Type = word(ofSetter(p.Coefs[i].Setter), false)
	}
}

// atLeast16 keeps values out of 8-bit types: C computes in int anyway, and one width fewer is easier to read.
func atLeast16(t program.Type) program.Type {
	if t == program.I8 {
		return program.I16
	}
	return t
}

// ofSetter is what a live coefficient can be.
func ofSetter(s program.Setter) counts {
	a, b := s.Apply(s.XLo), s.Apply(s.XHi)
	return counts{min(a, b), max(a, b)}
}

// widest is what a value may reach: it can still be rounded, and negated, in 64 bits.
var widest = interval.Ints(-1<<62, 1<<62)

// assignProven gives types by proven ranges; an error where there is none that holds one of them.
func assignProven(p *program.Fixed, e *bound.Reach) error {
	var wide tooWide
	proven := func(r interval.Range, op *program.Op) counts {
		if !op.Bool && !widest.Holds(r) {
			wide = append(wide, overflow{*op, r})
			return counts{}
		}
		return counts{r.Lo.Num().Int64(), r.Hi.Num().Int64()}
	}
	ops, states := make([]counts, len(p.Ops)), make([]counts, len(p.States))
	for i := range p.Ops {
		ops[i] = proven(e.Ranges[i], &p.Ops[i].Op)
	}
	for n, s := range p.States {
		states[n] = proven(e.States[n], &program.Op{Name: s.Name, Bool: s.Bool, Section: s.Section})
	}
	if wide != nil {
		return wide
	}
	assign(p, ops, states)
	return nil
}

// assignLikely gives types by what the real values reach: about those that will be proven, and found faster.
func assignLikely(p *program.Fixed, reach []interval.Range) {
	ops, states := make([]counts, len(p.Ops)), make([]counts, len(p.States))
	for n := range states { // of which nobody reads
		states[n] = counts{-end, end}
	}
	for i := range p.Ops {
		switch op := &p.Ops[i]; {
		case op.Bool:
			ops[i] = counts{0, 1}
		case op.Kind == program.Input:
			ops[i].lo, ops[i].hi = p.Inputs[op.Index].Type.Range()
		case op.Kind == program.Const:
			ops[i] = counts{clipped(op.K.Num()), clipped(op.K.Num())}
		case op.Kind == program.Coef:
			ops[i] = ofSetter(p.Coefs[op.Index].Setter)
		default:
			r := reach[op.Real]
			ops[i] = counts{clipped(countsOf(r.Lo, op.LSB, false)), clipped(countsOf(r.Hi, op.LSB, true))}
		}
		if op := &p.Ops[i]; op.Kind == program.State {
			states[op.Index] = ops[i]
		}
	}
	assign(p, ops, states)
}

// end is as far as a likely range reaches: a number of 64 bits that can still be rounded.
const end = 1 << 61

func clipped(x *big.Int) int64 {
	if !x.IsInt64() {
		return int64(x.Sign()) * end
	}
	return min(max(x.Int64(), -end), end)
}

// countsOf is how many times y goes into x, rounded down or up. The quotient is not reduced on the way.
func countsOf(x, y *big.Rat, up bool) *big.Int {
	n, d := new(big.Int).Mul(x.Num(), y.Denom()), new(big.Int).Mul(x.Denom(), y.Num())
	if !up {
		return n.Div(n, d)
	}
	n.Div(n.Neg(n), d)
	return n.Neg(n)
}

// overflow is a value that no type holds.
type overflow struct {
	program.Op
	reach interval.Range // in counts
}

// tooWide are the values that no type holds.
type tooWide []overflow

func (t tooWide) Error() string { return fmt.Sprintf("%s needs too many bits", t[0].Name) }
