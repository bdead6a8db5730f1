package cert_test

import (
	"testing"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// seen is the smallest and largest value of each operation over the ticks tried.
type seen struct{ lo, hi []int64 }

func (s *seen) look(m *program.FixedMachine) {
	if s.lo == nil {
		s.lo, s.hi = append(s.lo, m.Values...), append(s.hi, m.Values...)
	}
	for i, v := range m.Values {
		s.lo[i], s.hi[i] = min(s.lo[i], v), max(s.hi[i], v)
	}
}

// exhaust ticks through all pairs of two 8-bit inputs.
func exhaust(p *program.Fixed) seen {
	m := program.NewFixedMachine(p)
	var s seen
	for x := int64(-128); x <= 127; x++ {
		for y := int64(-128); y <= 127; y++ {
			m.Tick([]int64{x, y}, nil)
			s.look(m)
		}
	}
	return s
}

func equalRanges(t *testing.T, p *program.Fixed, s seen, what string, seed uint64) {
	t.Helper()
	e := cert.NewEvaluator(p)
	e.Section(0)
	for i, r := range e.Ranges {
		want := interval.Ints(s.lo[i], s.hi[i])
		if r.Lo.Cmp(want.Lo) != 0 || r.Hi.Cmp(want.Hi) != 0 {
			t.Errorf("%s, seed %d: value %d, %v, is said in [%v, %v], it takes [%d, %d]", what, seed, i, p.Ops[i].Kind, r.Lo, r.Hi, s.lo[i], s.hi[i])
			return
		}
	}
}

// TestExactTrees: where each value is read once, by operations that are monotone or map a run of whole numbers to its
// ends, the range is exactly what all inputs together take.
func TestExactTrees(t *testing.T) {
	kinds := map[program.Kind]bool{}
	for seed := range uint64(60) {
		b := newBuilder(seed, program.I8, program.I8)
		x, y := b.unary(0, true), b.unary(1, true)
		for range 2 {
			x, y = b.unary(x, false), b.unary(y, false)
		}
		two := []program.Kind{program.Add, program.Sub, program.Mul, program.Min, program.Max}
		z := b.op(two[b.IntN(len(two))], x, y)
		for range 2 {
			z = b.unary(z, false)
		}
		for _, op := range b.p.Ops {
			kinds[op.Kind] = true
		}
		equalRanges(t, b.p, exhaust(b.p), "tree", seed)
	}
	for _, k := range []program.Kind{program.Mul, program.Abs, program.Wrap, program.Round, program.Clamp} {
		if !kinds[k] {
			t.Errorf("%v was not tried", k)
		}
	}
}

// unary adds an operation on one value. Absolute value and wrap need all whole numbers between the ends (dense).
func (b *builder) unary(a program.ID, dense bool) program.ID {
	n := 5
	if dense {
		n = 7
	}
	switch b.IntN(n) {
	case 0:
		return b.scale(b.Int64N(21)-10, a)
	case 1:
		return b.round(uint(1+b.IntN(4)), a)
	case 2:
		lo := b.Int64N(200) - 100
		return b.clamp(a, lo, lo+b.Int64N(100))
	case 3:
		return b.op(program.Add, a, b.constant(b.Int64N(200)-100))
	case 4:
		return b.op(program.Sub, b.constant(b.Int64N(200)-100), a)
	case 5:
		return b.op(program.Abs, a)
	}
	return b.wrap(2*(90+b.Int64N(60)), a)
}

// TestExactLinear: sums of multiples are exact however often a value is read, where nothing is rounded.
func TestExactLinear(t *testing.T) {
	for seed := range uint64(60) {
		b := newBuilder(seed, program.I8, program.I8)
		ids := []program.ID{0, 1, b.constant(b.Int64N(99))}
		for range 12 {
			switch b.IntN(3) {
			case 0:
				ids = append(ids, b.scale(b.Int64N(9)-4, b.any(ids)))
			case 1:
				ids = append(ids, b.op(program.Add, b.any(ids), b.any(ids)))
			case 2:
				ids = append(ids, b.op(program.Sub, b.any(ids), b.any(ids)))
			}
		}
		equalRanges(t, b.p, exhaust(b.p), "linear", seed)
	}
}

// TestExactAveraging is y + round((x-y)*3 / 4) over all x and y: correlation makes the range that of x and y and
// half a count, where intervals alone would give four times as much.
func TestExactAveraging(t *testing.T) {
	b := newBuilder(1, program.I8, program.I8)
	pull := b.scale(3, b.op(program.Sub, 0, 1))
	next := b.op(program.Add, b.scale(4, 1), pull)
	b.round(2, next)
	equalRanges(t, b.p, exhaust(b.p), "averaging", 1)
}

// TestExactWrap tries every range up to a turn outside the circle: where it ends on the seam, at it and beside it.
func TestExactWrap(t *testing.T) {
	for lo := int64(-20); lo <= 20; lo++ {
		for hi := lo; hi <= 20; hi++ {
			b := newBuilder(1, program.I8)
			b.wrap(14, b.clamp(0, lo, hi))
			m := program.NewFixedMachine(b.p)
			var s seen
			for x := lo; x <= hi; x++ {
				m.Tick([]int64{x}, nil)
				s.look(m)
			}
			s.lo[0], s.hi[0] = -128, 127
			equalRanges(t, b.p, s, "wrap", uint64(lo+20)<<8|uint64(hi+20))
		}
	}
}
