// Package interval is arithmetic on closed intervals of exact rational numbers.
package interval

import "math/big"

// Range is [Lo, Hi], Lo <= Hi. Its numbers are never changed in place.
type Range struct{ Lo, Hi *big.Rat }

// Point is the interval of one number.
func Point(x *big.Rat) Range { return Range{x, x} }

// Ints is the interval [lo, hi].
func Ints(lo, hi int64) Range { return Range{new(big.Rat).SetInt64(lo), new(big.Rat).SetInt64(hi)} }

// Add is {x + y}.
func (a Range) Add(b Range) Range {
	return Range{new(big.Rat).Add(a.Lo, b.Lo), new(big.Rat).Add(a.Hi, b.Hi)}
}

// Neg is {-x}.
func (a Range) Neg() Range { return Range{new(big.Rat).Neg(a.Hi), new(big.Rat).Neg(a.Lo)} }

// Sub is {x - y}.
func (a Range) Sub(b Range) Range { return a.Add(b.Neg()) }

// Scale is {k*x}.
func (a Range) Scale(k *big.Rat) Range {
	lo, hi := new(big.Rat).Mul(k, a.Lo), new(big.Rat).Mul(k, a.Hi)
	if k.Sign() < 0 {
		lo, hi = hi, lo
	}
	return Range{lo, hi}
}

// Mul is {x*y}.
func (a Range) Mul(b Range) Range {
	p := a.Scale(b.Lo)
	q := a.Scale(b.Hi)
	return p.Hull(q)
}

// Hull is the smallest interval that holds both.
func (a Range) Hull(b Range) Range { return Range{Min(a.Lo, b.Lo), Max(a.Hi, b.Hi)} }

// Meet is what both have in common; ok is false where that is nothing.
func (a Range) Meet(b Range) (r Range, ok bool) {
	r = Range{Max(a.Lo, b.Lo), Min(a.Hi, b.Hi)}
	return r, r.Lo.Cmp(r.Hi) <= 0
}

// Holds tells whether b lies inside a.
func (a Range) Holds(b Range) bool { return a.Lo.Cmp(b.Lo) <= 0 && b.Hi.Cmp(a.Hi) <= 0 }

// IsPoint tells whether the interval is one number.
func (a Range) IsPoint() bool { return a.Lo.Cmp(a.Hi) == 0 }

// IsZero tells whether the interval is 0 alone.
func (a Range) IsZero() bool { return a.Lo.Sign() == 0 && a.Hi.Sign() == 0 }

// Size is the largest |x|.
func (a Range) Size() *big.Rat { return Max(new(big.Rat).Neg(a.Lo), a.Hi) }

// Limit is {min(max(x, lo), hi)} over x in a, lo and hi in their intervals.
func (a Range) Limit(lo, hi Range) Range { return a.Max(lo).Min(hi) }

// Max is {max(x, y)}.
func (a Range) Max(b Range) Range { return Range{Max(a.Lo, b.Lo), Max(a.Hi, b.Hi)} }

// Min is {min(x, y)}.
func (a Range) Min(b Range) Range { return Range{Min(a.Lo, b.Lo), Min(a.Hi, b.Hi)} }

// Abs is {|x|}.
func (a Range) Abs() Range {
	if a.Lo.Sign() >= 0 {
		return a
	}
	if a.Hi.Sign() <= 0 {
		return a.Neg()
	}
	return Range{new(big.Rat), a.Size()}
}

// Short holds the interval and has ends of few digits: products of products would have ever more. An end whose denominator has more than 128
// bits goes outwards, by less than 2^-100 of its size.
func (a Range) Short() Range {
	end := func(x *big.Rat, up bool) *big.Rat {
		if x.Denom().BitLen() <= 128 {
			return x
		}
		scale := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), uint(max(x.Denom().BitLen()-x.Num().BitLen()+101, 0))))
		y := new(big.Rat).Mul(x, scale)
		whole := Floor(y)
		if up {
			whole = Ceil(y)
		}
		return new(big.Rat).Quo(new(big.Rat).SetInt(whole), scale)
	}
	return Range{end(a.Lo, false), end(a.Hi, true)}
}

// Whole is the smallest interval with the same whole numbers inside; ok is false where there is none.
func (a Range) Whole() (r Range, ok bool) {
	lo, hi := Ceil(a.Lo), Floor(a.Hi)
	r = Range{new(big.Rat).SetInt(lo), new(big.Rat).SetInt(hi)}
	return r, lo.Cmp(hi) <= 0
}

// Floor is the largest whole number not above x.
func Floor(x *big.Rat) *big.Int { return new(big.Int).Div(x.Num(), x.Denom()) } // Div rounds to floor: the denominator is positive

// Ceil is the smallest whole number not below x.
func Ceil(x *big.Rat) *big.Int {
	f := new(big.Int).Div(new(big.Int).Neg(x.Num()), x.Denom())
	return f.Neg(f)
}

// Min is the smaller number.
func Min(a, b *big.Rat) *big.Rat {
	if a.Cmp(b) <= 0 {
		return a
	}
	return b
}

// Max is the larger number.
func Max(a, b *big.Rat) *big.Rat {
	if a.Cmp(b) >= 0 {
		return a
	}
	return b
}
