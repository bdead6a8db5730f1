package target

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

// Where no worst tick can be proven, it is looked for: ticks from any state inside its proven range, with inputs inside their declared
// ones. Trials from the start do not come by what needs thousands of ticks at rest, such as the mean of a rate.

// stirred are the rounds of the search, of one batch of the firmware each.
const (
	stirred    = 40
	batchTicks = 64
)

// posed is a controller with its states among the inputs of a record, and what each value may be.
func posed(u *model.Unit) (k controller, spans []span) {
	p := u.Integer
	in, _, state, _ := c.Members(p)
	k = controller{name: u.Spec.Name, header: c.Header(u), unweighed: true}
	k.take(in)
	spans = make([]span, len(in))
	for _, op := range p.Ops {
		if op.Kind == program.Input {
			spans[op.Index] = span{op.Lo, op.Hi}
		}
	}
	for i, g := range p.Gains {
		k.settable(g.Name)
		var s span
		for _, f := range p.Coefs {
			if f.Gain == i {
				s = span{f.Setter.XLo, f.Setter.XHi}
			}
		}
		spans = append(spans, span{0, 1}, s)
	}
	for i, m := range state {
		k.receive = append(k.receive, fmt.Sprintf("State.%s = (%s)r->v%d;", m.Name, c.CType(m.Type), len(k.in)))
		k.in = append(k.in, m.Type)
		s := p.States[i]
		if s.Type == program.Bool {
			s.Lo, s.Hi = 0, 1
		}
		spans = append(spans, span{s.Lo, s.Hi})
	}
	if len(spans) == 0 {
		spans = make([]span, 1) // a record is never empty
	}
	return k, spans
}

// span is what a value of a record may be.
type span struct{ lo, hi int64 }

// draw is a number of the span: an end, nothing, or any.
func (s span) draw(rng *rand.Rand) int64 {
	switch rng.IntN(6) {
	case 0:
		return s.lo
	case 1:
		return s.hi
	case 2:
		return min(max(0, s.lo), s.hi)
	case 3:
		return min(max(rng.Int64N(65)-32, s.lo), s.hi)
	}
	if wide := uint64(s.hi - s.lo); wide < 1<<63-1 {
		return s.lo + rng.Int64N(int64(wide)+1)
	}
	return rng.Int64()
}

// watched notes what each tick of a part costs.
type watched struct {
	part
	costs []int
}

func (w *watched) cost(measured, base uint32) int {
	n := w.part.cost(measured, base)
	w.costs = append(w.costs, n)
	return n
}

// found is a record and what its tick takes.
type found struct {
	record []int64
	cost   int
}

// search looks for the worst tick of a controller on a part whose firmware takes records in batches.
func search(ctx context.Context, part string, u *model.Unit) (int, error) {
	k, spans := posed(u)
	s, err := build(ctx, part, k)
	if err != nil {
		return 0, err
	}
	defer s.Close()
	w := &watched{part: s.part}
	s.part = w
	in, out := make(chan []int64), make(chan []int64)
	ended := make(chan error, 1)
	go func() {
		_, err := s.Run(ctx, in, out)
		close(out)
		ended <- err
	}()
	rng := rand.New(rand.NewPCG(1, 2))
	settings := len(u.Integer.Inputs) + 2*len(u.Integer.Gains)
	var best, tried []found // the worst ones; those whose costs are not there yet
	read := 0               // costs
	for range stirred {
		var records []int64
		for range batchTicks {
			record := make([]int64, len(spans))
			for i, s := range spans {
				record[i] = s.draw(rng)
			}
			if len(best) > 0 && rng.IntN(4) > 0 { // a bad one, changed a little
				record = slices.Clone(best[rng.IntN(len(best))].record)
				for range 1 + rng.IntN(3) {
					i := rng.IntN(len(spans))
					record[i] = spans[i].draw(rng)
				}
			}
			for _, b := range u.Integer.Beliefs { // by chance hardly a reading is one that is believed after the last
				if rng.IntN(2) == 0 {
					record[b.Input] = span{b.Lo, b.Hi}.draw(rng)
					for i, s := range u.Integer.States {
						if s.Name == b.Last {
							record[settings+i] = b.Next(false, record[b.Input], record[b.Input]+rng.Int64N(9)-4)
						}
					}
				}
			}
			tried = append(tried, found{record: record})
			records = append(records, record...)
		}
		select {
		case in <- records:
		case err := <-ended:
			return 0, err
		}
		for len(tried) > heldBack {
			values, more := <-out
			if !more {
				return 0, <-ended
			}
			s.mu.Lock()
			for range values {
				tried[0].cost = w.costs[read]
				best, tried, read = append(best, tried[0]), tried[1:], read+1
			}
			s.mu.Unlock()
		}
		slices.SortStableFunc(best, func(a, b found) int { return b.cost - a.cost })
		best = best[:8]
	}
	close(in)
	for range out {
	}
	if err := <-ended; err != nil {
		return 0, err
	}
	return slices.Max(w.costs), nil
}

// heldBack are the results that may be waiting for the bytes behind the last one.
const heldBack = 2
