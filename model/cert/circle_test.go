package cert_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"gainwright/model/cert"
	"gainwright/model/program"
	"gainwright/model/tier"
)

// wrap takes turns of turn counts off x, in stages, as the compiler does where x is many turns out.
func (p *pair) wrap(x place, turn int64, lsb *big.Rat, stages int) place {
	r := p.r(program.Op{Kind: program.Wrap, K: new(big.Rat).Mul(big.NewRat(turn, 1), lsb), Args: []program.ID{x.r}})
	for k := stages - 1; k >= 0; k-- {
		x.z = p.z(program.Op{Kind: program.Wrap, K: big.NewRat(turn<<k, 1), Args: []program.ID{x.z}}, r, lsb)
	}
	return place{r, x.z}
}

// on says that the last signal lives on a circle.
func (p *pair) on(turn *big.Rat) {
	for _, q := range p.frames() {
		s := q.Sections[0].Signals
		s[len(s)-1].Angular = turn
	}
}

// TestTwoWrapsOfOneAngle: two angles that are wrapped each on its own side of the seam differ by 0 around the circle and by a turn on a
// line. Half of what lies between them is then half a turn off.
func TestTwoWrapsOfOneAngle(t *testing.T) {
	p := newPair(1)
	fine, turn := big.NewRat(1, 4), int64(64)
	x := p.both(program.Op{Kind: program.Scale, K: big.NewRat(3, 1)}, fine, place{0, 0})
	a := p.rounded(x, 2, one)
	first := p.wrap(a, turn, one, 10)
	second := p.wrap(p.both(program.Op{Kind: program.Add}, one, a, p.constant(5, one)), turn, one, 10)
	d := p.both(program.Op{Kind: program.Sub}, one, second, first)
	half := p.both(program.Op{Kind: program.Scale, K: big.NewRat(1, 1)}, big.NewRat(1, 2), d)
	p.signal("first", first)
	p.on(big.NewRat(turn, 1))
	p.signal("between", d)
	p.signal("half", half)
	c := p.certify(t)
	if c.Chain.Signals[0][0] == nil || c.Chain.Turns[0][0] == nil {
		t.Errorf("the first angle is claimed by %v around %v", c.Chain.Signals[0][0], c.Chain.Turns[0][0])
	}
	for j := 1; j < 3; j++ {
		if c.Chain.Signals[0][j] != nil {
			t.Errorf("%s is claimed by %v", p.real.Sections[0].Signals[j].Name, c.Chain.Signals[0][j])
		}
	}
	real, whole, worst := program.NewRealMachine(&p.real), program.NewFixedMachine(&p.whole), 0.0
	for v := int64(-32768); v < 32768; v++ {
		whole.Tick([]int64{v}, nil)
		real.Tick([]float64{float64(v)}, nil, nil)
		worst = max(worst, math.Abs(float64(whole.Values[half.z])/2-real.Values[half.r]))
	}
	if worst < 31 {
		t.Errorf("the programs differ by %v at most: the trap was not sprung", worst)
	}
}

// TestCircleIsChecked: a claim around a circle is not accepted as one on a line, nor around another circle.
func TestCircleIsChecked(t *testing.T) {
	refused := 0
	for _, file := range []string{"seam", "circle"} {
		u := compile(t, "../../testdata/specs/"+file+".yaml")
		for i, turns := range u.Certificate.Chain.Turns {
			for j, turn := range turns {
				if turn == nil {
					continue
				}
				for _, other := range []*big.Rat{nil, big.NewRat(180, 1), big.NewRat(720, 1), new(big.Rat)} {
					c := *u.Certificate
					c.Chain.Turns = slices.Clone(c.Chain.Turns)
					c.Chain.Turns[i] = slices.Clone(turns)
					c.Chain.Turns[i][j] = other
					if cert.Check(u.Stored, u.Integer, &c) == nil {
						t.Errorf("%s: the claim about signal %d of %s was accepted around %v", file, j, u.Integer.Sections[i].Name, other)
					}
					refused++
				}
			}
		}
	}
	if refused < 8 {
		t.Errorf("only %d were refused", refused)
	}
}

