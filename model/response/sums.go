// Package response bounds impulse responses of linear recursions: by exact algebra where that is cheap, else in float64 with every
// rounding accounted for. A bound that is returned holds, and the recursion is stable; one that cannot be had is an error.
package response

import (
	"math/big"

	"gainwright/model/interval"
)

// Sum bounds the sum of the positive taps of a response, and that of the sizes of the negative ones.
type Sum struct{ Up, Down *big.Rat }

// Reach is where the response leads while what comes in stays inside w, whatever it does there; before the start nothing came in.
func (s Sum) Reach(w interval.Range) interval.Range {
	w = w.Hull(interval.Point(new(big.Rat)))
	return w.Scale(s.Up).Sub(w.Scale(s.Down))
}

// Sums follows x' = A*x + b*w, for several columns b, to the last own states, by so many taps: sums by column and state, and the share by
// which they may be too large for want of taps. Where all states are asked for, the recursions share a denominator; else
// filters stand in series, and it would be too coarse.
func Sums(a, columns [][]*big.Rat, own, taps int) (sums [][]Sum, loss float64, err error) {
	if own == len(a) {
		return together(a, columns, taps)
	}
	responses, loss, err := cascade(a, columns, own, taps)
	for _, all := range responses {
		var row []Sum
		for _, r := range all {
			row = append(row, r.sum())
		}
		sums = append(sums, row)
	}
	return sums, loss, err
}

// together is Sums for all states, by their common denominator.
func together(a, columns [][]*big.Rat, taps int) (sums [][]Sum, loss float64, err error) {
	m := len(a)
	den, adj := adjugate(a)
	for len(den) > 1 && den[len(den)-1].Sign() == 0 {
		den = den[:len(den)-1]
	}
	var numerators [][]*big.Rat
	for _, b := range columns {
		for i := range m {
			num := numbers(m)
			for k := range num {
				for j, x := range b {
					if x.Sign() != 0 && adj[k][i][j].Sign() != 0 {
						num[k].Add(num[k], mul(adj[k][i][j], x))
					}
				}
			}
			numerators = append(numerators, num)
		}
	}
	gains, loss, err := peaks(den, numerators, taps)
	if err != nil {
		return nil, 0, err
	}
	atOne, half := sum(den), big.NewRat(1, 2)
	for w := range columns {
		row := make([]Sum, m)
		for i := range row {
			row[i] = Sum{new(big.Rat), new(big.Rat)}
			if gain := gains[w*m+i]; gain != 0 {
				l1 := new(big.Rat).SetFloat64(gain)
				dc := new(big.Rat).Quo(sum(numerators[w*m+i]), atOne)
				row[i].Up = interval.Max(new(big.Rat), mul(half, new(big.Rat).Add(l1, dc)))
				row[i].Down = interval.Max(new(big.Rat), mul(half, new(big.Rat).Sub(l1, dc)))
			}
		}
		sums = append(sums, row)
	}
	return sums, loss, nil
}

// adjugate returns det(z*I - A) = z^m + c[1]*z^(m-1) + ... and the matrices of adj(z*I - A) =
// N[0]*z^(m-1) + N[1]*z^(m-2) + ..., exactly, by the recursion of Faddeev and LeVerrier (Gantmacher, The
// Theory of Matrices, ch. IV; from memory).
func adjugate(a [][]*big.Rat) (c []*big.Rat, n [][][]*big.Rat) {
	m := len(a)
	c = []*big.Rat{big.NewRat(1, 1)}
	cur := make([][]*big.Rat, m)
	for i := range cur {
		cur[i] = numbers(m)
		cur[i][i] = big.NewRat(1, 1)
	}
	for k := 1; k <= m; k++ {
		n = append(n, cur)
		next := make([][]*big.Rat, m)
		trace := new(big.Rat)
		for i := range next {
			next[i] = numbers(m)
			for j := range m {
				for l := range m {
					if a[i][l].Sign() != 0 && cur[l][j].Sign() != 0 {
						next[i][j].Add(next[i][j], mul(a[i][l], cur[l][j]))
					}
				}
			}
			trace.Add(trace, next[i][i])
		}
		ck := mul(trace, big.NewRat(-1, int64(k)))
		c = append(c, ck)
		for i := range next {
			next[i][i] = new(big.Rat).Add(next[i][i], ck)
		}
		cur = next
	}
	return c, n
}

func mul(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }

func sum(xs []*big.Rat) *big.Rat {
	s := new(big.Rat)
	for _, x := range xs {
		s.Add(s, x)
	}
	return s
}

// numbers are n zeros.
func numbers(n int) []*big.Rat {
	out := make([]*big.Rat, n)
	for i := range out {
		out[i] = new(big.Rat)
	}
	return out
}

// zeros is a matrix.
func zeros(rows, columns int) [][]float64 {
	out := make([][]float64, rows)
	for i := range out {
		out[i] = make([]float64, columns)
	}
	return out
}
