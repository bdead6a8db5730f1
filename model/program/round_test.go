package program

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// rounder rounds its input by a shift.
func rounder(shift uint) *FixedMachine {
	return NewFixedMachine(&Fixed{Frame: Frame{Sections: make([]Section, 1), Inputs: make([]InputInfo, 1)}, Ops: []FixedOp{{Op: Op{Kind: Input}}, {Op: Op{Kind: Round, Args: []ID{0}}, Shift: shift}}})
}

// TestRoundAll tries every 8-bit number and every shift: to the nearest whole number, halves up, found by trying
// all candidates.
func TestRoundAll(t *testing.T) {
	for shift := uint(1); shift <= 9; shift++ {
		m := rounder(shift)
		for x := int64(-128); x <= 127; x++ {
			m.Tick([]int64{x}, nil)
			best, unit := int64(-200), int64(1)<<shift
			for y := int64(-129); y <= 128; y++ {
				if d, least := x-y*unit, x-best*unit; max(d, -d) <= max(least, -least) { // later ones are larger: halves go up
					best = y
				}
			}
			if m.Values[1] != best {
				t.Errorf("round(%d / 2^%d) is %d, want %d", x, shift, m.Values[1], best)
			}
		}
	}
}

// TestRoundVectors: half-up column of a table for a shift by two, computed with gcc -fsanitize=undefined, and Q15 products by
// hand; the source of the cases is C99 6.5.7 with round half up as (x + half) >> n.
func TestRoundVectors(t *testing.T) {
	vectors := []struct {
		x     int64
		shift uint
		want  int64
	}{{-13, 2, -3}, {-10, 2, -2}, {-6, 2, -1}, {-2, 2, 0}, {-1, 2, 0}, {2, 2, 1}, {6, 2, 2}, {10, 2, 3},
		{-32768 * -32768, 15, 32768}, {-32768 * 32767, 15, -32767}, {16384 * -3, 15, -1}}
	for _, v := range vectors {
		m := rounder(v.shift)
		if m.Tick([]int64{v.x}, nil); m.Values[1] != v.want {
			t.Errorf("(%d + half) >> %d is %d, want %d", v.x, v.shift, m.Values[1], v.want)
		}
	}
}

func TestSetter(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 20000 {
		s := Setter{XLo: r.Int64N(1<<31) - 1<<30, M: r.Int64N(1<<30) - 1<<29, Shift: uint(1 + r.IntN(60))}
		s.XHi = s.XLo + r.Int64N(1<<30-s.XLo+1)
		for _, x := range []int64{s.XLo, s.XHi, s.XLo - 1, s.XHi + 1, math.MinInt64, math.MaxInt64, s.XLo + r.Int64N(s.XHi-s.XLo+1)} {
			limited := big.NewRat(min(max(x, s.XLo), s.XHi), 1)
			exact := new(big.Rat).Mul(limited, big.NewRat(s.M, 1))
			exact.Quo(exact, new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), s.Shift)))
			want := floor(exact.Add(exact, big.NewRat(1, 2)))
			if got := big.NewRat(s.Apply(x), 1); got.Cmp(want) != 0 {
				t.Fatalf("%+v.Apply(%d) is %v, want %v", s, x, got, want)
			}
		}
	}
}

func TestWrapReal(t *testing.T) {
	below := math.Nextafter(180, 0)
	type row struct{ X, Want float64 }
	rows := []row{{0, 0}, {180, -180}, {-180, -180}, {179.999, 179.999}, {-179.999, -179.999}, {180.5, -179.5}, {-180.5, 179.5}, {540, -180}, {-540, -180},
		{3600, 0}, {3599, -1}, {below, below - 360}, {180 - 1e-9, 180 - 1e-9}, {-below, -below}, {math.Nextafter(-180, -200), math.Nextafter(-180, -200)}}
	for _, r := range rows {
		if got := WrapReal(r.X, 360); math.Abs(got-r.Want) > 1e-12*360 {
			t.Errorf("WrapReal(%v, 360) is %v, want %v", r.X, got, r.Want)
		}
	}
	rnd := rand.New(rand.NewPCG(1, 1))
	for range 100000 {
		turn := []float64{360, 1}[rnd.IntN(2)]
		v := (rnd.Float64() - 0.5) * 2000 * turn
		if rnd.IntN(2) == 0 { // next to a seam
			v = (math.Floor(v/turn)+0.5)*turn + (rnd.Float64()-0.5)*1e-10*turn
		}
		got := WrapReal(v, turn)
		turns := (v - got) / turn
		if got < -turn/2-turn*1e-12 || got > turn/2-turn*1e-12 || math.Abs(turns-math.Round(turns)) > 1e-12*max(1, math.Abs(turns)) {
			t.Fatalf("WrapReal(%v, %v) is %v", v, turn, got)
		}
	}
}

// TestArctanEval holds Eval to its definition in exact fractions: the quotient cut to its bits, a straight line
// between entries, the octants put together.
func TestArctanEval(t *testing.T) {
	table := &Arctan{QuotientBits: 6, LogEntries: 2, Entries: []int64{0, 40, 70, 88, 100, 100}, Quarter: 200}
	seen := map[int64]bool{}
	for y := int64(-70); y <= 70; y++ {
		for x := int64(-70); x <= 70; x++ {
			got := table.Eval(y, x)
			seen[got] = true
			if want := naiveArctan(table, y, x); got != want {
				t.Fatalf("Eval(%d, %d) is %d, want %d", y, x, got, want)
			}
		}
	}
	// both ends of the circle are reached: a small negative sine side is rounded to none, and keeps its sign
	if d := cmp.Diff([]bool{true, true, true}, []bool{seen[400], seen[-400], seen[0]}); d != "" {
		t.Error(d)
	}
}

func naiveArctan(t *Arctan, y, x int64) int64 {
	abs := func(v int64) int64 { return max(v, -v) }
	if x == 0 && y == 0 {
		return 0
	}
	ratio := big.NewRat(min(abs(y), abs(x)), max(abs(y), abs(x)))
	q := floor(ratio.Mul(ratio, big.NewRat(1<<t.QuotientBits, 1)))
	at := new(big.Rat).Quo(q, big.NewRat(1<<(t.QuotientBits-t.LogEntries), 1))
	i := floor(at)
	a := big.NewRat(t.Entries[i.Num().Int64()], 1)
	b := big.NewRat(t.Entries[i.Num().Int64()+1], 1)
	at.Sub(at, i)
	line := new(big.Rat).Mul(new(big.Rat).Sub(b, a), at) // the step from the entry is rounded, halves up
	v := a.Num().Int64() + floor(line.Add(line, big.NewRat(1, 2))).Num().Int64()
	if abs(y) > abs(x) {
		v = t.Quarter - v
	}
	if x < 0 {
		v = 2*t.Quarter - v
	}
	if y < 0 {
		v = -v
	}
	return v
}
