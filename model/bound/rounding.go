package bound

import (
	"math/big"

	"gainwright/model/cert"
	"gainwright/model/interval"
)

// Rounding is the arithmetic rounding of one signal against the stored real program, in the signal's unit, as a certificate claims it.
type Rounding struct {
	Section, Signal int
	// Local is the largest difference, at any tick, to the same section of
	// the real program fed with the integer program's own signals.
	Local *big.Rat
	// Chain is the largest difference to the whole real program fed with the same raw inputs;
	// nil where a pole at one, a switch or a seam lies on the way.
	Chain *big.Rat
	// Asked is the largest difference to the program that was asked for, with the constants of the spec, fed with the same raw inputs;
	// nil where it is not proven.
	Asked *big.Rat
	// LocalTurn, ChainTurn and AskedTurn are the turn of the circle around which the difference is taken: the two values may lie on different sides
	// of its seam. nil: it is taken on a line.
	LocalTurn, ChainTurn, AskedTurn *big.Rat
}

// Roundings lists what a certificate claims, by section and signal.
func Roundings(c *cert.Certificate) (out []Rounding) {
	for s := range c.Local.Signals {
		for j := range c.Local.Signals[s] {
			out = append(out, Rounding{Section: s, Signal: j, Local: size(c.Local.Signals[s][j]), Chain: size(c.Chain.Signals[s][j]), Asked: size(c.Asked.Signals[s][j]),
				LocalTurn: c.Local.Turns[s][j], ChainTurn: c.Chain.Turns[s][j], AskedTurn: c.Asked.Turns[s][j]})
		}
	}
	return out
}

func size(r *interval.Range) *big.Rat {
	if r == nil {
		return nil
	}
	return r.Size()
}
