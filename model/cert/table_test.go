package cert_test

import (
	"math/big"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// curveOf is an integer table with the nearest slopes.
func curveOf(xs, ys []int64, shift uint) *program.Curve {
	c := &program.Curve{X: xs, Y: ys, Shift: shift}
	for i := range len(xs) - 1 {
		k := big.NewRat((ys[i+1]-ys[i])<<shift, xs[i+1]-xs[i])
		c.Slope = append(c.Slope, interval.Floor(k.Add(k, big.NewRat(1, 2))).Int64())
	}
	c.MaxError, _ = cert.CurveError(c)
	return c
}

// broken is the straight line between points at x, by the definition, and beyond them the nearest point.
func broken(xs, ys []*big.Rat, x *big.Rat) *big.Rat {
	last := len(xs) - 1
	if x.Cmp(xs[0]) <= 0 {
		return ys[0]
	}
	for i := range last {
		if x.Cmp(xs[i+1]) <= 0 {
			share := new(big.Rat).Quo(new(big.Rat).Sub(x, xs[i]), new(big.Rat).Sub(xs[i+1], xs[i]))
			rest := new(big.Rat).Sub(one, share)
			return share.Mul(share, ys[i+1]).Add(share, rest.Mul(rest, ys[i]))
		}
	}
	return ys[last]
}

func rats(of []int64) (out []*big.Rat) {
	for _, n := range of {
		out = append(out, big.NewRat(n, 1))
	}
	return out
}

// drawTable draws points between counts of 8 bits.
func drawTable(r *rand.Rand) (xs, ys []int64) {
	for n := 2 + r.IntN(6); len(xs) < n; {
		if x := int64(r.IntN(300) - 150); !slices.Contains(xs, x) {
			xs = append(xs, x)
		}
	}
	slices.Sort(xs)
	size := []int{3, 100, 30000}[r.IntN(3)]
	for range xs {
		ys = append(ys, int64(r.IntN(2*size+1)-size))
	}
	if r.IntN(3) == 0 {
		slices.Sort(ys)
	}
	return xs, ys
}

// least is the smallest shift that a table may have.
func leastShift(xs []int64) uint {
	shift := uint(1)
	for i := range len(xs) - 1 {
		for xs[i+1]-xs[i] > 1<<shift {
			shift++
		}
	}
	return shift
}

// TestCurves: of random tables, each line meets the next point, one that rises never falls on the way, no number is further from the straight line than is
// proven, and that is reached; a smaller error is refused.
func TestCurves(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 400 {
		xs, ys := drawTable(r)
		c := curveOf(xs, ys, leastShift(xs)+uint(r.IntN(3)))
		if c.MaxError == nil {
			_, err := cert.CurveError(c)
			t.Fatalf("%v %v: %v", xs, ys, err)
		}
		worst := new(big.Rat)
		for x := int64(-160); x <= 160; x++ {
			y := big.NewRat(c.Eval(x), 1)
			off := new(big.Rat).Sub(y, broken(rats(xs), rats(ys), big.NewRat(x, 1)))
			worst = interval.Max(worst, off.Abs(off))
			if i := slices.Index(xs, x); i >= 0 && c.Eval(x) != ys[i] {
				t.Fatalf("%v %v: at point %d it is %v", xs, ys, i, y)
			}
			if slices.IsSorted(ys) && c.Eval(x) < c.Eval(x-1) {
				t.Fatalf("%v %v: it falls at %d", xs, ys, x)
			}
		}
		if worst.Cmp(c.MaxError) != 0 || worst.Cmp(one) > 0 {
			t.Fatalf("%v %v: off by %v, %v is said", xs, ys, worst, c.MaxError)
		}
	}
}

// TestTableOfSignals: a table of a signal of 8 bits, rounded or not. For all its values the table is where it is certified, and no further from the real
// table of the real value than is claimed, a claim that is nearly reached where nothing is rounded before; a smaller one is refused.
func TestTableOfSignals(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 60 {
		xs, ys := drawTable(r)
		shift := uint(r.IntN(3))
		p := newPair(1)
		for _, q := range p.frames() {
			q.Inputs[0].Type = program.I8
		}
		x, count, lsb := place{0, 0}, one, big.NewRat(1, 8)
		if shift > 0 {
			count = big.NewRat(1<<shift, 1)
			x = p.rounded(x, shift, count)
		}
		y := p.table(x, xs, ys, count, lsb)
		p.signal("table", y)
		c := p.certify(t)
		claim := c.Local.Signals[0][0]
		if claim == nil {
			t.Fatal("nothing is known of the difference")
		}
		machine := program.NewFixedMachine(&p.whole)
		var reached, apart *interval.Range
		grow := func(r **interval.Range, x *big.Rat) {
			if *r == nil {
				*r = &interval.Range{Lo: x, Hi: x}
			}
			**r = (*r).Hull(interval.Point(x))
		}
		scaled := func(of []*big.Rat, k *big.Rat) (out []*big.Rat) {
			for _, n := range of {
				out = append(out, new(big.Rat).Mul(n, k))
			}
			return out
		}
		for raw := int64(-128); raw < 128; raw++ {
			machine.Tick([]int64{raw}, nil)
			got := big.NewRat(machine.Values[y.z], 1)
			grow(&reached, got)
			real := broken(scaled(rats(xs), count), scaled(rats(ys), lsb), big.NewRat(raw, 1))
			grow(&apart, new(big.Rat).Sub(new(big.Rat).Mul(got, lsb), real))
		}
		if r := c.Ops[y.z]; !r.Holds(*reached) || !reached.Holds(r) {
			t.Errorf("%v %v: %v is reached, %v certified", xs, ys, *reached, r)
		}
		if !claim.Holds(*apart) {
			t.Errorf("%v %v, rounded by %d: the difference reaches %v, %v is claimed", xs, ys, shift, *apart, *claim)
		}
		if shift == 0 && apart.Size().Cmp(new(big.Rat).Mul(p.whole.Ops[y.z].Curve.MaxError, lsb)) > 0 {
			t.Errorf("%v %v: off by %v", xs, ys, *apart)
		}
		forged := *c
		forged.Local.Signals = [][]*interval.Range{{{Lo: claim.Lo, Hi: new(big.Rat).Sub(claim.Hi, big.NewRat(1, 1<<20))}}}
		if cert.Check(&p.real, &p.whole, &forged) == nil {
			t.Errorf("%v %v: a claim that is too small was accepted", xs, ys)
		}
	}
}

// table adds a table to both programs.
func (p *pair) table(x place, xs, ys []int64, count, lsb *big.Rat) place {
	y := p.both(program.Op{Kind: program.Table}, lsb, x)
	p.whole.Ops[y.z].Curve = curveOf(xs, ys, leastShift(xs)+1)
	for i := range xs {
		p.real.Ops[y.r].Points = append(p.real.Ops[y.r].Points, program.Point{X: new(big.Rat).Mul(big.NewRat(xs[i], 1), count), Y: new(big.Rat).Mul(big.NewRat(ys[i], 1), lsb)})
	}
	return y
}

// TestTableDrift: the table that was asked for has other points than the stored one. For every place, on a fine grid, the two are no further apart than is
// claimed, which is reached; a smaller claim is refused. That holds behind a factor that is stored otherwise as well.
func TestTableDrift(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 40 {
		xs, ys := drawTable(r)
		p := newPair(1)
		for _, q := range p.frames() {
			q.Inputs[0].Type = program.I8
		}
		x := p.both(program.Op{Kind: program.Scale, K: one}, one, place{0, 0})
		y := p.table(x, xs, ys, one, one)
		p.signal("table", y)
		asked := p.real.Clone()
		points := slices.Clone(asked.Ops[y.r].Points)
		for i := range points {
			points[i].X = new(big.Rat).Add(points[i].X, big.NewRat(int64(r.IntN(9)-4), 10))
			points[i].Y = new(big.Rat).Add(points[i].Y, big.NewRat(int64(r.IntN(9)-4), 10))
		}
		asked.Ops[y.r].Points = points
		factor := one
		if r.IntN(2) == 0 {
			factor = big.NewRat(101, 100)
			asked.Ops[x.r].K = factor
		}
		c := p.certify(t)
		_, whole, err := bound.Whole(&p.real, &p.whole, c.Ops)
		if err != nil {
			t.Fatal(err)
		}
		if c.Asked, err = bound.Asked(asked, &p.real, whole); err != nil {
			t.Fatal(err)
		}
		if err := cert.CheckAsked(asked, &p.real, &p.whole, c); err != nil {
			t.Fatal(err)
		}
		claim := c.Asked.Signals[0][0]
		if claim == nil {
			t.Fatal("nothing is known of the drift")
		}
		ax, ay := make([]*big.Rat, len(points)), make([]*big.Rat, len(points))
		for i, q := range points {
			ax[i], ay[i] = q.X, q.Y
		}
		machine := program.NewFixedMachine(&p.whole)
		for raw := int64(-128); raw < 128; raw++ {
			machine.Tick([]int64{raw}, nil)
			was := broken(ax, ay, new(big.Rat).Mul(big.NewRat(raw, 1), factor))
			if off := new(big.Rat).Sub(big.NewRat(machine.Values[y.z], 1), was); !claim.Holds(interval.Point(off)) {
				t.Fatalf("%v %v: at %d off by %v, %v is claimed", xs, ys, raw, off.FloatString(4), claim)
			}
		}
		forged := *c
		forged.Asked.Signals = [][]*interval.Range{{{Lo: new(big.Rat).Add(claim.Lo, big.NewRat(1, 1<<20)), Hi: claim.Hi}}}
		if cert.CheckAsked(asked, &p.real, &p.whole, &forged) == nil {
			t.Errorf("%v %v: a claim that is too small was accepted", xs, ys)
		}
	}
}

// TestOtherPoints: a table whose points are not those of the real program, or not in order, is refused.
func TestOtherPoints(t *testing.T) {
	for name, spoil := range map[string]func(*program.RealOp, *program.FixedOp){
		"another value": func(r *program.RealOp, _ *program.FixedOp) { r.Points[1].Y = big.NewRat(7, 1) },
		"another place": func(_ *program.RealOp, z *program.FixedOp) {
			z.Curve = curveOf([]int64{0, 9, 20}, z.Curve.Y, z.Curve.Shift)
		},
		"one point less": func(r *program.RealOp, _ *program.FixedOp) { r.Points = r.Points[:2] },
		"out of order": func(r *program.RealOp, _ *program.FixedOp) {
			r.Points[0].X, r.Points[1].X = r.Points[1].X, r.Points[0].X
		},
		"a steeper line":  func(_ *program.RealOp, z *program.FixedOp) { z.Curve.Slope[0] += 9 },
		"a shorter shift": func(_ *program.RealOp, z *program.FixedOp) { z.Curve.Shift-- },
		"no points":       func(r *program.RealOp, _ *program.FixedOp) { r.Points = nil },
		"no curve":        func(_ *program.RealOp, z *program.FixedOp) { z.Curve = nil },
		"a smaller error": func(_ *program.RealOp, z *program.FixedOp) { z.Curve.MaxError = big.NewRat(1, 100) },
	} {
		p := newPair(1)
		y := p.table(place{0, 0}, []int64{0, 10, 20}, []int64{5, -300, 1000}, one, one)
		p.signal("table", y)
		c := p.certify(t)
		spoil(&p.real.Ops[y.r], &p.whole.Ops[y.z])
		if cert.Check(&p.real, &p.whole, c) == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

// provenTable is a table of a rounded number with all that is proven of it.
func provenTable(t *testing.T) *proof {
	p := newPair(1)
	y := p.table(p.rounded(place{0, 0}, 2, big.NewRat(4, 1)), []int64{-3000, -100, 900, 7000}, []int64{-20, 40, 30, 900}, big.NewRat(4, 1), big.NewRat(1, 2))
	p.signal("table", y)
	for _, q := range p.frames() {
		q.Outputs = []program.Output{{Name: "out", Type: program.I16, Value: y.r, LSB: big.NewRat(1, 2)}}
	}
	p.whole.Outputs[0].Value = y.z
	c := p.certify(t)
	_, found, err := bound.Whole(&p.real, &p.whole, c.Ops)
	if err != nil {
		t.Fatal(err)
	}
	if c.Asked, err = bound.Asked(&p.real, &p.real, found); err != nil {
		t.Fatal(err)
	}
	all := proof{&p.real, &p.real, &p.whole, c}
	return deep(reflect.ValueOf(&all)).Interface().(*proof)
}
