package scale

import (
	"math/big"

	"gainwright/model/interval"
)

// fit is the largest n with every |x| / (base * 2^-n) inside a signed word, leaving room for roundings.
func fit(r interval.Range, base *big.Rat, bits int) int {
	size := new(big.Rat).Quo(r.Size(), base)
	if size.Sign() == 0 {
		return 0
	}
	n := min(62, bits-log2(size)) // one or two too many
	top := new(big.Int).Lsh(big.NewInt(1), uint(bits-1))
	low, high := new(big.Rat).Quo(r.Lo, base), new(big.Rat).Quo(r.Hi, base)
	for ; n > -62; n-- {
		lo, hi := floorShifted(low, n), floorShifted(new(big.Rat).Neg(high), n)
		hi.Neg(hi)
		if bits > narrowBits+1 { // a wide word holds sums of rounded values
			lo.Sub(lo, big.NewInt(2))
			hi.Add(hi, big.NewInt(2))
		}
		if hi.Cmp(top) < 0 && lo.Neg(lo).Cmp(top) <= 0 {
			break
		}
	}
	return n
}

// floorShifted is the largest whole number not above x * 2^n.
func floorShifted(x *big.Rat, n int) *big.Int {
	if n >= 0 {
		f := new(big.Int).Lsh(x.Num(), uint(n))
		return f.Div(f, x.Denom())
	}
	f := new(big.Int).Div(x.Num(), x.Denom())
	return f.Rsh(f, uint(-n)) // towards minus infinity too
}

// log2 is the floor of the logarithm of x > 0.
func log2(x *big.Rat) int {
	k := x.Num().BitLen() - x.Denom().BitLen()
	if x.Cmp(two(k)) < 0 {
		k--
	}
	return k
}

// The widths that the rule aims at: a multiplicand and a signal fit 16 bits, a sum of products and a state 32,
// and no constant has fewer than eight significant bits, 0.2 % of its value.
const (
	narrowBits = 16
	wideBits   = 32
	constBits  = 8
)

// bitsFor is the fewest fraction bits at which k is stored well, counted in base.
func bitsFor(k, base *big.Rat) int {
	count := new(big.Rat).Abs(new(big.Rat).Quo(k, base))
	for n := -log2(count); n < constBits-log2(count); n++ {
		if close(count, n, constBits) { // a whole count is as close as can be
			return n
		}
	}
	return constBits - log2(count)
}

// close tells whether a constant of count * 2^n counts is stored as well as it would be in keep bits. It compares
// whole numbers: with count = a/b, |a*2^n - b*nearest| <= a*2^n / 2^(keep+1).
func close(count *big.Rat, n, keep int) bool {
	a, b := new(big.Int).Set(count.Num()), new(big.Int).Set(count.Denom())
	if n >= 0 {
		a.Lsh(a, uint(n))
	} else {
		b.Lsh(b, uint(-n))
	}
	whole := new(big.Int).Lsh(a, 1)
	whole.Add(whole, b)
	whole.Div(whole, new(big.Int).Lsh(b, 1)) // halves up
	off := whole.Mul(whole, b)
	off.Sub(a, off).Abs(off)
	return off.Lsh(off, uint(keep)+1).Cmp(a) <= 0
}
