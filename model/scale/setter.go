package scale

import (
	"fmt"
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// A setting has six decimals, fewer where it would not fit 32 bits, and more where a small gain had fewer steps than this.
var fewestSteps = big.NewRat(1e5, 1)

const mostDigits = 30

// newSetter finds how a decimal setting becomes a coefficient: counts = setting * ratio, where ratio
// counts per unit of the gain.
func newSetter(g program.Gain, ratio *big.Rat) (program.Setter, error) {
	top := interval.Max(new(big.Rat).Abs(g.Lo), new(big.Rat).Abs(g.Hi))
	digits := 6
	power := func() *big.Rat {
		return new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(digits)), nil))
	}
	for digits > 0 && new(big.Rat).Mul(top, power()).Cmp(two(30)) > 0 {
		digits--
	}
	for digits < mostDigits && top.Sign() > 0 && new(big.Rat).Mul(top, power()).Cmp(fewestSteps) < 0 {
		digits++
	}
	whole := func(x *big.Rat) int64 { return nearest(new(big.Rat).Mul(x, power())).Int64() }
	if new(big.Rat).Mul(top, power()).Cmp(two(30)) > 0 {
		return program.Setter{Shift: 1}, fmt.Errorf("the tuning range reaches %s, at most 1e9 is expected", top.FloatString(0))
	}
	s := program.Setter{Digits: digits, XLo: whole(g.Lo), XHi: whole(g.Hi), XStart: whole(g.Value), Shift: 1}
	m := new(big.Rat).Quo(ratio, power())
	if new(big.Rat).Abs(m).Cmp(two(29)) > 0 {
		return s, fmt.Errorf("one step of the setting is more than 2^29 counts")
	}
	for s.Shift < 60 && new(big.Rat).Abs(new(big.Rat).Mul(m, two(int(s.Shift)))).Cmp(two(29)) < 0 {
		s.Shift++
	}
	s.M = nearest(new(big.Rat).Mul(m, two(int(s.Shift)))).Int64()
	return s, nil
}
