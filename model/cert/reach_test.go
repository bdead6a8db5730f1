package cert_test

import (
	"math/rand/v2"
	"testing"

	"gainwright/model/bound"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// TestContains runs random programs of every operation, states included, and holds every value ever seen inside the
// ranges found for it.
func TestContains(t *testing.T) {
	bounded, tightStates, states := 0, 0, 0
	for seed := range uint64(400) {
		b := newBuilder(seed, program.I8, program.I8, program.Bool)
		b.stateful()
		e, _, err := bound.Ranges(b.p, false)
		if err != nil {
			continue
		}
		bounded++
		s := hammer(b, 1500)
		for i, r := range e.Ranges {
			if !r.Holds(interval.Ints(s.lo[i], s.hi[i])) {
				t.Fatalf("seed %d: value %d, %v, took [%d, %d], said [%v, %v]", seed, i, b.p.Ops[i].Kind, s.lo[i], s.hi[i], r.Lo, r.Hi)
			}
			if op := b.p.Ops[i]; op.Kind == program.State {
				states++
				if r.Lo.Cmp(interval.Ints(s.lo[i], 0).Lo) == 0 && r.Hi.Cmp(interval.Ints(s.hi[i], 0).Lo) == 0 {
					tightStates++
				}
			}
		}
	}
	t.Logf("%d of 400 programs bounded; %d of %d state ranges reached at both ends", bounded, tightStates, states)
	if bounded < 300 || 4*tightStates < states {
		t.Errorf("%d programs were bounded, %d of %d state ranges reached: the test says little", bounded, tightStates, states)
	}
}

// hammer runs a program on ends, on random numbers and on long runs of one value.
func hammer(b *builder, ticks int) seen {
	m := program.NewFixedMachine(b.p)
	r := rand.New(rand.NewPCG(1, 1))
	var s seen
	in := make([]int64, len(b.p.Inputs))
	for tick := range ticks {
		if r.IntN(12) == 0 || tick%2 == 0 && tick < 300 {
			for i := range in {
				lo, hi := b.p.Inputs[i].Type.Range()
				in[i] = []int64{lo, hi, lo + r.Int64N(hi-lo+1)}[r.IntN(3)]
			}
		}
		m.Tick(in, nil)
		s.look(m)
	}
	return s
}

// stateful adds states of the forms that the step kinds make (first order, limited, held, wrapped, counting) and
// operations between them.
func (b *builder) stateful() {
	numbers, truths := []program.ID{0, 1}, []program.ID{2}
	type todo struct {
		n  int
		id program.ID
	}
	var open []todo
	for range 1 + b.IntN(3) {
		n, id := b.state(b.Int64N(40) - 20)
		open = append(open, todo{n, id})
		numbers = append(numbers, id)
	}
	for range 8 {
		x, y := b.any(numbers), b.any(numbers)
		kinds := []program.Kind{program.Add, program.Sub, program.Min, program.Max, program.Less, program.And, program.Not, program.Select, program.Clamp, program.Abs, program.Round}
		switch k := kinds[b.IntN(len(kinds))]; k {
		case program.Less:
			truths = append(truths, b.op(k, x, y))
		case program.And:
			truths = append(truths, b.op(k, b.any(truths), b.any(truths)))
		case program.Not:
			truths = append(truths, b.op(k, b.any(truths)))
		case program.Select, program.Clamp:
			first := b.any(truths)
			if k == program.Clamp {
				first = b.any(numbers)
			}
			numbers = append(numbers, b.op(k, first, x, y))
		case program.Abs:
			numbers = append(numbers, b.op(k, x))
		case program.Round:
			numbers = append(numbers, b.round(uint(1+b.IntN(3)), x))
		default:
			numbers = append(numbers, b.op(k, x, y))
		}
	}
	for _, o := range open {
		s := &b.p.States[o.n]
		x := b.clamp(b.any(numbers), -100, 100)
		switch b.IntN(5) {
		case 0: // first order, the state in 1/16 of a count: y += k*(x - y)
			s.Next = b.op(program.Add, o.id, b.scale(1+b.Int64N(15), b.op(program.Sub, x, b.round(4, o.id))))
		case 1:
			s.Next = b.clamp(b.op(program.Add, o.id, x), -300, 200)
		case 2:
			s.Next = b.op(program.Select, b.any(truths), x, o.id)
		case 3:
			s.Next = b.wrap(720, b.op(program.Add, o.id, x))
		case 4:
			s.Next = b.op(program.Min, b.op(program.Add, o.id, b.constant(1)), b.constant(77))
		}
		if b.IntN(2) == 0 {
			s.Enable = b.any(truths)
		}
		if b.IntN(2) == 0 {
			s.Reset, s.ResetTo = b.any(truths), b.clamp(b.any(numbers), -50, 60)
		}
	}
}

// TestReachable goes through every state that tiny programs can get into, with every input, and holds the ranges
// against all of them: containment without sampling.
func TestReachable(t *testing.T) {
	tried := 0
	for seed := range uint64(150) {
		b := newBuilder(seed, program.Bool, program.Bool)
		x := b.op(program.Sub, b.scale(3, 0), b.scale(2, 1)) // -2, 0, 1 or 3
		n1, y := b.state(b.Int64N(5))
		n2, z := b.state(0)
		b.p.States[n1].Next = [](func() program.ID){
			func() program.ID { return b.op(program.Add, y, b.op(program.Sub, x, b.round(2, y))) },
			func() program.ID { return b.clamp(b.op(program.Sub, x, y), -7, 9) },
			func() program.ID { return b.wrap(14, b.op(program.Add, y, x)) },
			func() program.ID { return b.op(program.Select, 0, x, y) },
		}[b.IntN(4)]()
		b.p.States[n2].Next = b.clamp(b.op(program.Add, z, b.op(program.Min, x, y)), -9, 9)
		if b.IntN(2) == 0 {
			b.p.States[n2].Enable = 1
		}
		if b.IntN(2) == 0 {
			b.p.States[n2].Reset, b.p.States[n2].ResetTo = 0, y
		}
		e, _, err := bound.Ranges(b.p, false)
		if err != nil {
			continue
		}
		tried++
		s := reach(b.p)
		for i, r := range e.Ranges {
			if !r.Holds(interval.Ints(s.lo[i], s.hi[i])) {
				t.Fatalf("seed %d: value %d, %v, takes [%d, %d], said [%v, %v]", seed, i, b.p.Ops[i].Kind, s.lo[i], s.hi[i], r.Lo, r.Hi)
			}
		}
	}
	if tried < 120 {
		t.Errorf("%d programs were bounded", tried)
	}
}

// reach tries all inputs in all states that can be reached.
func reach(p *program.Fixed) seen {
	m := program.NewFixedMachine(p)
	type pair [2]int64
	known := map[pair]bool{}
	todo := []pair{{m.State[0], m.State[1]}}
	var s seen
	for len(todo) > 0 {
		at := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for in := range int64(4) {
			m.State[0], m.State[1] = at[0], at[1]
			m.Tick([]int64{in & 1, in >> 1}, nil)
			s.look(m)
			if next := (pair{m.State[0], m.State[1]}); !known[next] {
				known[next] = true
				todo = append(todo, next)
			}
		}
	}
	return s
}
