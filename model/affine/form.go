// Package affine is arithmetic on affine expressions with exact rational factors: c + sum of k*symbol. Correlation is what intervals
// alone lose: y + a*(x - y) is (1 - a)*y + a*x here, and stays bounded.
package affine

import (
	"math/big"
	"slices"

	"gainwright/model/interval"
)

// Form is an affine expression. Its numbers are never changed in place.
type Form struct {
	C     *big.Rat // nil: there is no form
	Terms []Term   // by rising symbol
}

// Term is K times what the symbol stands for; K is not 0.
type Term struct {
	Symbol int
	K      *big.Rat
}

// Constant is the form of a number.
func Constant(c *big.Rat) Form { return Form{C: c} }

// Symbol is the form of one symbol.
func Symbol(symbol int) Form {
	return Form{C: new(big.Rat), Terms: []Term{{symbol, big.NewRat(1, 1)}}}
}

// Is tells whether the form is one symbol and nothing else.
func (f Form) Is(symbol int) bool {
	return len(f.Terms) == 1 && f.Terms[0].Symbol == symbol && f.C.Sign() == 0 && f.Terms[0].K.Cmp(big.NewRat(1, 1)) == 0
}

// Equal tells whether two forms are the same.
func (f Form) Equal(g Form) bool {
	return f.C.Cmp(g.C) == 0 && slices.EqualFunc(f.Terms, g.Terms, func(x, y Term) bool { return x.Symbol == y.Symbol && x.K.Cmp(y.K) == 0 })
}

// Factor is the factor of a symbol, 0 where the form has none of it.
func (f Form) Factor(symbol int) *big.Rat {
	for _, t := range f.Terms {
		if t.Symbol == symbol {
			return t.K
		}
	}
	return new(big.Rat)
}

// Scale is k*f.
func (f Form) Scale(k *big.Rat) Form {
	if k.Sign() == 0 {
		return Constant(k)
	}
	out := Form{C: new(big.Rat).Mul(f.C, k), Terms: make([]Term, len(f.Terms))}
	for i, t := range f.Terms {
		out.Terms[i] = Term{t.Symbol, new(big.Rat).Mul(t.K, k)}
	}
	return out
}

// Add is f + g.
func (f Form) Add(g Form) Form {
	out := Form{C: new(big.Rat).Add(f.C, g.C), Terms: make([]Term, 0, len(f.Terms)+len(g.Terms))}
	a, b := f.Terms, g.Terms
	for len(a) > 0 || len(b) > 0 {
		switch {
		case len(b) == 0 || len(a) > 0 && a[0].Symbol < b[0].Symbol:
			out.Terms, a = append(out.Terms, a[0]), a[1:]
		case len(a) == 0 || b[0].Symbol < a[0].Symbol:
			out.Terms, b = append(out.Terms, b[0]), b[1:]
		default:
			if k := new(big.Rat).Add(a[0].K, b[0].K); k.Sign() != 0 {
				out.Terms = append(out.Terms, Term{a[0].Symbol, k})
			}
			a, b = a[1:], b[1:]
		}
	}
	return out
}

// Sub is f - g.
func (f Form) Sub(g Form) Form { return f.Add(g.Scale(big.NewRat(-1, 1))) }

// Bounds is the interval that the form takes while each symbol stays inside its own.
func (f Form) Bounds(of func(symbol int) interval.Range) interval.Range {
	if len(f.Terms) == 0 {
		return interval.Point(f.C)
	}
	var lo, hi total
	one := big.NewRat(1, 1)
	lo.add(one, f.C)
	hi.add(one, f.C)
	for _, t := range f.Terms {
		r := of(t.Symbol)
		if t.K.Sign() < 0 {
			r.Lo, r.Hi = r.Hi, r.Lo
		}
		lo.add(t.K, r.Lo)
		hi.add(t.K, r.Hi)
	}
	return interval.Range{Lo: lo.sum(), Hi: hi.sum()}
}
