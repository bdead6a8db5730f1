package bound

import (
	"math/big"

	"gainwright/model/affine"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// rest is where a state that changes as x' = c*x + w, |c| < 1, comes to rest while w stays in the interval last
// found. It is a guess to start from: no claim is built on it. f is the form of what the state becomes, reader the value that reads it.
func rest(p program.View, f affine.Form, reader program.ID, of func(symbol int) interval.Range) (interval.Range, bool) {
	w := interval.Point(f.C)
	var c *big.Rat
	for _, t := range f.Terms {
		if t.Symbol == int(reader) || t.Symbol >= 0 && p.Ops[t.Symbol].Kind == program.Select && (p.Ops[t.Symbol].Args[1] == reader || p.Ops[t.Symbol].Args[2] == reader) {
			if c != nil {
				return w, false
			}
			c = t.K
			continue
		}
		w = w.Add(of(t.Symbol).Scale(t.K))
	}
	one := big.NewRat(1, 1)
	if c == nil || new(big.Rat).Abs(c).Cmp(one) >= 0 {
		return w, false
	}
	if c.Sign() < 0 { // it swings: the size decides
		size := w.Size()
		w = interval.Range{Lo: new(big.Rat).Neg(size), Hi: size}
	}
	return w.Scale(new(big.Rat).Inv(new(big.Rat).Sub(one, new(big.Rat).Abs(c)))), true
}

// matrix is the A of a recursion, to guess by how many taps its responses need.
func matrix(r cert.Recursion) [][]float64 {
	index := map[int]int{}
	for i, s := range r.Symbols {
		index[s] = i
	}
	out := make([][]float64, len(r.Symbols))
	for i, f := range r.Next {
		out[i] = make([]float64, len(r.Symbols))
		for _, t := range f.Terms {
			if j, ok := index[t.Symbol]; ok {
				out[i][j], _ = t.K.Float64()
			}
		}
	}
	return out
}
