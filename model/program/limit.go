package program

import (
	"fmt"
	"math/big"
)

// Limit says how a declared limit of an output is stored: as a whole number of counts of that output, and never further out
// than it is declared. The nearest count could lie beyond it.
type Limit struct {
	Count *big.Rat // of the output, without its sign
	High  bool
	Key   string // where the spec declares it, such as outputs.drive.limits
}

// Inward is the last whole number of counts that does not lie beyond x; without a limit it is x.
func (l *Limit) Inward(x *big.Rat) *big.Rat {
	if l == nil {
		return x
	}
	return new(big.Rat).Mul(new(big.Rat).SetInt(l.Whole(new(big.Rat).Quo(x, l.Count))), l.Count)
}

// Whole is the last whole number that does not lie beyond x.
func (l *Limit) Whole(x *big.Rat) *big.Int {
	n := new(big.Int).Div(x.Num(), x.Denom()) // rounded down, since the denominator is positive
	if !l.High && !x.IsInt() {
		n.Add(n, big.NewInt(1))
	}
	return n
}

// inside returns the first and the last count inside two limits; where there is none, the first lies above the last.
func inside(lo, hi, count *big.Rat) (first, last *big.Rat) {
	return (&Limit{Count: count}).Inward(lo), (&Limit{Count: count, High: true}).Inward(hi)
}

// NoCount tells whether no count lies inside two limits, and then what is wrong and what to write instead.
func NoCount(lo, hi, count *big.Rat) (message, remedy string, none bool) {
	first, last := inside(lo, hi, count)
	if first.Cmp(last) <= 0 {
		return "", "", false
	}
	message = fmt.Sprintf("no count of the output lies inside [%s, %s]: a count is %s, and limits of an output are rounded inwards", decimal(lo), decimal(hi), decimal(count))
	remedy = fmt.Sprintf("[%s, %s]", Outward(last, false), Outward(first, true)) // the counts around both limits
	if more := finer(lo, hi, count); more != nil {
		remedy += ", or counts_per_unit: " + decimal(more) + " at the output"
	}
	return message, remedy, true
}

// finer is how many counts a unit needs for one of them to lie inside the limits, in tens; nil where eight bits could not hold the limits
// then, or where it takes more than a person would write.
func finer(lo, hi, count *big.Rat) *big.Rat {
	perUnit := new(big.Rat).Inv(count)
	for range 6 {
		perUnit = new(big.Rat).Mul(perUnit, big.NewRat(10, 1))
		for _, end := range []*big.Rat{lo, hi} {
			if new(big.Rat).Abs(new(big.Rat).Mul(end, perUnit)).Cmp(big.NewRat(127, 1)) > 0 {
				return nil
			}
		}
		if first, last := inside(lo, hi, new(big.Rat).Inv(perUnit)); first.Cmp(last) <= 0 {
			return perUnit
		}
	}
	return nil
}

// Outward writes a limit such that what is read from the text does not lie further in, where decimals cannot say the number itself.
func Outward(x *big.Rat, up bool) string {
	text := decimal(x)
	if back, ok := new(big.Rat).SetString(text); ok && back.Cmp(x) == 0 {
		return text
	}
	const digits = 1_000_000
	n := new(big.Rat).Mul(x, big.NewRat(digits, 1))
	whole := new(big.Int).Div(n.Num(), n.Denom())
	if up {
		whole.Add(whole, big.NewInt(1))
	}
	return decimal(new(big.Rat).SetFrac(whole, big.NewInt(digits)))
}

func decimal(x *big.Rat) string {
	f, _ := x.Float64()
	return fmt.Sprintf("%.10g", f)
}
