package affine

import (
	"math/big"
	"math/rand/v2"
	"testing"
)

// TestTotal holds sums against those of big.Rat.
func TestTotal(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	number := func() *big.Rat {
		den := []int64{1, 1, 2, 64, 1 << 40, 3, 131, 360, 1e15, 1 + rnd.Int64N(1e6)}[rnd.IntN(10)]
		return big.NewRat(rnd.Int64N(2001)-1000, den)
	}
	for range 2000 {
		var got total
		want := new(big.Rat)
		for range rnd.IntN(80) {
			k, x := number(), number()
			got.add(k, x)
			want.Add(want, new(big.Rat).Mul(k, x))
			if sum := got.sum(); sum.Cmp(want) != 0 || sum.Sign() != 0 && sum.Denom().Cmp(want.Denom()) != 0 {
				t.Fatalf("%v is found, %v is expected", sum, want)
			}
		}
	}
}
