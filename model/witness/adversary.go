package witness

import (
	"fmt"
	"math"
	"math/rand/v2"
)

const (
	attack     = 260 // ticks of a sequence against a rounding bound
	candidates = 300 // input vectors to choose from at each tick
)

// adversary makes every rounding of a section go the way that hurts a signal most at the end. At each tick it
// tries input vectors and takes the one whose roundings, weighted by the responses from here to the end, add most.
// Where a product's constant is odd every residue can be had, so that this comes as close as the candidates are many.
func (s *search) adversary(seed uint64) {
	d, err := s.differences()
	if err != nil {
		return
	}
	for i := range s.signals {
		g := &s.signals[i]
		if math.IsNaN(g.off.Bound) || g.off.Bound == 0 || g.off.Reached > 0.995*g.off.Bound {
			continue
		}
		rounds := s.responses(d, g.section, g.index, attack)
		if len(rounds) == 0 {
			continue
		}
		for _, part := range []int64{8, 512} { // of the register: with small inputs limits downstream stay away
			for _, ahead := range []bool{false, true} {
				for _, sign := range []float64{1, -1} {
					if g.off.Reached < 0.995*g.off.Bound {
						s.attack(g, rounds, sign, part, ahead, rand.New(rand.NewPCG(seed, uint64(i)+2)))
					}
				}
			}
		}
	}
}

func (s *search) attack(g *signal, rounds []response, sign float64, part int64, ahead bool, rng *rand.Rand) {
	r := run{how: fmt.Sprintf("roundings chosen against %s", g.off.Signal)}
	s.machine.Start()
	in := vector(s.integer, 1)
	for range settle {
		s.machine.Tick(in, s.coefs)
		r.inputs = append(r.inputs, in)
	}
	num := numbers(s.integer)
	state := make([]int64, len(s.machine.State))
	for k := range attack {
		copy(state, s.machine.State)
		var best []int64
		most := math.Inf(-1)
		for range candidates {
			next := append([]int64(nil), in...)
			for _, i := range num {
				lo, hi := s.integer.Inputs[i].Type.Range()
				mid, reach := (lo+hi)/2, (hi-lo)/part
				next[i] = mid + rng.Int64N(2*reach+1) - reach
			}
			copy(s.machine.State, state)
			s.machine.Tick(next, s.coefs)
			gain := sign * s.leftOver(rounds, attack-1-k)
			if ahead && k+1 < attack { // a state that is read rounded shows what this tick chose at the next one
				s.machine.Tick(next, s.coefs)
				gain += sign * s.leftOver(rounds, attack-2-k)
			}
			if gain > most {
				most, best = gain, next
			}
		}
		copy(s.machine.State, state)
		s.machine.Tick(best, s.coefs)
		r.inputs = append(r.inputs, best)
	}
	s.try(r)
}

// leftOver is what the roundings of the tick just run add to the signal, so many ticks later.
func (s *search) leftOver(rounds []response, later int) float64 {
	sum := 0.0
	for _, w := range rounds {
		op := &s.integer.Ops[w.round]
		x := s.machine.Values[op.Args[0]]
		left := x & (1<<op.Shift - 1) // the value less its floor, in parts of a count
		residue := -float64(left) / float64(int64(1)<<op.Shift)
		if left >= 1<<(op.Shift-1) {
			residue++
		}
		sum += w.taps[later] * residue
	}
	return sum
}
