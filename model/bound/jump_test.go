package bound_test

import (
	"math/big"
	"testing"

	"gainwright/model/bound"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// same holds a range found to the exact one.
func same(t *testing.T, what string, got, want interval.Range) {
	t.Helper()
	if got.Lo.Cmp(want.Lo) != 0 || got.Hi.Cmp(want.Hi) != 0 {
		t.Errorf("%s: [%v, %v] found, [%v, %v] is exact", what, got.Lo, got.Hi, want.Lo, want.Hi)
	}
}

// TestBentRecursion: |y| makes the recursion y' = 0.99*|y| + x one without a closed form of the kind that is tried first; it
// rests at 3/(1 - 0.99) above and at -3 below, where the size is 0.
func TestBentRecursion(t *testing.T) {
	m := newMaker(interval.Ints(-3, 3))
	n, y := m.state("y")
	m.p.States[n].Next = m.sum(m.scale(rat("0.99"), m.add(program.RealOp{Op: program.Op{Kind: program.Abs, Args: []program.ID{y}}})), 0)
	e, _, err := bound.Ranges(&m.p, true)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "high", e.States[n].Hi, big.NewRat(300, 1), big.NewRat(1, 10_000))
	within(t, "low", new(big.Rat).Neg(e.States[n].Lo), big.NewRat(3, 1), tight)
}

// TestNarrowedAgain: a guess lies a little beyond where a recursion rests; what a tick makes of it is exact where the
// recursion is flat.
func TestNarrowedAgain(t *testing.T) {
	m := newMaker(interval.Ints(-3, 3))
	n, y := m.state("y")
	m.p.States[n].Next = m.sum(m.scale(rat("0.3"), m.add(program.RealOp{Op: program.Op{Kind: program.Abs, Args: []program.ID{y}}})), 0)
	k, z := m.state("z") // grows on while y is at rest
	moving := m.add(program.RealOp{Op: program.Op{Kind: program.Abs, Args: []program.ID{0}}})
	m.p.States[k].Next = m.add(program.RealOp{Op: program.Op{Kind: program.Clamp, Args: []program.ID{m.sum(z, 0), m.scale(big.NewRat(-9, 1), 0), m.scale(big.NewRat(9, 1), moving)}}})
	e, _, err := bound.Ranges(&m.p, true)
	if err != nil {
		t.Fatal(err)
	}
	if low := e.States[n].Lo; low.Cmp(big.NewRat(-3, 1)) != 0 {
		t.Errorf("low: %s found, -3 is exact", low.FloatString(15))
	}
}

// TestDelayedLimit: a limited sum rests at its constants at once, before what only follows it has jumped far beyond.
func TestDelayedLimit(t *testing.T) {
	m := newMaker(interval.Ints(-7, 7))
	constant := func(k int64) program.ID {
		return m.add(program.RealOp{Op: program.Op{Kind: program.Const, K: big.NewRat(k, 1)}})
	}
	n, y := m.state("limited")
	constant(-5000) // another constant, farther off
	constant(5000)
	m.p.States[n].Next = m.add(program.RealOp{Op: program.Op{Kind: program.Clamp, Args: []program.ID{m.sum(y, 0), constant(-1000), constant(300)}}})
	for _, name := range []string{"once", "twice", "three", "four", "five"} {
		k, z := m.state(name)
		m.p.States[k].Next, y = y, z
	}
	e, _, err := bound.Ranges(&m.p, true)
	if err != nil {
		t.Fatal(err)
	}
	for k := range e.States {
		same(t, m.p.States[k].Name, e.States[k], interval.Ints(-1000, 300))
	}
}

// TestMovingLimit: where the limits are no constants, a sum is widened without end and comes back to what the limits leave.
func TestMovingLimit(t *testing.T) {
	m := newMaker(interval.Ints(-7, 7))
	n, y := m.state("y")
	high := m.scale(big.NewRat(10, 1), m.add(program.RealOp{Op: program.Op{Kind: program.Abs, Args: []program.ID{0}}}))
	low := m.scale(big.NewRat(-1, 1), high)
	m.p.States[n].Next = m.add(program.RealOp{Op: program.Op{Kind: program.Clamp, Args: []program.ID{m.sum(y, 0), low, high}}})
	e, _, err := bound.Ranges(&m.p, true)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "y", e.States[n], interval.Ints(-70, 70))
}

// TestLimitBesideFilter: a filter of second order in the section is bounded by peak gains, the limited sum of its output beside it
// as ever.
func TestLimitBesideFilter(t *testing.T) {
	m := newMaker(interval.Ints(-1000, 1000))
	constant := func(k int64) program.ID {
		return m.add(program.RealOp{Op: program.Op{Kind: program.Const, K: big.NewRat(k, 1)}})
	}
	n1, y1 := m.state("y1")
	n2, y2 := m.state("y2")
	n3, z := m.state("z")
	y := m.sum(0, m.scale(rat("0.9"), y1), m.scale(rat("-0.81"), y2))
	m.p.States[n1].Next, m.p.States[n2].Next = y, y1
	m.p.States[n3].Next = m.add(program.RealOp{Op: program.Op{Kind: program.Clamp, Args: []program.ID{m.sum(z, y), constant(-500), constant(9000)}}})
	m.p.States[n3].Enable = m.add(program.RealOp{Op: program.Op{Kind: program.Less, Args: []program.ID{0, y1}, Bool: true}}) // no linear state
	e, taps, err := bound.Ranges(&m.p, true)
	if err != nil {
		t.Fatal(err)
	}
	if taps[0] == 0 {
		t.Error("no peak gains")
	}
	same(t, "z", e.States[n3], interval.Ints(-500, 9000))
}

// TestWholeRegister: what is proven goes by all that the register can hold, what is declared only guides.
func TestWholeRegister(t *testing.T) {
	m := newMaker(interval.Ints(-3, 3))
	n, y := m.state("y")
	m.p.States[n].Next = m.sum(m.scale(big.NewRat(1, 2), y), 0)
	for declared, most := range map[bool]int64{true: 3, false: 32768} {
		e, _, err := bound.Ranges(&m.p, declared)
		if err != nil {
			t.Fatal(err)
		}
		within(t, "low", new(big.Rat).Neg(e.States[n].Lo), big.NewRat(2*most, 1), tight)
	}
}
