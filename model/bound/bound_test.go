package bound_test

import (
	"errors"
	"math/big"
	"testing"
	"time"

	"gainwright/model/bound"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/tier"
)

// maker puts a small real program of one section together.
type maker struct{ p program.Real }

func newMaker(inputs ...interval.Range) *maker {
	m := &maker{program.Real{Frame: program.Frame{Sections: make([]program.Section, 1)}}}
	for i, r := range inputs {
		m.p.Inputs = append(m.p.Inputs, program.InputInfo{Type: program.I16, LSB: big.NewRat(1, 1), Lo: r.Lo, Hi: r.Hi})
		m.add(program.RealOp{Op: program.Op{Kind: program.Input, Index: i}})
	}
	return m
}

func (m *maker) add(op program.RealOp) program.ID {
	m.p.Ops = append(m.p.Ops, op)
	return program.ID(len(m.p.Ops) - 1)
}

func (m *maker) scale(k *big.Rat, a program.ID) program.ID {
	return m.add(program.RealOp{Op: program.Op{Kind: program.Scale, K: k, Args: []program.ID{a}}})
}

func (m *maker) sum(ids ...program.ID) program.ID {
	for len(ids) > 1 {
		ids = append([]program.ID{m.add(program.RealOp{Op: program.Op{Kind: program.Add, Args: []program.ID{ids[0], ids[1]}}})}, ids[2:]...)
	}
	return ids[0]
}

func (m *maker) state(name string) (int, program.ID) {
	m.p.States = append(m.p.States, program.RealState{StateInfo: program.StateInfo{Name: name, Start: new(big.Rat), Enable: program.None, Reset: program.None, ResetTo: program.None}})
	return len(m.p.States) - 1, m.add(program.RealOp{Op: program.Op{Kind: program.State, Index: len(m.p.States) - 1}})
}

func rat(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		panic(text)
	}
	return r
}

// within holds an end found to the exact one: never inside it, outside by no more than a share of it.
func within(t *testing.T, what string, got, want, share *big.Rat) {
	t.Helper()
	most := new(big.Rat).Mul(want, new(big.Rat).Add(big.NewRat(1, 1), share))
	if got.Cmp(want) < 0 || got.Cmp(most) > 0 {
		t.Errorf("%s: %s found, %s is exact", what, got.FloatString(9), want.FloatString(9))
	}
}

var tight = big.NewRat(1, 100_000_000)

// TestOnePole: the sum of |a^k| is 1/(1 - |a|), so y' = a*y + x reaches 16 times the input for a = 15/16. The closed form is
// elementary; so is its reach from one side for a < 0: half of it and more from either.
func TestOnePole(t *testing.T) {
	for _, c := range []struct{ a, gain string }{{"15/16", "16"}, {"-15/16", "16"}, {"1/2", "2"}, {"0.999", "1000"}, {"0", "1"}} {
		m := newMaker(interval.Ints(-3, 3))
		n, y := m.state("y")
		m.p.States[n].Next = m.sum(m.scale(rat(c.a), y), 0)
		e, _, err := bound.Ranges(&m.p, true)
		if err != nil {
			t.Fatal(err)
		}
		want := new(big.Rat).Mul(rat(c.gain), big.NewRat(3, 1))
		within(t, "pole "+c.a+", high", e.States[n].Hi, want, tight)
		within(t, "pole "+c.a+", low", new(big.Rat).Neg(e.States[n].Lo), want, tight)
	}
}

// TestComplementary: the gain from the angle is 1, that from the rate the time constant (a published course page gives the blend
// tau/(tau + period)): 180 deg and 0.5 s of 250 deg/s make 305 deg.
func TestComplementary(t *testing.T) {
	h, tau := rat("0.01"), rat("0.5")
	blend := new(big.Rat).Quo(tau, new(big.Rat).Add(tau, h))
	m := newMaker(interval.Ints(-180, 180), interval.Ints(-250, 250))
	n, y := m.state("tilt")
	led := m.sum(y, m.scale(h, 1))
	m.p.States[n].Next = m.sum(m.scale(blend, led), m.scale(new(big.Rat).Sub(big.NewRat(1, 1), blend), 0))
	e, _, err := bound.Ranges(&m.p, true)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "tilt", e.States[n].Hi, big.NewRat(305, 1), tight)
	within(t, "tilt, low", new(big.Rat).Neg(e.States[n].Lo), big.NewRat(305, 1), tight)
}

