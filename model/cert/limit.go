package cert

import (
	"math/big"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// limit is the difference of a value limited to the same ends in both programs: a share in [0, 1] of the difference of
// what is limited, since limiting neither turns two values round nor moves them apart. The share is not known, but it
// is one number in all that is computed from the limited value at that tick. So u less limited u differs by the rest of
// the same share, and an integral led back by it, I + k*(limited u - u), by (1 - s)*I's difference - s*(that of the rest of u)
// with one s in [0, k]: no more than the larger of the two, for ever.
func limit(id program.ID, g gap, arg program.ID) gap {
	if g.alt != nil {
		g.form = affine.Symbol(int(arg))
	}
	zero := affine.Constant(new(big.Rat))
	return gap{apart: apart{known: true, r: g.r.Hull(interval.Point(new(big.Rat)))}, form: g.form, alt: &zero, by: id}
}

// each applies a linear function to the ends between which the difference lies.
func (g gap) each(f func(affine.Form) affine.Form) gap {
	g.form = f(g.form)
	if g.alt != nil {
		alt := f(*g.alt)
		g.alt = &alt
	}
	return g
}

// with adds or subtracts b, the difference of value arg. Where another limit decides about b, b is taken as a number of its own.
func (g gap) with(b gap, arg program.ID, f func(a, b affine.Form) affine.Form) gap {
	if g.alt != nil && b.alt != nil && g.by != b.by {
		b.form, b.alt = affine.Symbol(int(arg)), nil
	}
	out := gap{apart: apart{known: true}, form: f(g.form, b.form), by: g.by}
	if g.alt == nil {
		out.by = b.by
	}
	if g.alt == nil && b.alt == nil {
		return out
	}
	other := func(x gap) affine.Form {
		if x.alt != nil {
			return *x.alt
		}
		return x.form
	}
	alt := f(other(g), other(b))
	out.alt = &alt
	return out
}

// bounds is the interval that the difference takes while each symbol stays inside its own.
func (g gap) bounds(of func(sym int) interval.Range) interval.Range {
	r := g.form.Bounds(of)
	if g.alt != nil {
		r = r.Hull(g.alt.Bounds(of))
	}
	return r
}
