package cert_test

import (
	"math"
	"math/big"
	"testing"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// TestClampInSecondOrder is the trap of a clamp inside a recursion of second order. Without the clamps the recursion is
// stable and its rounding stays below 20 counts (the sum of the response's sizes, times half a count a rounding). While
// the second state is limited in both programs, the first is on its own with a factor of 1.2: the difference grows
// far beyond, so no such bound may be claimed.
func TestClampInSecondOrder(t *testing.T) {
	p := newPair(1)
	x := place{0, 0}
	n1, s1 := p.state(0)
	n2, s2 := p.state(0)
	fine := big.NewRat(1, 1024)
	scaled := func(k int64, a place) place {
		return p.both(program.Op{Kind: program.Scale, K: big.NewRat(k, 1)}, fine, a)
	}
	limited := func(a place, most int64) place {
		return p.both(program.Op{Kind: program.Clamp}, one, p.rounded(a, 10, one), p.constant(-most, one), p.constant(most, one))
	}
	a := p.both(program.Op{Kind: program.Sub}, fine, scaled(1229, s1), scaled(1024, s2))
	a = p.both(program.Op{Kind: program.Add}, fine, a, scaled(1024, x))
	p.next(n1, limited(a, 30000))
	p.next(n2, limited(p.both(program.Op{Kind: program.Sub}, fine, scaled(512, s1), scaled(307, s2)), 2000))
	p.signal("first", place{s1.r, s1.z})
	c := p.certify(t)

	linear := 0.0 // sum over all ticks of |A^k| times half a count in each state, A as without the clamps
	for c := range 2 {
		e := [2]float64{}
		for e[c] = 0.5; math.Abs(e[0])+math.Abs(e[1]) > 1e-9; e = [2]float64{1229.0/1024*e[0] - e[1], 0.5*e[0] - 307.0/1024*e[1]} {
			linear += math.Abs(e[0])
		}
	}
	if linear > 20 {
		t.Fatalf("the recursion without its clamps has a bound of %v", linear)
	}
	real, whole := program.NewRealMachine(&p.real), program.NewFixedMachine(&p.whole)
	worst, most := 0.0, 0.0
	for tick := range 400 {
		u := int64(12001)
		if tick > 3 { // hold the first state near 20000, off its limit
			u = 20000 - int64(math.Round(1.2*float64(whole.State[0]))) + whole.State[1]
		}
		u = min(max(u, -32768), 32767)
		whole.Tick([]int64{u}, nil)
		real.Tick([]float64{float64(u)}, nil, nil)
		worst = max(worst, math.Abs(real.State[0]-float64(whole.State[0])))
		if claim := c.Local.States[n1]; claim != nil {
			most, _ = claim.Size().Float64()
			if worst > most {
				t.Fatalf("tick %d: the programs differ by %v, the bound is %v", tick, worst, most)
			}
		}
	}
	if worst < 10*linear {
		t.Errorf("the programs differ by %v counts at most: the trap was not sprung", worst)
	}
	t.Logf("bound without clamps %.3g, difference with them %v, claimed %v", linear, worst, c.Local.States[n1])
	for _, forged := range []int64{20, int64(worst), 3 * int64(worst)} {
		p.refuses(t, c, n1, forged)
	}
}

// TestConditionalIntegration: an integrator that stops while a rounded sum is beyond a limit may stop in one program
// and run in the other, for ever. No bound may be claimed.
func TestConditionalIntegration(t *testing.T) {
	p := newPair(1)
	x := place{0, 0}
	n, s := p.state(0)
	u := p.both(program.Op{Kind: program.Add}, one, s, p.rounded(p.both(program.Op{Kind: program.Scale, K: big.NewRat(3, 1)}, big.NewRat(1, 4), x), 2, one))
	free := p.both(program.Op{Kind: program.LessEqual, Bool: true}, one, u, p.constant(100, one))
	more := p.both(program.Op{Kind: program.Clamp}, one, p.both(program.Op{Kind: program.Add}, one, s, x), p.constant(-1000, one), p.constant(1000, one))
	p.next(n, p.both(program.Op{Kind: program.Select}, one, free, more, s))
	p.signal("sum", s)
	c := p.certify(t)
	if c.Local.States[n] != nil || c.Local.Signals[0][0] != nil {
		t.Error("a bound is claimed though the programs may decide differently")
	}
	p.refuses(t, c, n, 500)
	real, whole := program.NewRealMachine(&p.real), program.NewFixedMachine(&p.whole)
	in := []int64{56, 59} // 56 + 0.75*59 = 100.25 stops one program and not the other
	for range 60 {
		in = append(in, -10) // which leaves one sum above the limit, where it stays, while the other runs down
	}
	for _, x := range in {
		whole.Tick([]int64{x}, nil)
		real.Tick([]float64{float64(x)}, nil, nil)
	}
	if d := math.Abs(real.State[0] - float64(whole.State[0])); d <= 500 {
		t.Errorf("the programs differ by %v: the trap was not sprung", d)
	}
}

// TestDrift: what is rounded before it is summed drifts without end; what is summed exactly does not differ at all.
func TestDrift(t *testing.T) {
	for _, exact := range []bool{false, true} {
		p := newPair(1)
		n, s := p.state(0)
		step := place{0, 0}
		if !exact {
			step = p.rounded(p.both(program.Op{Kind: program.Scale, K: big.NewRat(1, 1)}, big.NewRat(1, 4), step), 2, one)
		}
		next := p.both(program.Op{Kind: program.Clamp}, one, p.both(program.Op{Kind: program.Add}, one, s, step), p.constant(-1000, one), p.constant(1000, one))
		p.next(n, next)
		p.signal("sum", next)
		c := p.certify(t)
		got := c.Local.States[n]
		switch {
		case exact && (got == nil || !got.IsZero()):
			t.Errorf("an exact sum differs by %v", got)
		case !exact && got != nil:
			t.Errorf("a drifting sum is said to differ by %v", got)
		case !exact:
			p.refuses(t, c, n, 100)
		}
	}
}

// TestHold: a held value differs by no more than what was captured, though its pole is at one.
func TestHold(t *testing.T) {
	p := newPair(2)
	n, s := p.state(0)
	when := p.both(program.Op{Kind: program.Less, Bool: true}, one, place{1, 1}, p.constant(5, one))
	value := p.rounded(p.both(program.Op{Kind: program.Scale, K: big.NewRat(3, 1)}, big.NewRat(1, 8), place{0, 0}), 3, one)
	now := p.both(program.Op{Kind: program.Select}, one, when, value, s)
	p.next(n, now)
	p.signal("held", now)
	c := p.certify(t)
	want := interval.Range{Lo: big.NewRat(1-4, 8), Hi: big.NewRat(1, 2)} // halves go up: the lower end is an eighth short
	if got := c.Local.States[n]; got == nil || got.Lo.Cmp(want.Lo) != 0 || got.Hi.Cmp(want.Hi) != 0 {
		t.Errorf("held differs by %v, want %v", got, want)
	}
}

// TestManyRoundings: more roundings than one affine expression holds; each adds half a count.
func TestManyRoundings(t *testing.T) {
	const n = 40
	p := newPair(n)
	var total place
	for i := range n {
		in := place{program.ID(i), program.ID(i)}
		v := p.rounded(p.both(program.Op{Kind: program.Scale, K: big.NewRat(3, 1)}, big.NewRat(1, 2), in), 1, one)
		if i == 0 {
			total = v
			continue
		}
		total = p.both(program.Op{Kind: program.Add}, one, total, v)
	}
	p.signal("total", total)
	c := p.certify(t)
	got, want := c.Local.Signals[0][0], interval.Ints(0, n/2) // 3x/2 is rounded up by half a count or not at all
	if got == nil || got.Lo.Cmp(want.Lo) != 0 || got.Hi.Cmp(want.Hi) != 0 {
		t.Errorf("a sum of %d rounded values differs by %v, want %v", n, got, want)
	}
	real, whole := program.NewRealMachine(&p.real), program.NewFixedMachine(&p.whole)
	ones, counts := make([]float64, n), make([]int64, n)
	for i := range n {
		ones[i], counts[i] = 1, 1
	}
	whole.Tick(counts, nil)
	real.Tick(ones, nil, nil)
	if d := float64(whole.Values[total.z]) - real.Values[total.r]; d != n/2 {
		t.Errorf("all ones differ by %v, the bound %v is said to be reached", d, want.Hi)
	}
}

// TestHalfWrapped: a value wrapped by two turns only may be a whole turn off what the real program has; nothing may be
// claimed of it but by the stage after.
func TestHalfWrapped(t *testing.T) {
	for _, stages := range []int{1, 2} {
		p := newPair(1)
		turn := big.NewRat(20000, 1)
		r := p.r(program.Op{Kind: program.Wrap, K: turn, Args: []program.ID{0}})
		w := p.z(program.Op{Kind: program.Wrap, K: big.NewRat(40000, 1), Args: []program.ID{0}}, r, one)
		if stages == 2 {
			w = p.z(program.Op{Kind: program.Wrap, K: turn, Args: []program.ID{w}}, r, one)
		}
		n, s := p.state(0)
		p.next(n, place{r, w})
		p.signal("angle", place{r, w})
		p.signal("before", s)
		for _, q := range p.frames() {
			q.Sections[0].Signals[0].Angular, q.Sections[0].Signals[1].Angular = turn, turn
		}
		c := p.certify(t)
		zero := interval.Ints(0, 0)
		for _, got := range []*interval.Range{c.Local.Signals[0][0], c.Local.States[n]} {
			if exact := got != nil && got.IsZero(); exact != (stages == 2) {
				t.Errorf("%d stages: the difference is said to be %v", stages, got)
			}
		}
		if stages == 1 {
			p.refuses(t, c, n, 0)
			forged := *c
			forged.Local.Signals = [][]*interval.Range{{&zero, nil}}
			if cert.Check(&p.real, &p.whole, &forged) == nil {
				t.Error("a half-wrapped signal was accepted as exact")
			}
		}
	}
}

// TestPeaksProveNothingOfThemselves: what enters a recursion may not be bounded by the claim about that recursion, and
// a number of taps below one finds no gain of nothing.
func TestPeaksProveNothingOfThemselves(t *testing.T) {
	p := newPair(1)
	n, s := p.state(0)
	sum := p.both(program.Op{Kind: program.Add}, one, s, place{0, 0})
	p.next(n, p.both(program.Op{Kind: program.Clamp}, one, sum, p.constant(-1000, one), p.constant(1000, one)))
	p.signal("sum", s)
	c := p.certify(t)
	for _, taps := range []int{-5, -1, 1, 64} {
		forged := *c
		forged.Taps = []int{taps}
		forged.States = []interval.Range{interval.Ints(-5, 5)}
		if cert.Check(&p.real, &p.whole, &forged) == nil {
			t.Errorf("%d taps: a limited sum was accepted as staying within 5", taps)
		}
	}
}
