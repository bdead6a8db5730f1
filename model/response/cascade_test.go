package response

import (
	"math"
	"math/big"
	"testing"
)

func matrix(rows ...[]string) [][]*big.Rat {
	out := make([][]*big.Rat, len(rows))
	for i, row := range rows {
		for _, x := range row {
			r, ok := new(big.Rat).SetString(x)
			if !ok {
				panic(x)
			}
			out[i] = append(out[i], r)
		}
	}
	return out
}

// TestCascadeByHand: y' = -y/2 + w feeds z' = z/4 + y. The taps of z are (1/4)^k - (-1/2)^k over 3/4, from the second tick on: by geometric
// series, worked out by hand, they add up to 8/9, and their sizes to 4/3*(1/4 + 1/2 - ...), summed here in fractions.
func TestCascadeByHand(t *testing.T) {
	up, down := 0.0, 0.0
	for k := range 200 {
		if h := (math.Pow(0.25, float64(k)) - math.Pow(-0.5, float64(k))) / 0.75; h > 0 {
			up += h
		} else {
			down -= h
		}
	}
	if math.Abs(up-down-8.0/9) > 1e-12 {
		t.Fatalf("the taps add up to %g, 8/9 is exact", up-down)
	}
	a := matrix([]string{"-1/2", "0"}, []string{"1", "1/4"})
	out, loss, err := cascade(a, matrix([]string{"1", "0"}), 1, 60)
	if err != nil {
		t.Fatal(err)
	}
	r := out[0][0]
	if r.up+r.off < up || r.down+r.off < down || r.up > up*(1+1e-12) || r.down > down*(1+1e-12) || r.off > 1e-12 || loss > 1e-12 {
		t.Errorf("%+v, loss %g; %g up and %g down are exact", r, loss, up, down)
	}
}

// TestCascadeOfFewTaps: what a short run leaves is made good, and what a rounded coefficient hides too.
func TestCascadeOfFewTaps(t *testing.T) {
	a := matrix([]string{"1/3", "0", "0"}, []string{"1", "0", "0"}, []string{"0", "1", "1/7"}) // y, y one tick ago, z
	exact := 1 / (1 - 1.0/3) / (1 - 1.0/7)
	for _, taps := range []int{3, 4, 8, 40} {
		out, _, err := cascade(a, matrix([]string{"1", "0", "0"}), 1, taps)
		if err != nil {
			if taps > 3 {
				t.Errorf("%d taps: %v", taps, err)
			}
			continue
		}
		if r := out[0][0]; r.up+r.off < exact || taps == 40 && r.up+r.off > exact*(1+1e-9) {
			t.Errorf("%d taps: %+v, %g is exact", taps, r, exact)
		}
	}
}

// TestCascadeRefuses what is not stable, and what takes too long.
func TestCascadeRefuses(t *testing.T) {
	one := matrix([]string{"1", "0"})
	for name, a := range map[string][][]*big.Rat{
		"a pole at 1":        matrix([]string{"1", "0"}, []string{"1", "1/2"}),
		"a pole at 1.01":     matrix([]string{"1/2", "0"}, []string{"1", "101/100"}),
		"copies in a circle": matrix([]string{"0", "1"}, []string{"1", "0"}),
	} {
		for _, taps := range []int{10, 1000, 100000} {
			if _, _, err := cascade(a, one, 1, taps); err == nil {
				t.Errorf("%s: bounded with %d taps", name, taps)
			}
		}
	}
	stable := matrix([]string{"1/2", "0"}, []string{"1", "1/2"})
	for _, taps := range []int{-1, 0, 1 << 25} {
		if _, _, err := cascade(stable, one, 1, taps); err == nil {
			t.Errorf("%d taps were taken", taps)
		}
	}
}

// TestCascadeAsPeak holds the responses of two filters of second order in series against those of one of fourth order, by its common
// denominator, where that is not too coarse.
func TestCascadeAsPeak(t *testing.T) {
	a := matrix([]string{"18/10", "-82/100", "0", "0"}, []string{"1", "0", "0", "0"}, []string{"1/10", "-1/20", "16/10", "-7/10"}, []string{"0", "0", "1", "0"})
	b := matrix([]string{"1", "0", "1/3", "0"})
	den, adj := adjugate(a)
	num := make([]*big.Rat, 4)
	for k := range num {
		num[k] = new(big.Rat)
		for j, x := range b[0] {
			num[k].Add(num[k], mul(adj[k][2][j], x))
		}
	}
	gains, _, err := Peak(den, [][]*big.Rat{num}, 4000)
	if err != nil {
		t.Fatal(err)
	}
	out, _, err := cascade(a, b, 2, 4000)
	if err != nil {
		t.Fatal(err)
	}
	r := out[0][0]
	if all := r.up + r.down; math.Abs(all-gains[0]) > 1e-6*gains[0] || r.off > 1e-6*all {
		t.Errorf("%g off by %g at most, by the common denominator %g", all, r.off, gains[0])
	}
}
