package bound

import (
	"math/big"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// Differences finds how far the integer program can be from the real one, for each state and signal;
// nil where no bound was found. See cert.Certificate for the meaning of chain.
func Differences(stored, integer *program.Program, ranges []interval.Range, chain bool) (cert.Errors, error) {
	d := cert.NewDifferences(stored, integer, ranges, chain)
	states := bySection(integer)
	out := cert.Errors{Signals: make([][]*interval.Range, len(integer.Sections)), Taps: make([]int, len(integer.Sections))}
	for s := range integer.Sections {
		tracks := make([]track, len(states[s]))
		if err := d.Section(s); err != nil {
			return out, err
		}
		if coupled(d.Matrix(s)) {
			out.Taps[s] = differLinear(d, integer, s, out.Taps)
		}
		for round := 0; out.Taps[s] == 0; round++ {
			if err := d.Section(s); err != nil {
				return out, err
			}
			stable := true
			for i, n := range states[s] {
				old, after := d.States[n], d.After(n)
				switch {
				case old == nil:
					continue
				case after == nil || round >= rounds:
					d.States[n], stable = nil, false
					continue
				case old.Holds(*after):
					continue
				}
				stable = false
				next := old.Hull(*after)
				if r, ok := d.Rest(n); ok && round < guesses {
					next = next.Hull(r)
					next = interval.Range{Lo: outward(next.Lo, -1), Hi: outward(next.Hi, 1)}
					d.States[n] = &next
					continue
				}
				next = interval.Range{Lo: tracks[i].lo.jump(old.Lo, next.Lo, -1, nil), Hi: tracks[i].hi.jump(old.Hi, next.Hi, 1, nil)}
				d.States[n] = &next
				if next.Size().Cmp(nowhere) >= 0 {
					d.States[n] = nil
				}
			}
			if stable {
				break
			}
		}
		if out.Taps[s] == 0 && len(cert.Linear(integer, s)) > 0 {
			lost := false
			for _, n := range cert.Linear(integer, s) {
				lost = lost || d.States[n] == nil
			}
			if lost {
				out.Taps[s] = differLinear(d, integer, s, out.Taps)
			}
		}
		out.Signals[s] = make([]*interval.Range, len(integer.Sections[s].Signals))
		for j := range out.Signals[s] {
			if r := d.Signal(s, j); r != nil {
				widened := interval.Range{Lo: outward(r.Lo, -1), Hi: outward(r.Hi, 1)}
				out.Signals[s][j] = &widened
			}
		}
	}
	out.States = d.States
	return out, nil
}

// outward gives x few digits, away from the middle.
func outward(x *big.Rat, sign int) *big.Rat {
	if x.Sign() == 0 || x.Denom().BitLen() <= 64 {
		return x
	}
	shift := uint(x.Denom().BitLen() - x.Num().BitLen() + 40)
	scale := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), shift))
	y := new(big.Rat).Mul(x, scale)
	whole := interval.Floor(y)
	if sign > 0 {
		whole = interval.Ceil(y)
	}
	return new(big.Rat).Quo(new(big.Rat).SetInt(whole), scale)
}
