package cert

import (
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// form is an affine expression, c + sum of k*symbol. Correlation is what intervals alone lose:
// y + a*(x - y) is (1 - a)*y + a*x here, and stays bounded.
type form struct {
	c     *big.Rat
	terms []term // by rising symbol
}

type term struct {
	sym int
	k   *big.Rat
}

// most terms of a form; a longer one is cut to a symbol of its own. Eight filters in series, with what their roundings leave, take some 100.
const mostTerms = 160

func constant(c *big.Rat) form { return form{c: c} }

func symbol(sym int) form {
	return form{c: new(big.Rat), terms: []term{{sym, big.NewRat(1, 1)}}}
}

// is tells whether the form is the symbol of one value and nothing else.
func (f form) is(id program.ID) bool {
	return f.c.Sign() == 0 && len(f.terms) == 1 && f.terms[0].sym == int(id) && f.terms[0].k.Cmp(big.NewRat(1, 1)) == 0
}

func (f form) scale(k *big.Rat) form {
	if k.Sign() == 0 {
		return constant(k)
	}
	out := form{c: new(big.Rat).Mul(f.c, k), terms: make([]term, len(f.terms))}
	for i, t := range f.terms {
		out.terms[i] = term{t.sym, new(big.Rat).Mul(t.k, k)}
	}
	return out
}

func (f form) add(g form) form {
	out := form{c: new(big.Rat).Add(f.c, g.c), terms: make([]term, 0, len(f.terms)+len(g.terms))}
	a, b := f.terms, g.terms
	for len(a) > 0 || len(b) > 0 {
		switch {
		case len(b) == 0 || len(a) > 0 && a[0].sym < b[0].sym:
			out.terms, a = append(out.terms, a[0]), a[1:]
		case len(a) == 0 || b[0].sym < a[0].sym:
			out.terms, b = append(out.terms, b[0]), b[1:]
		default:
			if k := new(big.Rat).Add(a[0].k, b[0].k); k.Sign() != 0 {
				out.terms = append(out.terms, term{a[0].sym, k})
			}
			a, b = a[1:], b[1:]
		}
	}
	return out
}

func (f form) sub(g form) form { return f.add(g.scale(big.NewRat(-1, 1))) }

// bounds is the interval that the form takes while each symbol stays inside its own.
func (f form) bounds(of func(sym int) interval.Range) interval.Range {
	if len(f.terms) == 0 {
		return interval.Point(f.c)
	}
	var lo, hi total
	one := big.NewRat(1, 1)
	lo.add(one, f.c)
	hi.add(one, f.c)
	for _, t := range f.terms {
		r := of(t.sym)
		if t.k.Sign() < 0 {
			r.Lo, r.Hi = r.Hi, r.Lo
		}
		lo.add(t.k, r.Lo)
		hi.add(t.k, r.Hi)
	}
	return interval.Range{Lo: lo.sum(), Hi: hi.sum()}
}