// TestTwoPoles: poles r*exp(+-i*th) have closed forms: for a1 = -0.9, a2 = 0.81 the sum of sizes is (1 + r)/(1 - r^3) = 1900/271, for
// a1 = 0 it is 1/(1 - r^2) = 100/19 (elementary). Interval iteration alone diverges where |a1| + |a2| > 1.
func TestTwoPoles(t *testing.T) {
	for _, c := range []struct{ a1, a2, gain string }{{"-0.9", "0.81", "1900/271"}, {"0.9", "0.81", "1900/271"}, {"0", "0.81", "100/19"}, {"0", "-0.25", "4/3"}} {
		m := newMaker(interval.Ints(-1000, 1000))
		n1, y1 := m.state("y1")
		n2, y2 := m.state("y2")
		neg := func(text string) *big.Rat { return new(big.Rat).Neg(rat(text)) }
		y := m.sum(0, m.scale(neg(c.a1), y1), m.scale(neg(c.a2), y2))
		m.p.States[n1].Next, m.p.States[n2].Next = y, y1
		e, _, err := bound.Ranges(&m.p, true)
		if err != nil {
			t.Fatal(err)
		}
		within(t, c.a1+" "+c.a2, e.States[n1].Hi, new(big.Rat).Mul(rat(c.gain), big.NewRat(1000, 1)), big.NewRat(2, 1000))
	}
}

// TestSlowPoles: a pole at 1 - 1e-6 is found as fast as any other.
func TestSlowPoles(t *testing.T) {
	m := newMaker(interval.Ints(-100, 200))
	n, y := m.state("y")
	m.p.States[n].Next = m.sum(y, m.scale(rat("0.000001"), m.sum(0, m.scale(big.NewRat(-1, 1), y))))
	k, z := m.state("z")
	m.p.States[k].Next = m.sum(m.scale(rat("0.999999"), z), 0)
	var e *bound.Reach
	var err error
	took := tier.Took(func() { e, _, err = bound.Ranges(&m.p, true) })
	if err != nil {
		t.Fatal(err)
	}
	within(t, "average", e.States[n].Hi, big.NewRat(200, 1), tight)
	within(t, "average, low", new(big.Rat).Neg(e.States[n].Lo), big.NewRat(100, 1), tight)
	within(t, "leaky sum", e.States[k].Hi, big.NewRat(200_000_000, 1), tight)
	if took > time.Second {
		t.Errorf("it took %v", took)
	}
}

// TestUnbounded: what has no finite range is named, and not waited for.
func TestUnbounded(t *testing.T) {
	for name, next := range map[string]func(m *maker, y program.ID) program.ID{
		"sum":       func(m *maker, y program.ID) program.ID { return m.sum(y, 0) },
		"alternate": func(m *maker, y program.ID) program.ID { return m.sum(m.scale(big.NewRat(-1, 1), y), 0) },
		"explode":   func(m *maker, y program.ID) program.ID { return m.sum(m.scale(rat("1.01"), y), 0) },
		"square": func(m *maker, y program.ID) program.ID {
			return m.sum(m.add(program.RealOp{Op: program.Op{Kind: program.Mul, Args: []program.ID{y, y}}}), 0)
		},
		"drift": func(m *maker, y program.ID) program.ID {
			return m.sum(y, m.add(program.RealOp{Op: program.Op{Kind: program.Abs, Args: []program.ID{0}}}))
		},
	} {
		m := newMaker(interval.Ints(-1, 1))
		ok, w := m.state("fine")
		m.p.States[ok].Next = m.scale(rat("0.5"), w)
		n, y := m.state(name)
		m.p.States[n].Next = next(m, y)
		_, _, err := bound.Ranges(&m.p, true)
		var b bound.Unbounded
		if !errors.As(err, &b) || b.State != name || b.Section != 0 {
			t.Errorf("%s: the error is %v", name, err)
		}
	}
}

// TestLimitedSum: a limited sum rests at its limits, a wrapped one at half a turn, a held one at its input.
func TestLimitedSum(t *testing.T) {
	m := newMaker(interval.Ints(-7, 7))
	constant := func(k int64) program.ID {
		return m.add(program.RealOp{Op: program.Op{Kind: program.Const, K: big.NewRat(k, 1)}})
	}
	a, x := m.state("limited")
	m.p.States[a].Next = m.add(program.RealOp{Op: program.Op{Kind: program.Clamp, Args: []program.ID{m.sum(x, 0), constant(-1000), constant(300)}}})
	b, y := m.state("wrapped")
	m.p.States[b].Next = m.add(program.RealOp{Op: program.Op{Kind: program.Wrap, K: big.NewRat(360, 1), Args: []program.ID{m.sum(y, 0)}}})
	c, z := m.state("held")
	m.p.States[c].Next = m.add(program.RealOp{Op: program.Op{Kind: program.Select, Args: []program.ID{m.add(program.RealOp{Op: program.Op{Kind: program.Less, Args: []program.ID{0, x}, Bool: true}}), 0, z}}})
	e, _, err := bound.Ranges(&m.p, true)
	if err != nil {
		t.Fatal(err)
	}
	for n, want := range map[int]interval.Range{a: interval.Ints(-1000, 300), b: interval.Ints(-180, 180), c: interval.Ints(-7, 7)} {
		if got := e.States[n]; got.Lo.Cmp(want.Lo) != 0 || got.Hi.Cmp(want.Hi) != 0 {
			t.Errorf("%s is said in [%v, %v], want [%v, %v]", m.p.States[n].Name, got.Lo, got.Hi, want.Lo, want.Hi)
		}
	}
}
