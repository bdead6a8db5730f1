package program

import "math/big"

// Step is what a setting of 1 stands for, in the gain's unit.
func (s Setter) Step() *big.Rat {
	return new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(s.Digits)), nil))
}

// CoefsOf lists the coefficients that a gain becomes.
func (p *Fixed) CoefsOf(gain int) (coefs []int) {
	for i, c := range p.Coefs {
		if c.Gain == gain {
			coefs = append(coefs, i)
		}
	}
	return coefs
}

// Ratio is how many counts of the coefficient a setting of 1 stands for, before any rounding.
func (c FixedCoef) Ratio() *big.Rat {
	return new(big.Rat).Quo(new(big.Rat).Mul(c.Setter.Step(), c.Factor), c.LSB)
}
