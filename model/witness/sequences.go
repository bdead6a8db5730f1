package witness

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"gainwright/model/program"
)

// numbers lists the inputs that are no switches.
func numbers(p *program.Fixed) []int {
	var out []int
	for i, in := range p.Inputs {
		if !in.IsSwitch {
			out = append(out, i)
		}
	}
	return out
}

// vector is an input vector with all switches as given and all numbers 0, or next to it.
func vector(p *program.Fixed, on int64) []int64 {
	in := make([]int64, len(p.Inputs))
	for i, info := range p.Inputs {
		lo, hi := info.Type.Range()
		in[i] = min(max(0, lo), hi)
		if info.IsSwitch {
			in[i] = on
		}
	}
	return in
}

// corners holds the inputs at the ends of their registers: every corner of up to six inputs.
func corners(p *program.Fixed) []run {
	num := numbers(p)
	if len(num) > 6 {
		num = num[:6]
	}
	var out []run
	for _, on := range []int64{1, 0} {
		for mask := range 1 << len(num) {
			in := vector(p, on)
			for b, i := range num {
				lo, hi := p.Inputs[i].Type.Range()
				if in[i] = lo; mask>>b&1 == 1 {
					in[i] = hi
				}
			}
			out = append(out, run{"inputs held at the ends of their registers", slices.Repeat([][]int64{in}, horizon)})
		}
	}
	return out
}

// restless moves between the ends of the registers, and walks at random.
func restless(p *program.Fixed, seed uint64) []run {
	rng := rand.New(rand.NewPCG(seed, 1))
	var out []run
	for n := range 24 {
		in := vector(p, 1)
		r := run{how: "inputs that jump between the ends of their registers"}
		if n%2 == 1 {
			r.how = "random inputs"
		}
		quiet := 0 // a mean at rest needs a rest
		if n%4 == 3 {
			quiet = horizon / 2
			r.how = "rest, then random inputs"
		}
		every := 1 + rng.IntN(1<<(n/3))
		for k := range horizon {
			next := append([]int64(nil), in...)
			for i, info := range p.Inputs {
				lo, hi := info.Type.Range()
				switch {
				case k < quiet && !info.IsSwitch:
					next[i] = min(max(rng.Int64N(64), lo), hi)
				case info.IsSwitch:
					if rng.IntN(50) == 0 {
						next[i] = 1 - next[i]
					}
				case n%2 == 1 && rng.IntN(4) > 0:
					next[i] = min(max(in[i]+rng.Int64N(513)-256, lo), hi)
				case n%2 == 1:
					next[i] = lo + rng.Int64N(hi-lo+1)
				case k%every == 0:
					if next[i] = lo; rng.IntN(2) == 1 {
						next[i] = hi
					}
				}
			}
			in = next
			r.inputs = append(r.inputs, in)
		}
		out = append(out, r)
	}
	return out
}

// believed is a sequence whose readings keep to what the controller believes of them: what a check of readings switches off is at work in it.
func believed(p *program.Fixed, r run) run {
	out := run{how: r.how + ", as far as readings are believed"}
	var last []int64
	for _, in := range r.inputs {
		next := append([]int64(nil), in...)
		p.Believe(last, next)
		out.inputs, last = append(out.inputs, next), next
	}
	return out
}

// reversed takes, for each signal, the signs of its impulse responses backwards in time: of all sequences the one
// that leads a linear part furthest at its last tick. Responses are found by running the integer program.
func (s *search) reversed(on int64) {
	num := numbers(s.integer)
	base := vector(s.integer, on)
	rest := s.trace(func(int) []int64 { return base })
	response := make([][][]float64, len(num)) // by input, signal, tick
	for n, i := range num {
		_, hi := s.integer.Inputs[i].Type.Range()
		size := max(hi/4, 1)
		hit := append([]int64(nil), base...)
		hit[i] += size
		got := s.trace(func(k int) []int64 {
			if k == settle {
				return hit
			}
			return base
		})
		response[n] = make([][]float64, len(s.signals))
		for g := range s.signals {
			h := make([]float64, horizon-settle)
			for k := range h {
				h[k] = float64(got[g][settle+k]-rest[g][settle+k]) / float64(size)
			}
			response[n][g] = h
		}
	}
	for g := range s.signals {
		for _, sign := range []float64{1, -1} {
			for _, span := range []int{horizon - settle, 40, 8} {
				how := fmt.Sprintf("signs of the reversed impulse response of %s, %d ticks", s.signals[g].high.Signal, span)
				r := run{how, slices.Repeat([][]int64{base}, settle)}
				for k := range span {
					in := append([]int64(nil), base...)
					for n, i := range num {
						lo, hi := s.integer.Inputs[i].Type.Range()
						switch h := sign * response[n][g][span-1-k]; {
						case h > 0:
							in[i] = hi
						case h < 0:
							in[i] = lo
						}
					}
					r.inputs = append(r.inputs, in)
				}
				s.try(r)
			}
		}
	}
}

// settle is how many ticks at rest precede an impulse.
const settle = 4

// trace runs inputs and returns each signal's counts.
func (s *search) trace(in func(k int) []int64) [][]int64 {
	s.machine.Start()
	out := make([][]int64, len(s.signals))
	for k := range horizon {
		s.machine.Tick(in(k), s.coefs)
		for i, g := range s.signals {
			out[i] = append(out[i], s.machine.Values[g.value])
		}
	}
	return out
}
