package cert_test

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/tier"
)

var sixteenth = big.NewRat(1, 16)

// mixer makes random pairs of programs: values counted in 1 and in 1/16, truth values, and states of the forms of the step
// kinds and of others.
type mixer struct {
	*pair
	*rand.Rand
	coarse, fine, truths []place
}

func pick(r *rand.Rand, of []place) place { return of[r.IntN(len(of))] }

func (m *mixer) op(kind program.Kind, lsb *big.Rat, args ...place) place {
	return m.both(program.Op{Kind: kind, Bool: kind >= program.Less && kind <= program.Not}, lsb, args...)
}

func (m *mixer) scaled(k int64, x place) place {
	return m.both(program.Op{Kind: program.Scale, K: big.NewRat(k, 1)}, sixteenth, x)
}

func (m *mixer) limited(x place, most int64, lsb *big.Rat) place {
	return m.op(program.Clamp, lsb, x, m.constant(-most, lsb), m.constant(most/2, lsb))
}

func (m *mixer) any() (pool *[]place, lsb *big.Rat) {
	if m.IntN(2) == 0 {
		return &m.coarse, one
	}
	return &m.fine, sixteenth
}

func newMixer(seed uint64) *mixer {
	m := &mixer{pair: newPair(3), Rand: rand.New(rand.NewPCG(seed, 3))}
	for i := range 3 {
		m.real.Inputs[i].Type, m.whole.Inputs[i].Type = program.I8, program.I8
	}
	m.coarse = []place{{0, 0}, {1, 1}}
	m.truths = []place{m.op(program.Less, one, place{2, 2}, m.constant(7, one))}
	m.fine = []place{m.scaled(5, place{0, 0})}
	var open []func()
	for range 1 + m.IntN(3) {
		open = append(open, m.newState())
	}
	for range 12 {
		m.step()
	}
	for _, f := range open {
		f()
	}
	for i := range m.whole.Ops { // every value is a signal: its claim is looked at
		if !m.whole.Ops[i].Bool {
			m.signal(fmt.Sprint("v", i), place{m.whole.Ops[i].Real, program.ID(i)})
		}
	}
	return m
}

func (m *mixer) step() {
	pool, lsb := m.any()
	x, y := pick(m.Rand, *pool), pick(m.Rand, *pool)
	add := func(p place) { *pool = append(*pool, p) }
	switch m.IntN(11) {
	case 0, 1:
		add(m.op(program.Add, lsb, x, y))
	case 2:
		add(m.op(program.Sub, lsb, x, y))
	case 3:
		add(m.limited(x, 20+m.Int64N(300), lsb))
	case 4:
		add(m.op([]program.Kind{program.Min, program.Max}[m.IntN(2)], lsb, x, y))
	case 5:
		add(m.op(program.Abs, lsb, x))
	case 6, 7:
		m.fine = append(m.fine, m.scaled(m.Int64N(49)-24, pick(m.Rand, m.coarse)))
	case 8:
		m.coarse = append(m.coarse, m.rounded(pick(m.Rand, m.fine), 4, one))
	case 9:
		m.truths = append(m.truths, m.op(program.Less, one, x, y), m.op(program.Not, one, pick(m.Rand, m.truths)))
	case 10:
		add(m.op(program.Select, lsb, pick(m.Rand, m.truths), x, y))
	}
}

// twoPoles adds two states of a stable recursion of second order: y = x + (k1*y1 - k2*y2)/16, rounded.
func (m *mixer) twoPoles() func() {
	n1, y1 := m.state(m.Int64N(9) - 4)
	n2, y2 := m.state(0)
	m.coarse = append(m.coarse, y1)
	k2 := m.Int64N(14)
	k1 := m.Int64N(2*(15+k2)+1) - 15 - k2
	return func() {
		past := m.op(program.Sub, sixteenth, m.scaled(k1, y1), m.scaled(k2, y2))
		m.next(n1, m.op(program.Add, one, m.limited(pick(m.Rand, m.coarse), 150, one), m.rounded(past, 4, one)))
		m.next(n2, y1)
	}
}

// newState adds a state and returns what gives it a next value once there are others.
func (m *mixer) newState() func() {
	if m.IntN(6) == 0 {
		return m.twoPoles()
	}
	lsb := []*big.Rat{one, sixteenth}[m.IntN(2)]
	n, y := m.stateOf(m.Int64N(9)-4, lsb)
	pool := &m.coarse
	if lsb == sixteenth {
		pool = &m.fine
	}
	*pool = append(*pool, y)
	return func() {
		x := m.limited(pick(m.Rand, *pool), 150, lsb)
		next := m.limited(m.op(program.Add, lsb, y, x), 200, lsb)
		switch kind := m.IntN(6); {
		case kind == 0:
			next = m.op(program.Select, lsb, pick(m.Rand, m.truths), x, y)
		case kind == 1 && lsb == one:
			next = m.op(program.Add, one, x, m.rounded(m.scaled(m.Int64N(31)-15, y), 4, one))
		case kind <= 2 && lsb == sixteenth:
			in := m.limited(pick(m.Rand, m.coarse), 150, one)
			next = m.op(program.Add, sixteenth, y, m.scaled(1+m.Int64N(15), m.op(program.Sub, one, in, m.rounded(y, 4, one))))
		case kind <= 4 && lsb == sixteenth: // an integral led back while a sum that it is part of is limited
			exact := m.op(program.Add, sixteenth, y, m.scaled(m.Int64N(9)-4, place{0, 0}))
			u := m.op(program.Add, one, m.rounded(exact, 4, one), pick(m.Rand, m.coarse))
			over := m.op(program.Sub, one, m.limited(u, 60, one), u)
			next = m.limited(m.op(program.Add, sixteenth, exact, m.scaled(1+m.Int64N(15), over)), 3000, sixteenth)
		}
		m.next(n, next)
		if m.IntN(4) == 0 {
			on := pick(m.Rand, m.truths)
			m.real.States[n].Enable, m.whole.States[n].Enable = on.r, on.z
		}
	}
}

