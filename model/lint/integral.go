package lint

import (
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// Integral is how the integral of a PID behaves at its two ends: at errors so small that a coarse one would stand still, and at large ones.
type Integral struct {
	Section  int
	Unit     string   // of the error
	Smallest *big.Rat // the smallest error other than 0 that there is: with any ki that is not stored as 0 it moves the integral at each tick
	Largest  *big.Rat // the largest error, for inputs in their declared ranges
	WindUp   *big.Rat // seconds from one limit of the integral to the other at the largest error, at the ki of the start; nil: never
}

// Integrals lists the integrals of all PIDs, in the order of the sections. declared is what each value of asked reaches from inputs in their
// declared ranges.
func Integrals(integer *program.Fixed, declared []interval.Range) (out []Integral) {
	for s, sec := range integer.Sections {
		sum := sec.Facts.Integral
		if sec.Facts.Control == nil || sum == nil {
			continue
		}
		e := &integer.Ops[sum.Of]
		i := Integral{Section: s, Unit: e.Unit, Smallest: e.LSB, Largest: declared[e.Real].Size()}
		if rate := new(big.Rat).Mul(new(big.Rat).Abs(sum.Gain), i.Largest); rate.Sign() > 0 {
			i.WindUp = rate.Quo(new(big.Rat).Sub(sum.Hi, sum.Lo), rate)
		}
		out = append(out, i)
	}
	return out
}