// TestAnglesAgainstAllInputs puts random programs with seams together on inputs of 8 bits and tries each pair of them, for some ticks
// where there are states: no difference from the raw inputs may leave what is claimed, on a line or around the circle.
func TestAnglesAgainstAllInputs(t *testing.T) {
	tier.Slow(t)
	line, circle := 0, 0
	for seed := range uint64(150) {
		p, states := randomAngles(seed)
		c := p.tryCertify(t)
		if c == nil {
			continue
		}
		real, whole := program.NewRealMachine(&p.real), program.NewFixedMachine(&p.whole)
		signals := p.whole.Sections[0].Signals
		type claim struct{ lo, hi, turn, lsb float64 }
		claims := make([]*claim, len(signals))
		for j, s := range signals {
			r := c.Chain.Signals[0][j]
			if r == nil {
				continue
			}
			k := &claim{}
			k.lo, _ = r.Lo.Float64()
			k.hi, _ = r.Hi.Float64()
			k.lsb, _ = p.whole.Ops[s.Value].LSB.Float64()
			if turn := c.Chain.Turns[0][j]; turn != nil {
				k.turn, _ = turn.Float64()
				circle++
			} else {
				line++
			}
			claims[j] = k
		}
		check := func(x, y int64) {
			whole.Tick([]int64{x, y}, nil)
			real.Tick([]float64{float64(x), float64(y)}, nil, nil)
			for j, k := range claims {
				if k == nil {
					continue
				}
				off := float64(whole.Values[signals[j].Value])*k.lsb - real.Values[p.real.Sections[0].Signals[j].Value]
				if k.turn != 0 { // the representative that comes first at or above the low end
					off = k.lo + math.Mod(math.Mod(off-k.lo, k.turn)+k.turn, k.turn)
				}
				if off < k.lo || off > k.hi {
					t.Fatalf("seed %d, inputs %d and %d: signal %d is %v off, claimed [%v, %v] around %v", seed, x, y, j, off, k.lo, k.hi, k.turn)
				}
			}
		}
		if !states {
			for x := int64(-128); x < 128; x++ {
				for y := int64(-128); y < 128; y++ {
					check(x, y)
				}
			}
			continue
		}
		rng := rand.New(rand.NewPCG(seed, 3))
		for n := range 20_000 {
			if n%50 == 0 {
				real.Start()
				whole.Start()
			}
			check(rng.Int64N(256)-128, rng.Int64N(256)-128)
		}
	}
	t.Logf("%d claims on a line, %d around a circle", line, circle)
	if line < 100 || circle < 100 {
		t.Errorf("only %d claims on a line and %d around a circle", line, circle)
	}
}

// randomAngles is a program of sums, roundings, wraps and whatever may follow them, with dyadic constants so that float64 is exact.
func randomAngles(seed uint64) (*pair, bool) {
	rng := rand.New(rand.NewPCG(seed, 11))
	p := newPair(2)
	for _, q := range p.frames() {
		for i := range q.Inputs {
			q.Inputs[i].Type = program.I8
		}
	}
	const turn = 64
	values := []place{{0, 0}, {1, 1}} // all of LSB 1
	pick := func() place {
		if rng.IntN(2) == 0 {
			return values[len(values)-1-rng.IntN(min(3, len(values)))]
		}
		return values[rng.IntN(len(values))]
	}
	states := rng.IntN(3) == 0
	type pending struct{ n int }
	var open []pending
	if states {
		n, s := p.state(0)
		values, open = append(values, s), append(open, pending{n})
	}
	for range 4 + rng.IntN(10) {
		var v place
		switch rng.IntN(10) {
		case 0, 1, 2:
			shift := uint(1 + rng.IntN(3))
			lsb := big.NewRat(1, 1<<shift)
			v = p.rounded(p.both(program.Op{Kind: program.Scale, K: big.NewRat(1+rng.Int64N(9), 1)}, lsb, pick()), shift, one)
		case 3, 4, 5:
			v = p.wrap(pick(), turn, one, 6)
			p.signal("angle", v)
			p.on(big.NewRat(turn, 1))
		case 6:
			v = p.both(program.Op{Kind: []program.Kind{program.Add, program.Sub}[rng.IntN(2)]}, one, pick(), pick())
		case 7:
			v = p.both(program.Op{Kind: []program.Kind{program.Min, program.Max}[rng.IntN(2)]}, one, pick(), pick())
		case 8:
			v = p.both(program.Op{Kind: program.Clamp}, one, pick(), p.constant(-rng.Int64N(50), one), p.constant(rng.Int64N(50), one))
		case 9:
			cond := p.both(program.Op{Kind: program.Less, Bool: true}, one, pick(), pick())
			v = p.both(program.Op{Kind: program.Select}, one, cond, pick(), pick())
		}
		values = append(values, v)
	}
	for _, o := range open {
		next := pick()
		if rng.IntN(3) > 0 {
			next = p.wrap(p.both(program.Op{Kind: program.Add}, one, values[2], pick()), turn, one, 6)
		}
		p.next(o.n, next)
	}
	for _, v := range values[2:] {
		p.signal("value", v)
		if rng.IntN(3) == 0 {
			p.on(big.NewRat(turn, 1))
		}
	}
	return p, states
}
