package response

import (
	"math"
	"math/big"
	"testing"
)

// Numerators that are alike must get what Peak gives each of them by itself, or, where no sum is needed, no more and no less than the truth.
func TestPeaksOfAlikeNumerators(t *testing.T) {
	r := func(n, d int64) *big.Rat { return big.NewRat(n, d) }
	den := []*big.Rat{r(1, 1), r(-19, 10), r(91, 100)}
	numerators := [][]*big.Rat{
		{r(1, 3), r(-1, 7)},
		{r(0, 1), r(-1, 3), r(1, 7)},
		{r(0, 1), r(0, 1), r(0, 1)},
		{r(0, 1), r(1, 1), r(-19, 10), r(91, 100)},
		{r(-2, 3), r(19, 15), r(-91, 150)},
		{r(1, 3), r(1, 7)},
		{r(2, 3), r(-2, 7)},
		{r(1, 3), r(-1, 7), r(1, 9), r(0, 1)},
		{r(1, 1), r(-19, 10)},
	}
	got, loss, err := peaks(den, numerators, 2000)
	if err != nil {
		t.Fatal(err)
	}
	want, most, err := Peak(den, numerators, 2000)
	if err != nil || loss > most {
		t.Fatalf("%v, loss %g where %g was seen", err, loss, most)
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-9*want[i] {
			t.Errorf("numerator %d: %g, %g alone", i, got[i], want[i])
		}
	}
	if got[0] != got[1] || got[2] != 0 || got[3] != 1 || got[4] < 2.0/3 || got[4] > 2.0/3*(1+1e-15) {
		t.Errorf("%v", got)
	}
	again, _, _ := peaks(den, numerators, 2000)
	for i := range got {
		if again[i] != got[i] {
			t.Errorf("numerator %d differs from one time to the next", i)
		}
	}
	if other, _, _ := peaks(den, [][]*big.Rat{{r(1, 3), r(-1, 8)}}, 2000); other[0] == got[0] {
		t.Error("another numerator has the same gain")
	}
	if _, _, err := peaks([]*big.Rat{r(1, 1), r(-3, 2)}, numerators[:1], 2000); err == nil {
		t.Error("an unstable recursion has peak gains")
	}
	if _, _, err := peaks([]*big.Rat{r(1, 1), r(-3, 2)}, nil, 2000); err == nil {
		t.Error("an unstable recursion passes where no numerator asks for it")
	}
}
