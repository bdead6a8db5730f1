package c

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"gainwright/model/program"
	"gainwright/model/selection"
	"gainwright/model/target"
)

// TestTwoRoundingsInOne: floor((floor(x/a) + b)/c) = floor((x + a*b)/(a*c)), with the halves of both roundings.
func TestTwoRoundingsInOne(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 1_000_000 {
		first, second := 1+rng.UintN(15), 1+rng.UintN(15)
		x := rng.Int64() >> rng.UintN(63)
		x = x >> 2
		once := (x + int64(1)<<(first-1)) >> first
		want := (once + int64(1)<<(second-1)) >> second
		if got := (x + selection.Halves(first+second, first)) >> (first + second); got != want {
			t.Fatalf("%d by 2^%d and 2^%d: %d, want %d", x, first, second, got, want)
		}
	}
}

// rounded is a controller that limits a sum, rounds it twice and hands it out.
func rounded(t *testing.T, lo, hi int64, shifts ...uint) *program.Fixed {
	b := newBuilder(t, "rounded")
	x := b.input("x", program.I16, "mm", big.NewRat(1, 10))
	b.begin("y", "scale", "A product, limited and rounded.", "y = 300 x, limited")
	at := b.scale("much", "much", 300, x)
	at = b.op(program.Clamp, "within", "limited", at, b.constant("low", lo), b.constant("high", hi))
	for i, s := range shifts {
		at = b.round([]string{"coarse", "coarser"}[i], "rounded", s, at)
	}
	b.signal("y", at)
	b.output("y", program.I16, at)
	return b.unit().Integer
}

// TestRoundingsAreMerged runs the program as it is and as it is emitted, over all inputs.
func TestRoundingsAreMerged(t *testing.T) {
	for _, c := range []struct {
		lo, hi         int64
		shifts         []uint
		target         string
		roundings      int
		clamps, merged int
	}{
		{-1_000_000, 1_000_001, []uint{8, 7}, "avr8", 1, 1, 1},
		{-1_000_000, 1_000_001, []uint{9, 7}, "avr8", 2, 1, 0},
		{-1_000_000, 1_000_001, []uint{9, 7}, "cortex-m0", 1, 1, 1},
		{-1_000_127, 1_000_128, []uint{12}, "cortex-m0", 1, 1, 0},
		{-9_830_399, 9_830_000, []uint{16}, "avr8", 1, 0, 0},     // the limits are not seen behind the rounding
		{-1_000_000, 1_000_001, []uint{5}, "cortex-m0", 1, 1, 0}, // the product does not fit 16 bits
	} {
		original := rounded(t, c.lo, c.hi, c.shifts...)
		s := selection.Select(original, target.Named(c.target), selection.Speed)
		p, merged, kinds := s.Program, 0, map[program.Kind]int{}
		for i, op := range p.Ops {
			if s.Ops[i].Use.Live {
				kinds[op.Kind]++
			}
			if s.Ops[i].First > 0 {
				merged++
			}
		}
		if merged != c.merged {
			t.Errorf("%v: %d merged, want %d", c, merged, c.merged)
		}
		if kinds[program.Round] != c.roundings || kinds[program.Clamp] != c.clamps {
			t.Errorf("%v: %d roundings and %d limits, want %d and %d", c, kinds[program.Round], kinds[program.Clamp], c.roundings, c.clamps)
		}
		first := func(q *program.Fixed, id program.ID) uint {
			if q == original {
				return 0
			}
			return s.Ops[id].First
		}
		var value func(q *program.Fixed, id program.ID, x int64) int64
		value = func(q *program.Fixed, id program.ID, x int64) int64 {
			op := q.Ops[id]
			arg := func(i int) int64 { return value(q, op.Args[i], x) }
			got := x
			switch op.Kind {
			case program.Const:
				return op.K.Num().Int64()
			case program.Scale:
				got = arg(0) * op.K.Num().Int64()
			case program.Clamp:
				got = min(max(arg(0), arg(1)), arg(2))
			case program.Round:
				got = (arg(0) + selection.Halves(op.Shift, first(q, id))) >> op.Shift
			}
			if got < op.Lo || got > op.Hi {
				t.Fatalf("%v: %s is %d, outside [%d, %d]", c, op.Name, got, op.Lo, op.Hi)
			}
			return got
		}
		for x := int64(-1 << 15); x < 1<<15; x++ {
			if got, want := value(p, p.Outputs[0].Value, x), value(original, original.Outputs[0].Value, x); got != want {
				t.Fatalf("%v: %d gives %d, want %d", c, x, got, want)
			}
		}
	}
}

// TestShortQuotient follows the instructions of the short division on ARMv6-M, on sides next to each other and to powers of two.
func TestShortQuotient(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	divide := func(lesser, larger uint32, bits uint) uint32 {
		rest, less := lesser<<16, larger<<16-1
		if rest > less {
			rest -= less
		}
		for range bits {
			if rest >= 1<<31 {
				t.Fatalf("%d / %d: a bit is lost", lesser, larger)
			}
			if rest += rest; rest > less {
				rest -= less
			}
		}
		return rest & 65535
	}
	for _, bits := range []uint{1, 8, 13, 14, 15} {
		check := func(lesser, larger uint32) {
			if got, want := divide(lesser, larger, bits), lesser<<bits/larger; got != want {
				t.Fatalf("%d / %d in 2^-%d: %d, want %d", lesser, larger, bits, got, want)
			}
		}
		for larger := uint32(1); larger <= 32768; larger++ {
			check(larger, larger)
			check(larger-1, larger)
			check(0, larger)
			check(rng.Uint32N(larger+1), larger)
		}
	}
}
