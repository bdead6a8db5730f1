package cert_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/tier"
)

// clocked makes random pairs of programs of several sections, most of which do not run at each tick: linear filters, and what a mixer makes.
func clocked(seed uint64) *mixer {
	m := &mixer{pair: newPair(3), Rand: rand.New(rand.NewPCG(seed, 11))}
	for i := range 3 {
		m.real.Inputs[i].Type, m.whole.Inputs[i].Type = program.I8, program.I8
		m.signal(fmt.Sprint("in", i), place{program.ID(i), program.ID(i)})
	}
	shown, truths := []place{{0, 0}, {1, 1}, {2, 2}}, []place{}
	clocks := []program.Clock{{}, {Every: 2}, {Every: 3, Phase: m.IntN(3)}, {Every: 4, Phase: m.IntN(4)}, {Every: 4, Phase: m.IntN(4)}}
	for range 3 + m.IntN(3) {
		m.section(clocks[m.IntN(len(clocks))])
		first := len(m.whole.Ops)
		m.coarse, m.fine, m.truths = slices.Clone(shown), []place{m.scaled(3, pick(m.Rand, shown))}, []place{m.op(program.Less, one, pick(m.Rand, shown), m.constant(7, one))}
		m.truths = append(m.truths, truths...)
		if m.IntN(3) > 0 {
			m.filter(pick(m.Rand, shown[max(0, len(shown)-3):]))
		} else {
			open := m.newState()
			for range 6 {
				m.step()
			}
			open()
		}
		for z := first; z < len(m.whole.Ops); z++ { // of a value that has several formats one is shown: sections are fed with that
			op := &m.whole.Ops[z]
			x := place{op.Real, program.ID(z)}
			if op.Kind == program.Const || op.Kind == program.Round {
				continue
			}
			m.signal(fmt.Sprint("v", z), x)
			switch {
			case op.Bool:
				truths = append(truths, x)
			case op.LSB == one:
				shown = append(shown, x)
			}
		}
	}
	return m
}

// filter is a linear recursion of first or second order.
func (m *mixer) filter(x place) {
	n1, y1 := m.state(m.Int64N(9) - 4)
	k1, k2 := m.Int64N(31)-15, int64(0)
	past := m.scaled(k1, y1)
	if m.IntN(2) == 0 {
		n2, y2 := m.state(0)
		k2 = m.Int64N(14)
		k1 = m.Int64N(2*(15+k2)+1) - 15 - k2
		past = m.op(program.Sub, sixteenth, m.scaled(k1, y1), m.scaled(k2, y2))
		m.next(n2, y1)
	}
	next := m.op(program.Add, one, x, m.rounded(past, 4, one))
	m.next(n1, next)
	m.coarse = append(m.coarse, y1, m.op(program.Sub, one, x, next))
}

// TestClocksContain certifies random pairs of programs whose sections run at different ticks, and holds every claim about every value against runs of both: where
// the integers lie, how far each section is off, fed with the integers, and how far the whole is off.
func TestClocksContain(t *testing.T) {
	pairs := tier.Count(150, 600, 600)
	certified, peaked, claims := 0, 0, 0
	for seed := range uint64(pairs) {
		m := clocked(seed)
		c := m.tryCertify(t)
		if c == nil {
			continue
		}
		certified++
		if slices.ContainsFunc(c.Taps, func(n int) bool { return n != 0 }) {
			peaked++
		}
		claims += m.hold(t, seed, c)
	}
	t.Logf("%d pairs of %d, %d by peak gains, %d claims", certified, pairs, peaked, claims)
	if 2*certified < pairs || 4*peaked < certified || claims < 10*certified {
		t.Error("the test says little")
	}
}

// hold runs both programs and holds the claims of a certificate against them.
func (m *mixer) hold(t *testing.T, seed uint64, c *cert.Certificate) (claims int) {
	t.Helper()
	whole, real, fed := program.NewFixedMachine(&m.whole), program.NewRealMachine(&m.real), program.NewRealMachine(&m.real)
	in, units, feed := make([]int64, 3), make([]float64, 3), make([]float64, len(m.real.Ops))
	inside := func(r interval.Range, x float64) bool {
		lo, _ := r.Lo.Float64()
		hi, _ := r.Hi.Float64()
		return lo-1e-6 <= x && x <= hi+1e-6
	}
	for tick := range 400 {
		if m.IntN(5) == 0 || tick < 30 {
			for i := range in {
				in[i] = []int64{-128, 127, m.Int64N(256) - 128, m.Int64N(9) - 4}[m.IntN(4)]
				units[i] = float64(in[i])
			}
		}
		whole.Tick(in, nil)
		for _, sec := range m.whole.Sections {
			for _, sig := range sec.Signals {
				lsb, _ := m.whole.Ops[sig.Value].LSB.Float64()
				feed[m.whole.Ops[sig.Value].Real] = float64(whole.Values[sig.Value]) * lsb
			}
		}
		real.Tick(units, nil, nil)
		fed.Tick(units, nil, feed)
		for i, v := range whole.Values {
			if !inside(c.Ops[i], float64(v)) {
				t.Fatalf("seed %d, tick %d: value %d is %d, claimed %v", seed, tick, i, v, c.Ops[i])
			}
		}
		for s, sec := range m.whole.Sections {
			for j, sig := range sec.Signals {
				lsb, _ := m.whole.Ops[sig.Value].LSB.Float64()
				now, r := float64(whole.Values[sig.Value])*lsb, m.real.Sections[s].Signals[j].Value
				for way, claim := range []*interval.Range{c.Local.Signals[s][j], c.Chain.Signals[s][j]} {
					if claim == nil {
						continue
					}
					claims++
					if d := now - []*program.RealMachine{fed, real}[way].Values[r]; !inside(*claim, d) {
						t.Fatalf("seed %d, tick %d: signal %s of section %d differs by %v, claimed %v (%d)", seed, tick, sig.Name, s, d, *claim, way)
					}
				}
			}
		}
	}
	return claims / 400
}