// TestDifferencesContain certifies random pairs of programs and holds every claim about every value against runs of both.
func TestDifferencesContain(t *testing.T) {
	pairs := tier.Count(75, 300, 300)
	claims, exact, certified, reached, peaked := 0, 0, 0, 0, 0
	for seed := range uint64(pairs) {
		m := newMixer(seed)
		c := m.tryCertify(t)
		if c == nil {
			continue
		}
		certified++
		if c.Taps[0] > 0 || c.Local.Taps[0] > 0 {
			peaked++
		}
		worst := m.run(t, seed, c.Local.Signals[0])
		for i, claim := range c.Local.Signals[0] {
			if claim == nil {
				continue
			}
			claims++
			size, _ := claim.Size().Float64()
			if size == 0 {
				exact++
			} else if worst[i] > size/2 {
				reached++
			}
		}
	}
	t.Logf("%d pairs, %d by peak gains; %d claims, %d of them exact, %d of %d others half reached", certified, peaked, claims, exact, reached, claims-exact)
	if 3*certified < 2*pairs || 15*peaked < pairs || 3*(claims-exact) < 10*pairs || reached < (claims-exact)/3 {
		t.Error("the test says little")
	}
}

// run feeds both programs the same, and returns the largest difference of each signal.
func (m *mixer) run(t *testing.T, seed uint64, claims []*interval.Range) []float64 {
	t.Helper()
	real, whole := program.NewRealMachine(&m.real), program.NewFixedMachine(&m.whole)
	worst := make([]float64, len(claims))
	lo, hi := make([]float64, len(claims)), make([]float64, len(claims))
	lsb := make([]float64, len(claims))
	for i, sig := range m.whole.Sections[0].Signals {
		lsb[i], _ = m.whole.Ops[sig.Value].LSB.Float64()
		if claims[i] != nil {
			lo[i], _ = claims[i].Lo.Float64()
			hi[i], _ = claims[i].Hi.Float64()
		}
	}
	in, units := make([]int64, 3), make([]float64, 3)
	for tick := range 600 {
		if m.IntN(6) == 0 || tick < 50 {
			for i := range in {
				in[i] = []int64{-128, 127, m.Int64N(256) - 128, m.Int64N(9) - 4}[m.IntN(4)]
				units[i] = float64(in[i])
			}
		}
		whole.Tick(in, nil)
		real.Tick(units, nil, nil)
		for i, sig := range m.whole.Sections[0].Signals {
			d := float64(whole.Values[sig.Value])*lsb[i] - real.Values[m.real.Sections[0].Signals[i].Value]
			if claims[i] != nil && (d < lo[i]-1e-6 || d > hi[i]+1e-6) {
				t.Fatalf("seed %d, tick %d: value %d, %v, differs by %v, claimed [%v, %v]", seed, tick, sig.Value, m.whole.Ops[sig.Value].Kind, d, lo[i], hi[i])
			}
			worst[i] = max(worst[i], math.Abs(d))
		}
	}
	return worst
}

// TestLedBack: an integral led back while the effort is limited (back-calculation) differs by no more than the effort's own
// rounding, for ever, though its pole is at one while nothing is limited.
func TestLedBack(t *testing.T) {
	m := &mixer{pair: newPair(2), Rand: rand.New(rand.NewPCG(1, 1))}
	n, y := m.stateOf(0, sixteenth)
	exact := m.op(program.Add, sixteenth, y, m.scaled(1, place{0, 0}))
	u := m.op(program.Add, one, m.rounded(exact, 4, one), m.rounded(m.scaled(3, place{1, 1}), 4, one))
	over := m.op(program.Sub, one, m.limited(u, 60, one), u)
	m.next(n, m.limited(m.op(program.Add, sixteenth, exact, m.scaled(5, over)), 100000, sixteenth))
	m.signal("u", u)
	c := m.certify(t)
	got := c.Local.States[n]
	if got == nil {
		t.Fatal("no bound")
	}
	if size, _ := got.Size().Float64(); size > 1.01 || size < 0.5 { // two roundings of half a count in u
		t.Errorf("the integral differs by %v at most, the effort's roundings add up to 1", size)
	}
	m.refuses(t, c, n, 0)
}

// TestTwoLimits: of the difference of one value two limits pass on two shares: where one limits and the other does not, the
// difference of the limited values differs by all of it.
func TestTwoLimits(t *testing.T) {
	m := &mixer{pair: newPair(1), Rand: rand.New(rand.NewPCG(1, 1))}
	u := m.rounded(m.scaled(5, place{0, 0}), 4, one)
	apart := m.op(program.Sub, one, m.limited(u, 1000, one), m.limited(u, 10, one))
	m.signal("apart", apart)
	c := m.certify(t)
	claim := c.Local.Signals[0][0]
	real, whole := program.NewRealMachine(&m.real), program.NewFixedMachine(&m.whole)
	worst := 0.0
	for x := int64(-400); x <= 400; x++ {
		whole.Tick([]int64{x}, nil)
		real.Tick([]float64{float64(x)}, nil, nil)
		worst = max(worst, math.Abs(float64(whole.Values[apart.z])-real.Values[apart.r]))
	}
	if size, _ := claim.Size().Float64(); size < worst || worst < 0.4 {
		t.Errorf("they differ by %v, claimed %v", worst, size)
	}
}
