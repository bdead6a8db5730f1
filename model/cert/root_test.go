package cert_test

import (
	"math"
	"math/big"
	"reflect"
	"testing"

	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// TestNearestRoots: of all numbers of 16 bits, and of numbers around squares and around what lies in the middle of two roots, the root is the whole number next
// to it, by comparison of squares.
func TestNearestRoots(t *testing.T) {
	look := func(a int64) {
		r := big.NewInt(program.NearestRoot(a))
		if a < 0 {
			a = 0
		}
		four := new(big.Int).Lsh(big.NewInt(a), 2)
		side := func(by int64) *big.Int { // (2r + by)^2
			x := new(big.Int).Add(new(big.Int).Lsh(r, 1), big.NewInt(by))
			return x.Mul(x, x)
		}
		if side(1).Cmp(four) <= 0 || r.Sign() > 0 && side(-1).Cmp(four) > 0 {
			t.Errorf("root of %d: %v", a, r)
		}
	}
	for a := int64(-32768); a < 65536; a++ {
		look(a)
	}
	for _, r := range []int64{256, 32767, 46340, 65535, 1 << 20, 1<<30 - 1, 1 << 30, 1<<31 - 1} {
		for d := int64(-2); d <= 2; d++ {
			look(r*r + d)
			look(r*r + r + d)
		}
	}
	look(1 << 62)
}

// TestRootOfSignals: the root of a number of 12 bits, rounded or not, with a range that ends below 0, at it or above. For all its values it is where it is
// certified and no further from the real root of the real number than is claimed; a smaller claim is refused.
func TestRootOfSignals(t *testing.T) {
	for _, v := range []struct {
		lo, hi int64
		shift  uint
	}{{-300, 2000, 0}, {-300, 2000, 2}, {0, 2000, 3}, {64, 2047, 4}, {-2000, -3, 1}, {1000, 2000, 6}, {5, 5, 0}} {
		p := newPair(1)
		x, count := p.both(program.Op{Kind: program.Clamp}, one, place{0, 0}, p.constant(v.lo, one), p.constant(v.hi, one)), one
		if v.shift > 0 {
			count = big.NewRat(1<<v.shift, 1)
			x = p.rounded(x, v.shift, count)
		}
		lsb := big.NewRat(1, 4)
		finer := new(big.Rat).Mul(count, big.NewRat(16, 1)) // one count is lsb squared
		x.z = p.z(program.Op{Kind: program.Scale, Args: []program.ID{x.z}, K: finer}, x.r, big.NewRat(1, 16))
		y := p.both(program.Op{Kind: program.Root}, lsb, x)
		p.signal("root", y)
		c := p.certify(t)
		claim := c.Local.Signals[0][0]
		if claim == nil {
			t.Fatalf("%v: nothing is known of the difference", v)
		}
		machine := program.NewFixedMachine(&p.whole)
		low, high, reached := math.Inf(1), math.Inf(-1), interval.Ints(1<<40, 1<<40)
		for raw := v.lo; raw <= v.hi; raw++ {
			machine.Tick([]int64{raw}, nil)
			if got := interval.Ints(machine.Values[y.z], machine.Values[y.z]); reached.Lo.Cmp(big.NewRat(1<<40, 1)) == 0 {
				reached = got
			} else {
				reached = reached.Hull(got)
			}
			off := float64(machine.Values[y.z])/4 - math.Sqrt(float64(max(raw, 0)))
			low, high = min(low, off), max(high, off)
		}
		if r := c.Ops[y.z]; !r.Holds(reached) || !reached.Holds(r) {
			t.Errorf("%v: %v is reached, %v certified", v, reached, r)
		}
		lo, _ := claim.Lo.Float64()
		hi, _ := claim.Hi.Float64()
		if low < lo-1e-12 || high > hi+1e-12 {
			t.Errorf("%v: off by %v to %v, %v to %v is claimed", v, low, high, lo, hi)
		}
		if v.hi > 0 && max(hi, -lo) > 2.5*max(high, -low)+0.26 {
			t.Errorf("%v: off by %v to %v, %v to %v is claimed", v, low, high, lo, hi)
		}
		forged := *c
		forged.Local.Signals = [][]*interval.Range{{{Lo: claim.Lo, Hi: new(big.Rat).Sub(claim.Hi, big.NewRat(1, 1<<20))}}}
		if cert.Check(&p.real, &p.whole, &forged) == nil {
			t.Errorf("%v: a claim that is too small was accepted", v)
		}
	}
}

// TestRootFormats: a count of the argument is the square of one of the root.
func TestRootFormats(t *testing.T) {
	for _, lsb := range []*big.Rat{big.NewRat(4, 1), big.NewRat(2, 1), big.NewRat(1, 2)} {
		p := newPair(1)
		x := p.rounded(place{0, 0}, 2, big.NewRat(4, 1))
		y := p.both(program.Op{Kind: program.Root}, lsb, x)
		p.signal("root", y)
		ranges := []interval.Range{interval.Ints(0, 9), interval.Ints(0, 9), interval.Ints(0, 9)}
		if _, err := cert.NewDifferences(&p.real, &p.whole, ranges, false); (err == nil) != (lsb.Cmp(big.NewRat(2, 1)) == 0) {
			t.Errorf("the root of counts of 4 in counts of %v: %v", lsb, err)
		}
	}
}

// provenRoot is a root of a rounded number with all that is proven of it.
func provenRoot(t *testing.T) *proof {
	p := newPair(1)
	y := p.both(program.Op{Kind: program.Root}, big.NewRat(2, 1), p.rounded(place{0, 0}, 2, big.NewRat(4, 1)))
	p.signal("root", y)
	for _, q := range p.frames() {
		q.Outputs = []program.Output{{Name: "out", Type: program.I16, Value: y.r, LSB: big.NewRat(2, 1)}}
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