// TestOtherTicks: of a program that differs in the ticks at which a section runs from its real program, from what was asked for or from what can be counted, nothing is certified.
func TestOtherTicks(t *testing.T) {
	u := compile(t, "../../testdata/specs/clocks.yaml")
	if err := cert.CheckAsked(u.Asked, u.Stored, u.Integer, u.Certificate); err != nil {
		t.Fatal(err)
	}
	frames := map[string][]*program.Frame{"integer": {&u.Integer.Frame}, "stored": {&u.Stored.Frame}, "asked": {&u.Asked.Frame}, "all": {&u.Integer.Frame, &u.Stored.Frame, &u.Asked.Frame}}
	for s, sec := range u.Integer.Sections {
		for name, of := range frames {
			for _, clock := range []program.Clock{{}, {Every: 4}, {Every: 4, Phase: 1}, {Every: 8}, {Every: 1}, {Every: 4, Phase: 4}, {Every: 4, Phase: -1}, {Every: -4}, {Phase: 1}} {
				if clock == sec.Clock || name == "all" && clock.Valid() { // the same program at other ticks may well keep its claims
					continue
				}
				for _, f := range of {
					f.Sections[s].Clock = clock
				}
				if cert.CheckAsked(u.Asked, u.Stored, u.Integer, u.Certificate) == nil {
					t.Errorf("%s, section %s: %v was accepted", name, sec.Name, clock)
				}
				for _, f := range of {
					f.Sections[s].Clock = sec.Clock
				}
			}
		}
	}
}

// TestHeldIsNoCopy: what a slower section hands on is no copy of what it read, which is another value by then; so an integer program that reads the one for the other is
// refused.
func TestHeldIsNoCopy(t *testing.T) {
	of := func(clock program.Clock) error {
		p := newPair(1)
		p.signal("in", place{0, 0})
		p.section(clock)
		held := p.both(program.Op{Kind: program.Scale, K: big.NewRat(1, 1)}, one, place{0, 0})
		p.signal("held", held)
		p.section(program.Clock{})
		twice := p.both(program.Op{Kind: program.Add}, one, held, held)
		p.signal("twice", twice)
		c := p.certify(t)
		p.whole.Ops[twice.z].Args[0] = 0 // the input
		return cert.Check(&p.real, &p.whole, c)
	}
	if err := of(program.Clock{}); err != nil {
		t.Errorf("a copy is no longer one: %v", err)
	}
	if of(program.Clock{Every: 2}) == nil {
		t.Error("an input was taken for what was held of it")
	}
}

// TestFirstRunTwice: what a difference from run to run yields in the first tick is met by a recursion of another phase, or of more runs, more than once, since all run in that
// tick. As one recursion the two would not go so far.
func TestFirstRunTwice(t *testing.T) {
	for name, clock := range map[string]program.Clock{"another phase": {Every: 4, Phase: 2}, "each tick": {}} {
		for _, ring := range []bool{false, true} {
			m := &mixer{pair: newPair(1), Rand: rand.New(rand.NewPCG(1, 1))}
			m.real.Inputs[0].Type, m.whole.Inputs[0].Type = program.U8, program.U8
			x := place{0, 0}
			m.signal("x", x)
			m.section(program.Clock{Every: 4})
			before, was := m.state(0)
			m.next(before, x)
			back := x
			step := m.op(program.Sub, one, x, was)
			if ring {
				var fed int
				fed, back = m.state(0)
				before = fed
				step = m.op(program.Sub, one, step, m.rounded(m.scaled(1, back), 4, one))
			}
			m.signal("step", step)
			m.section(clock)
			n, y := m.state(0)
			next := m.op(program.Add, one, step, m.rounded(m.scaled(14, y), 4, one))
			m.next(n, next)
			if ring {
				m.next(before, next)
			}
			m.signal("sum", next)
			c := m.tryCertify(t)
			if c == nil && ring { // nothing is claimed
				continue
			}
			whole := program.NewFixedMachine(&m.whole)
			most := int64(0)
			for range 12 {
				whole.Tick([]int64{255}, nil)
				most = max(most, whole.Values[next.z])
			}
			if !c.Ops[next.z].Holds(interval.Ints(most, most)) || most < 400 {
				t.Errorf("%s, ring %v: %d is reached, claimed %v", name, ring, most, c.Ops[next.z])
			}
		}
	}
}
