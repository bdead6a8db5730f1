package interval

import (
	"math/big"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// ratCmp compares rational numbers by value.
var ratCmp = cmp.Comparer(func(a, b *big.Rat) bool { return a.Cmp(b) == 0 })

// small is every interval with whole ends in [-n, n].
func small(n int64) []Range {
	var out []Range
	for lo := -n; lo <= n; lo++ {
		for hi := lo; hi <= n; hi++ {
			out = append(out, Ints(lo, hi))
		}
	}
	return out
}

// each calls f for every whole number of r.
func each(r Range, f func(x int64)) {
	for x := r.Lo.Num().Int64(); x <= r.Hi.Num().Int64(); x++ {
		f(x)
	}
}

// tight is the smallest interval around the numbers put into it.
type tight struct {
	lo, hi int64
	some   bool
}

func (t *tight) put(x int64) {
	if !t.some || x < t.lo {
		t.lo = x
	}
	if !t.some || x > t.hi {
		t.hi = x
	}
	t.some = true
}

func (t *tight) is(test *testing.T, what string, got Range, of ...Range) {
	test.Helper()
	if want := Ints(t.lo, t.hi); !cmp.Equal(want, got, ratCmp) {
		test.Errorf("%s of %v: [%v, %v], want [%d, %d]", what, show(of), got.Lo, got.Hi, t.lo, t.hi)
	}
}

func show(of []Range) (out []string) {
	for _, r := range of {
		out = append(out, "["+r.Lo.RatString()+", "+r.Hi.RatString()+"]")
	}
	return out
}

// TestTwo holds every operation on two intervals equal, end for end, to what trying all whole numbers
// gives: the ends of each of these operations are taken at whole numbers where those of its arguments are.
func TestTwo(t *testing.T) {
	ops := []struct {
		name string
		of   func(a, b Range) Range
		on   func(x, y int64) int64
	}{
		{"Add", Range.Add, func(x, y int64) int64 { return x + y }},
		{"Sub", Range.Sub, func(x, y int64) int64 { return x - y }},
		{"Mul", Range.Mul, func(x, y int64) int64 { return x * y }},
		{"Min", Range.Min, func(x, y int64) int64 { return min(x, y) }},
		{"Max", Range.Max, func(x, y int64) int64 { return max(x, y) }},
	}
	for _, op := range ops {
		for _, a := range small(4) {
			for _, b := range small(4) {
				var want tight
				each(a, func(x int64) { each(b, func(y int64) { want.put(op.on(x, y)) }) })
				want.is(t, op.name, op.of(a, b), a, b)
			}
		}
	}
}

func TestOne(t *testing.T) {
	for _, a := range small(5) {
		for k := int64(-3); k <= 3; k++ {
			var want tight
			each(a, func(x int64) { want.put(k * x) })
			want.is(t, "Scale", a.Scale(big.NewRat(k, 1)), a)
		}
		var abs, neg, size tight
		each(a, func(x int64) { abs.put(max(x, -x)); neg.put(-x); size.put(max(x, -x)) })
		abs.is(t, "Abs", a.Abs(), a)
		neg.is(t, "Neg", a.Neg(), a)
		if a.Size().Cmp(big.NewRat(size.hi, 1)) != 0 {
			t.Errorf("Size of %v: %v, want %d", show([]Range{a}), a.Size(), size.hi)
		}
		if point := a.Lo.Cmp(a.Hi) == 0; a.IsPoint() != point || a.IsZero() != (point && a.Lo.Sign() == 0) {
			t.Errorf("%v: IsPoint %v, IsZero %v", show([]Range{a}), a.IsPoint(), a.IsZero())
		}
	}
	third := Range{big.NewRat(-1, 3), big.NewRat(1, 2)}
	if d := cmp.Diff(Range{big.NewRat(-1, 4), big.NewRat(1, 6)}, third.Scale(big.NewRat(-1, 2)), ratCmp); d != "" {
		t.Error(d)
	}
}

// TestLimit includes limits that cross: where the low one is above the high one, the high one wins.
func TestLimit(t *testing.T) {
	crossed := 0
	for _, a := range small(2) {
		for _, lo := range small(2) {
			for _, hi := range small(2) {
				var want tight
				each(a, func(x int64) {
					each(lo, func(l int64) {
						each(hi, func(h int64) {
							if l > h {
								crossed++
							}
							want.put(min(max(x, l), h))
						})
					})
				})
				want.is(t, "Limit", a.Limit(lo, hi), a, lo, hi)
			}
		}
	}
	if crossed == 0 {
		t.Error("no limits crossed")
	}
}

// TestSets holds Hull, Meet and Holds against membership, number by number.
func TestSets(t *testing.T) {
	for _, a := range small(4) {
		for _, b := range small(4) {
			var hull, meet tight
			inside := true
			each(a, func(x int64) {
				hull.put(x)
				if b.Holds(Ints(x, x)) {
					meet.put(x)
				}
			})
			each(b, func(x int64) {
				hull.put(x)
				inside = inside && a.Lo.Num().Int64() <= x && x <= a.Hi.Num().Int64()
			})
			hull.is(t, "Hull", a.Hull(b), a, b)
			if got, ok := a.Meet(b); ok != meet.some {
				t.Errorf("Meet of %v: ok is %v", show([]Range{a, b}), ok)
			} else if ok {
				meet.is(t, "Meet", got, a, b)
			}
			if a.Holds(b) != inside {
				t.Errorf("Holds of %v: %v", show([]Range{a, b}), !inside)
			}
		}
	}
}

// TestWhole tries ends in sixths between -2 and 2.
func TestWhole(t *testing.T) {
	for lo := int64(-12); lo <= 12; lo++ {
		x := big.NewRat(lo, 6)
		down, up := int64(-10), int64(10)
		for k := int64(-10); k <= 10; k++ {
			if 6*k <= lo {
				down = k
			}
			if 6*(-k) >= lo {
				up = -k
			}
		}
		if Floor(x).Int64() != down || Ceil(x).Int64() != up {
			t.Errorf("%v: floor %v, ceiling %v, want %d and %d", x, Floor(x), Ceil(x), down, up)
		}
		for hi := lo; hi <= 12; hi++ {
			a := Range{x, big.NewRat(hi, 6)}
			var want tight
			for k := int64(-2); k <= 2; k++ {
				if lo <= 6*k && 6*k <= hi {
					want.put(k)
				}
			}
			got, ok := a.Whole()
			if ok != want.some {
				t.Errorf("Whole of %v: ok is %v", show([]Range{a}), ok)
			} else if ok {
				want.is(t, "Whole", got, a)
			}
		}
	}
}

// TestShort: an interval with few digits holds the one that it stands for, and is hardly wider.
func TestShort(t *testing.T) {
	third := big.NewRat(1, 3)
	for range 9 {
		third.Mul(third, third)
	}
	for _, x := range []*big.Rat{third, new(big.Rat).Neg(third), new(big.Rat).Inv(third), new(big.Rat).Add(new(big.Rat).Inv(third), third), big.NewRat(-5, 7), new(big.Rat)} {
		a := Range{x, x}
		s := a.Short()
		if !s.Holds(a) {
			t.Errorf("%v does not hold %v", s, x)
		}
		if wide := new(big.Rat).Sub(s.Hi, s.Lo); wide.Cmp(new(big.Rat).Mul(a.Size(), new(big.Rat).SetFrac64(1, 1<<62))) > 0 {
			t.Errorf("%v is much wider than %v", s, x)
		}
		if bits := s.Hi.Num().BitLen(); x.Denom().BitLen() > 128 && bits > 102+max(0, x.Num().BitLen()-x.Denom().BitLen()) {
			t.Errorf("%v is longer than %v", s, x)
		}
	}
}
