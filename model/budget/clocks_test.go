package budget

import (
	"math"
	"math/rand/v2"
	"testing"

	"gainwright/model/program"
)

// TestDearestTick holds the dearest set of clocks that meet, and the mean, against a walk over all ticks of the time after which all begins anew.
func TestDearestTick(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 400 {
		var list []slow
		period := 1
		for range 1 + rng.IntN(5) {
			n := []int{2, 3, 4, 5, 6, 8, 9, 10, 12}[rng.IntN(9)]
			list = append(list, slow{clock: program.Clock{Every: n, Phase: rng.IntN(n)}, cost: float64(1 + rng.IntN(100))})
			period = period / gcd(period, n) * n
		}
		most, sum := 0.0, 0.0
		for k := 1; k <= period; k++ { // the first tick of all is another one
			cost := 0.0
			for _, s := range list {
				if s.clock.Runs(k) {
					cost += s.cost
				}
			}
			most, sum = max(most, cost), sum+cost
		}
		got, set := dearest(list)
		total, mean := 0.0, 0.0
		for _, i := range set {
			total += list[i].cost
		}
		for _, s := range list {
			mean += s.cost / float64(s.clock.Ticks())
		}
		if got != most || total != got || math.Abs(mean-sum/float64(period)) > 1e-9 {
			t.Fatalf("%v: %v by %v, %v is expected; mean %v of %v", list, got, set, most, mean, sum/float64(period))
		}
	}
}

// TestManyClocks: of more clocks than can be looked through, the dearest tick is no less than any.
func TestManyClocks(t *testing.T) {
	var list []slow
	all := 0.0
	for i := range 2000 {
		list = append(list, slow{clock: program.Clock{Every: 2 + i%60, Phase: i % (2 + i%60)}, cost: float64(1 + i%7)})
		all += list[i].cost
	}
	if got, _ := dearest(list); got > all || got < all/60 {
		t.Errorf("%v of %v", got, all)
	}
}

// TestAge: how old a value can be as a slower step finds it, against a walk over the ticks.
func TestAge(t *testing.T) {
	for n := 2; n <= 6; n++ {
		for m := 2; m <= 6; m++ {
			for p := range n {
				for q := range m {
					of, at := program.Clock{Every: n, Phase: p}, program.Clock{Every: m, Phase: q}
					last, most := 0, 0
					for k := 0; k < 2*n*m; k++ {
						if of.Runs(k) {
							last = k
						}
						if k >= n && at.Runs(k) {
							most = max(most, k-last)
						}
					}
					if got := age(of, at); got != most {
						t.Fatalf("%v read by %v: %d, %d is expected", of, at, got, most)
					}
				}
			}
		}
	}
}
