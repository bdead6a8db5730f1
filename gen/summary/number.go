package summary

import (
	"fmt"
	"math"
	"math/big"
)

// number is the float64 nearest to an exact number, as programs read it.
func number(r *big.Rat) float64 {
	f, _ := r.Float64()
	return min(max(f, -math.MaxFloat64), math.MaxFloat64) + 0
}

// above returns a number that is not below r.
func above(r *big.Rat) float64 {
	f, exact := r.Float64()
	if !exact && !math.IsInf(f, 0) && new(big.Rat).SetFloat64(f).Cmp(r) < 0 {
		f = math.Nextafter(f, math.Inf(1))
	}
	return min(f, math.MaxFloat64)
}

// optional is a value for programs by one of these, or none where there is no number.
func optional(r *big.Rat, by func(*big.Rat) float64) any {
	if r == nil {
		return nil
	}
	return by(r)
}

// Whole is a number of which the whole part is meant, such as an estimate: JSON has it rounded, as the text has.
type Whole float64

// MarshalJSON rounds it.
func (w Whole) MarshalJSON() ([]byte, error) { return fmt.Appendf(nil, "%.0f", float64(w)+0), nil }

func counts(n int64, lsb *big.Rat) *big.Rat {
	return new(big.Rat).Mul(new(big.Rat).SetInt64(n), lsb)
}
