package simulate

import (
	"math/big"
	"slices"

	"gainwright/model/program"
)

// Turned runs the reference twice side by side, in the machine and the noise of a seed, with one live gain at two other values. The first
// value stands where an Outcome has the reference, the second where it has the integers. Values may leave the tuning
// range: the reference has no formats. Whether the loops are stable as linear systems is not looked at.
func (s *System) Turned(gain int, values [2]*big.Rat, seed uint64, trace *Trace) *Outcome {
	one := *s
	one.Stable = nil
	var c [2]controller
	for i, v := range values {
		c[i] = newReal(turned(s.Asked, gain, v), s.Spec)
	}
	return one.run(c, seed, trace)
}

// turned is a program with another value of a gain in force.
func turned(p *program.Real, gain int, value *big.Rat) *program.Real {
	out := *p
	out.Gains = slices.Clone(p.Gains)
	out.Gains[gain].Value = value
	return &out
}
