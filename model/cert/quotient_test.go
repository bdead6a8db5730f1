package cert_test

import (
	"math/big"
	"reflect"
	"testing"

	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// TestQuotientOfSignals: a number of 8 bits over one of 8 bits that keeps away from 0, each rounded or not, the numerator made finer or not. Of all
// pairs no quotient is another than the nearest whole number, halves up, leaves the certified range or is further from the exact quotient than
// is claimed; the range is reached, the difference nearly, and a smaller claim is refused.
func TestQuotientOfSignals(t *testing.T) {
	for _, v := range []struct {
		shifts [2]uint
		finer  uint // bits that the numerator gets before
		lo, hi int64
	}{
		{[2]uint{0, 0}, 0, 1, 127}, {[2]uint{0, 0}, 6, 3, 100}, {[2]uint{0, 0}, 5, -128, -1}, {[2]uint{0, 0}, 4, 7, 7}, {[2]uint{2, 0}, 6, 5, 127},
		{[2]uint{0, 2}, 6, 6, 127}, {[2]uint{1, 2}, 8, -90, -10}, {[2]uint{3, 3}, 4, 20, 120},
	} {
		p := newPair(2)
		for _, q := range p.frames() {
			q.Inputs[0].Type, q.Inputs[1].Type = program.I8, program.I8
		}
		lo, hi := p.constant(v.lo, one), p.constant(v.hi, one)
		sides := [2]place{{0, 0}, p.both(program.Op{Kind: program.Clamp}, one, place{1, 1}, lo, hi)}
		lsbs := [2]*big.Rat{one, one}
		for i, shift := range v.shifts {
			if shift > 0 {
				lsbs[i] = big.NewRat(1<<shift, 1)
				sides[i] = p.rounded(sides[i], shift, lsbs[i])
			}
		}
		if v.finer > 0 {
			lsbs[0] = new(big.Rat).Mul(lsbs[0], big.NewRat(1, 1<<v.finer))
			sides[0].z = p.z(program.Op{Kind: program.Scale, Args: []program.ID{sides[0].z}, K: big.NewRat(1<<v.finer, 1)}, sides[0].r, lsbs[0])
		}
		lsb := new(big.Rat).Quo(lsbs[0], lsbs[1])
		x := p.both(program.Op{Kind: program.Quotient}, lsb, sides[0], sides[1])
		p.signal("quotient", x)
		c := p.certify(t)
		claim := c.Local.Signals[0][0]
		if claim == nil {
			t.Errorf("%v: nothing is known of the difference", v)
			continue
		}
		whole := program.NewFixedMachine(&p.whole)
		var reached, apart *interval.Range
		grow := func(r **interval.Range, x *big.Rat) {
			if *r == nil {
				*r = &interval.Range{Lo: x, Hi: x}
			}
			**r = (*r).Hull(interval.Point(x))
		}
		for a := int64(-128); a < 128; a++ {
			for b := v.lo; b <= v.hi; b++ {
				whole.Tick([]int64{a, b}, nil)
				got := new(big.Rat).SetInt64(whole.Values[x.z])
				counts := big.NewRat(whole.Values[sides[0].z], whole.Values[sides[1].z])
				if nearest := new(big.Rat).SetInt(interval.Floor(new(big.Rat).Add(counts, big.NewRat(1, 2)))); got.Cmp(nearest) != 0 {
					t.Fatalf("%v: %d over %d gives %v", v, whole.Values[sides[0].z], whole.Values[sides[1].z], got)
				}
				grow(&reached, got)
				grow(&apart, new(big.Rat).Sub(new(big.Rat).Mul(got, lsb), big.NewRat(a, b)))
			}
		}
		if r := c.Ops[x.z]; !r.Holds(*reached) || !reached.Holds(r) {
			t.Errorf("%v: %v is reached, %v certified", v, *reached, r)
		}
		if !claim.Holds(*apart) {
			t.Errorf("%v: the difference reaches %v, %v is claimed", v, *apart, *claim)
		}
		if most := new(big.Rat).Mul(apart.Size(), big.NewRat(3, 2)); claim.Size().Cmp(most) > 0 {
			t.Errorf("%v: the difference is said to reach %v, %v is reached", v, claim.Size().FloatString(4), apart.Size().FloatString(4))
		}
		forged := *c
		forged.Local.Signals = [][]*interval.Range{{{Lo: claim.Lo, Hi: new(big.Rat).Sub(claim.Hi, big.NewRat(1, 1<<20))}}}
		if cert.Check(&p.real, &p.whole, &forged) == nil {
			t.Errorf("%v: a claim that is too small was accepted", v)
		}
	}
}

// TestDivisorMayBeZero: no range is found where a divisor is not kept away from 0, and the checker believes in none.
func TestDivisorMayBeZero(t *testing.T) {
	for _, ends := range [][2]int64{{0, 100}, {-100, 0}, {-5, 100}, {0, 0}, {1, 100}, {-100, -1}} {
		p := newPair(2)
		by := p.both(program.Op{Kind: program.Clamp}, one, place{1, 1}, p.constant(ends[0], one), p.constant(ends[1], one))
		x := p.both(program.Op{Kind: program.Quotient}, one, place{0, 0}, by)
		p.signal("quotient", x)
		away := ends[0]*ends[1] > 0
		if _, _, err := bound.Ranges(&p.whole, false); (err == nil) != away {
			t.Errorf("over %v, integers: %v", ends, err)
		}
		if _, _, err := bound.Ranges(&p.real, false); (err == nil) != away {
			t.Errorf("over %v, real numbers: %v", ends, err)
		}
		if !away {
			continue
		}
		c := p.certify(t)
		for i := range p.whole.Ops { // the limit that keeps it away is gone
			if p.whole.Ops[i].Kind == program.Const && p.whole.Ops[i].K.Cmp(big.NewRat(ends[0], 1)) == 0 {
				p.whole.Ops[i].K, p.real.Ops[p.whole.Ops[i].Real].K = new(big.Rat), new(big.Rat)
			}
			if p.whole.Ops[i].Kind == program.Const && ends[1] < 0 && p.whole.Ops[i].K.Cmp(big.NewRat(ends[1], 1)) == 0 {
				p.whole.Ops[i].K, p.real.Ops[p.whole.Ops[i].Real].K = new(big.Rat), new(big.Rat)
			}
		}
		if cert.Check(&p.real, &p.whole, c) == nil {
			t.Errorf("over what was in %v and may be 0 now: accepted", ends)
		}
	}
}

// TestDivisorMayBeZeroInRealNumbers: a divisor of one count or two, three times a rounded number less a constant. Three halves of a count is the real one
// from it: where one count is left it may be 0 or of the other sign, and nothing is known of the quotient.
func TestDivisorMayBeZeroInRealNumbers(t *testing.T) {
	for _, v := range []struct {
		left  int64
		known bool
	}{{2, true}, {1, false}} {
		for _, sign := range []int64{1, -1} {
			p := newPair(2)
			eight := big.NewRat(8, 1)
			ends := []int64{12, 120} // rounded to 2 counts of 8 or more, by half a count
			if sign < 0 {
				ends = []int64{-120, -13}
			}
			by := p.both(program.Op{Kind: program.Clamp}, one, place{1, 1}, p.constant(ends[0], one), p.constant(ends[1], one))
			by = p.rounded(by, 3, eight)
			twice := p.both(program.Op{Kind: program.Add}, eight, by, by)
			far := p.both(program.Op{Kind: program.Sub}, eight, p.both(program.Op{Kind: program.Add}, eight, twice, by), p.constant(sign*(6-v.left), eight))
			x := p.both(program.Op{Kind: program.Quotient}, one, p.rounded(place{0, 0}, 3, eight), far)
			p.signal("quotient", x)
			c := p.certify(t)
			if claim := c.Local.Signals[0][0]; (claim != nil) != v.known {
				t.Errorf("the divisor is %d counts or more, off by 3/2: %v is claimed", v.left, claim)
			}
			if !v.known {
				forged := *c
				all := interval.Ints(-1<<40, 1<<40)
				forged.Local.Signals = [][]*interval.Range{{&all}}
				if cert.Check(&p.real, &p.whole, &forged) == nil {
					t.Error("a claim was accepted where the divisor may be 0 in real numbers")
				}
			}
		}
	}
}

// TestQuotientFormats: the format of a quotient is that of its first argument over that of the second.
func TestQuotientFormats(t *testing.T) {
	for _, lsb := range []*big.Rat{big.NewRat(4, 1), big.NewRat(2, 1), big.NewRat(1, 4)} {
		p := newPair(2)
		by := p.both(program.Op{Kind: program.Clamp}, one, place{1, 1}, p.constant(3, one), p.constant(9, one))
		four := big.NewRat(4, 1)
		x := p.both(program.Op{Kind: program.Quotient}, lsb, p.rounded(place{0, 0}, 2, four), by)
		ranges := make([]interval.Range, len(p.whole.Ops))
		for i := range ranges {
			ranges[i] = interval.Ints(3, 9)
		}
		p.signal("quotient", x)
		if _, err := cert.NewDifferences(&p.real, &p.whole, ranges, false); (err == nil) != (lsb.Cmp(four) == 0) {
			t.Errorf("counts of %v over counts of 1 in counts of %v: %v", four, lsb, err)
		}
		if err := p.whole.Verify(); (err == nil) != (lsb.Cmp(four) == 0) {
			t.Errorf("counts of %v over counts of 1 in counts of %v, by the laws of programs: %v", four, lsb, err)
		}
	}
}

// provenQuotient is a quotient of two rounded numbers with all that is proven of it.
func provenQuotient(t *testing.T) *proof {
	p := newPair(2)
	by := p.both(program.Op{Kind: program.Clamp}, one, place{1, 1}, p.constant(-3000, one), p.constant(-100, one))
	x := p.both(program.Op{Kind: program.Quotient}, big.NewRat(1, 2), p.rounded(place{0, 0}, 1, big.NewRat(2, 1)), p.rounded(by, 2, big.NewRat(4, 1)))
	p.signal("quotient", x)
	for _, q := range p.frames() {
		q.Outputs = []program.Output{{Name: "out", Type: program.I16, Value: x.r, LSB: big.NewRat(1, 2)}}
	}
	p.whole.Outputs[0].Value = x.z
	c := p.certify(t)
	_, whole, err := bound.Whole(&p.real, &p.whole, c.Ops)
	if err != nil {
		t.Fatal(err)
	}
	if c.Asked, err = bound.Asked(&p.real, &p.real, whole); err != nil {
		t.Fatal(err)
	}
	all := proof{&p.real, &p.real, &p.whole, c}
	return deep(reflect.ValueOf(&all)).Interface().(*proof)
}
