package affine

import "math/big"

// total is a sum of products of fractions, num / (odd * 2^shift). The fraction is reduced once, at the end: with big.Rat each
// product and each sum would be, and that is most of what a long form costs. Nearly all denominators are a power of two times the
// same odd number, so that shifts and additions of whole numbers are left.
type total struct {
	num   big.Int
	odd   big.Int // 0: nothing was added yet
	shift uint
	n, d  big.Int // of the product
	tmp   big.Int
}

// add adds k * x.
func (t *total) add(k, x *big.Rat) {
	if k.Sign() == 0 || x.Sign() == 0 {
		return
	}
	t.n.Mul(k.Num(), x.Num())
	switch {
	case k.IsInt() && x.IsInt():
		t.d.SetInt64(1)
	case k.IsInt():
		t.d.Set(x.Denom())
	case x.IsInt():
		t.d.Set(k.Denom())
	default:
		t.d.Mul(k.Denom(), x.Denom())
	}
	shift := t.d.TrailingZeroBits()
	t.d.Rsh(&t.d, shift)
	switch {
	case t.odd.Sign() == 0:
		t.num.Set(&t.n)
		t.odd.Set(&t.d)
		t.shift = shift
		return
	case t.odd.Cmp(&t.d) != 0: // over odd * d
		t.num.Mul(&t.num, &t.d)
		t.n.Mul(&t.n, &t.odd)
		if t.tmp.Mul(&t.odd, &t.d); t.tmp.BitLen() > longest { // do not let it grow with each term
			t.shorten(shift)
			return
		}
		t.odd.Set(&t.tmp)
	}
	t.align(shift)
}

// align adds the product, whose denominator has the same odd part and a power of two of its own.
func (t *total) align(shift uint) {
	if shift > t.shift {
		t.num.Lsh(&t.num, shift-t.shift)
		t.shift = shift
	} else if shift < t.shift {
		t.n.Lsh(&t.n, t.shift-shift)
	}
	t.num.Add(&t.num, &t.n)
}

// longest is the length in bits from which an odd part is reduced.
const longest = 512

// shorten adds the product, over the odd part in tmp, and reduces the fraction.
func (t *total) shorten(shift uint) {
	t.odd.Set(&t.tmp)
	t.align(shift)
	r := t.sum()
	t.num.Set(r.Num())
	t.odd.Set(r.Denom())
	t.shift = t.odd.TrailingZeroBits()
	t.odd.Rsh(&t.odd, t.shift)
}

// sum is the whole, reduced.
func (t *total) sum() *big.Rat {
	if t.odd.Sign() == 0 {
		return new(big.Rat)
	}
	return new(big.Rat).SetFrac(&t.num, new(big.Int).Lsh(&t.odd, t.shift))
}
