// Package bound finds the claims of a certificate. Nobody needs to trust it: it guesses by
// iterating and extrapolating, and package cert verifies what it found.
package bound

import (
	"fmt"
	"math"
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// Unbounded says which state, or else which value or section, no finite range was found for.
type Unbounded struct {
	State   string // its name
	Section int
	Divisor *interval.Range // of a quotient: what is divided by, which may be 0; in counts of an integer program
}

func (u Unbounded) Error() string { return fmt.Sprintf("no finite range was found for %s", u.State) }

// TooLong says where the search for ranges or differences was given up: it would take too long from there on.
type TooLong struct{ Section int }

func (t TooLong) Error() string { return "the search for bounds takes too long" }

// mostEffort is what one search may cost; an honest controller takes a hundredth.
const mostEffort Effort = 500e6

const (
	rounds  = 40
	guesses = 6 // rounds in which the closed form of a first-order recursion is tried
)

// Ranges finds an inductive range for every state of a program, and with it the range of every value.
// The second result marks sections whose linear states are bounded by peak gains, as Certificate.Taps does.
// declared asks for the reach from inputs inside their declared ranges, which proves nothing.
func Ranges(of program.Dialect, declared bool) (*Reach, []int, error) {
	e, p := newReach(of), of.View()
	_, whole := of.(*program.Fixed)
	for i, in := range p.Inputs { // inside their declared ranges: to choose formats by, never to prove anything
		if declared && !whole && in.Lo != nil {
			e.Inputs[i] = Declared(in)
		}
	}
	states, spans := p.StatesOf(), p.Spans()
	taps := make([]int, len(p.Sections))
	for _, ring := range p.Rings() {
		s := ring.First
		if e.Effort() > mostEffort {
			return e, taps, TooLong{s}
		}
		var err error
		stops := constants(p.Ops[spans[s].First:max(spans[s].First, spans[ring.End-1].End)], whole)
		for at := ring.First; at < ring.End; at++ {
			e.Section(at)
		}
		stops = append(stops, e.followed(ring)...)
		if ring.End > s+1 {
			if taps, err = solveRing(e, ring, taps, stops, whole); err != nil {
				return e, taps, err
			}
			for ; s < ring.End; s++ {
				shorten(e, spans[s], states[s], whole)
			}
			continue
		}
		w := func() *widening { return &widening{states[s], make([]track, len(states[s])), stops, whole} }
		if real, is := of.(*program.Real); is && declared && e.seed(real, states[s]) {
			e.Section(s)
		}
		if coupled(e.matrix(s)) { // a box of such states is rarely inductive: peak gains first
			if taps[s], err = solveLinear(e, p, s, w(), taps, Unbounded{Section: s}); err == nil && e.Lost == program.None {
				shorten(e, spans[s], states[s], whole)
				continue
			}
		}
		if err = solve(e, p, s, w()); err != nil {
			taps[s], err = solveLinear(e, p, s, w(), taps, err)
		}
		if err == nil && e.Lost != program.None {
			lost := Unbounded{State: p.Ops[e.Lost].Name, Section: s}
			if op := p.Ops[e.Lost]; op.Kind == program.Quotient {
				lost.Divisor = &e.Ranges[op.Args[1]]
			}
			err = lost
		}
		if err != nil {
			return e, taps, err
		}
		shorten(e, spans[s], states[s], whole)
	}
	return e, taps, nil
}

// shorten gives the ranges of a real program's section few digits, outwards: along a chain of filters they would grow without end.
// Counts have no digits behind the point.
func shorten(e *Reach, span program.Span, states []int, whole bool) {
	if whole {
		return
	}
	for i := span.First; i < span.End; i++ {
		e.Ranges[i] = outwards(e.Ranges[i])
	}
	for _, n := range states {
		e.States[n] = outwards(e.States[n])
	}
}

// outwards gives both ends few digits, so that the range only grows.
func outwards(r interval.Range) interval.Range {
	return interval.Range{Lo: outward(r.Lo, -1), Hi: outward(r.Hi, 1)}
}

// outward gives x few digits, away from the middle.
func outward(x *big.Rat, sign int) *big.Rat {
	if x.Sign() == 0 || x.Denom().BitLen() <= 64 {
		return x
	}
	shift := uint(max(x.Denom().BitLen()-x.Num().BitLen()+40, 0))
	scale := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), shift))
	y := new(big.Rat).Mul(x, scale)
	whole := interval.Floor(y)
	if sign > 0 {
		whole = interval.Ceil(y)
	}
	return new(big.Rat).Quo(new(big.Rat).SetInt(whole), scale)
}

// widening follows the ranges of a section's states while they grow.
type widening struct {
	states []int
	tracks []track
	stops  []*big.Rat // where a growing range may come to rest
	whole  bool       // counts
}

// jump guesses where state i comes to rest that grew from one range to another.
func (w *widening) jump(i int, from, to interval.Range) interval.Range {
	t := &w.tracks[i]
	guess := interval.Range{Lo: t.lo.jump(from.Lo, to.Lo, -1, w.stops), Hi: t.hi.jump(from.Hi, to.Hi, 1, w.stops)}
	if !to.Holds(guess) {
		startOver(w.tracks, i)
	}
	return w.round(guess)
}

// round makes ends whole in counts.
func (w *widening) round(r interval.Range) interval.Range {
	if !w.whole {
		return r
	}
	return interval.Range{Lo: new(big.Rat).SetInt(interval.Floor(r.Lo)), Hi: new(big.Rat).SetInt(interval.Ceil(r.Hi))}
}

func solve(e *Reach, p program.View, section int, w *widening) error {
	states := w.states
	grown := false
	for round := 0; ; round++ {
		e.Section(section)
		stable := true
		for i, n := range states {
			next := e.States[n].Hull(e.After(n))
			if e.States[n].Holds(next) {
				continue
			}
			stable, grown = false, true
			if round >= rounds {
				return Unbounded{State: p.States[n].Name, Section: section}
			}
			if r, ok := e.rest(n); ok && round < guesses {
				next = next.Hull(r)
				if !w.whole {
					next = outwards(next)
				}
				e.States[n] = w.round(next)
				startOver(w.tracks, i)
				continue
			}
			e.States[n] = w.jump(i, e.States[n], next)
		}
		if stable {
			break
		}
	}
	for range 2 { // what a tick leads to from an inductive set is an inductive set, and smaller
		if !grown {
			break
		}
		for _, n := range states {
			e.States[n] = e.After(n)
		}
		e.Section(section)
	}
	for _, n := range states {
		if e.States[n].Size().Cmp(farOff) >= 0 {
			return Unbounded{State: p.States[n].Name, Section: section}
		}
	}
	return nil
}

// nowhere stands for infinity while a range is widened.
var nowhere = new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), 100))

// farOff is where a range ends that no limit has stopped: what a tick leads to from nowhere may be a little nearer.
var farOff = new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), 90))

// constants are those of a section at which a growing range may come to rest.
func constants(ops []*program.Op, whole bool) []*big.Rat {
	out := []*big.Rat{nowhere, new(big.Rat).Neg(nowhere)}
	for _, op := range ops {
		switch op.Kind {
		case program.Const:
			out = append(out, op.K)
		case program.Wrap:
			half := new(big.Rat).Quo(op.K, big.NewRat(2, 1))
			out = append(out, half, new(big.Rat).Neg(half))
			if whole {
				out = append(out, new(big.Rat).Sub(half, big.NewRat(1, 1)))
			}
		}
	}
	return out
}

// followed are the ends of what goes into a recursion of some sections from outside: a state that follows it comes to rest there.
func (e *Reach) followed(sections program.Span) (out []*big.Rat) {
	first, end := e.spans[sections.First].First, e.spans[sections.End-1].End
	turns := map[program.ID]bool{} // depends on a state of the sections
	for i := first; i < end; i++ {
		op := e.p.Ops[i]
		turns[program.ID(i)] = op.Kind == program.State
		for _, a := range op.Args {
			turns[program.ID(i)] = turns[program.ID(i)] || turns[a]
		}
		for _, a := range op.Args {
			if turns[program.ID(i)] && !turns[a] && !e.p.Ops[a].Bool && e.p.Ops[a].Kind != program.Const {
				out = append(out, e.inCounts(a, sections)...)
			}
		}
	}
	return out
}

// inCounts are the ends of a value's range, in counts of an integer program also as the states of some sections count them.
func (e *Reach) inCounts(id program.ID, sections program.Span) []*big.Rat {
	out := []*big.Rat{e.Ranges[id].Lo, e.Ranges[id].Hi}
	if e.fixed == nil {
		return out
	}
	for _, s := range e.fixed.States {
		if sections.First <= s.Section && s.Section < sections.End && !s.Bool {
			k := new(big.Rat).Quo(e.fixed.Ops[id].LSB, s.LSB)
			if k.Num().CmpAbs(k.Denom()) != 0 {
				out = append(out, new(big.Rat).Mul(k, e.Ranges[id].Lo), new(big.Rat).Mul(k, e.Ranges[id].Hi))
			}
		}
	}
	return out
}

// track follows one end of a range.
type track struct{ lo, hi end }

// startOver forgets how the other states grew where one has jumped: they follow it, and that looks like growth without end.
func startOver(tracks []track, jumped int) {
	for i := range tracks {
		if i != jumped {
			tracks[i].lo.deltas, tracks[i].hi.deltas = nil, nil
		}
	}
}

type end struct {
	deltas  []float64
	guessed int // extrapolations so far
}

// mostGuesses is how often an approach is extrapolated before the next constant is tried.
const mostGuesses = 6

// jump guesses where an end that moved from a to b comes to rest. A geometric approach is extrapolated,
// a steady one runs on to the next constant of the section.
func (t *end) jump(a, b *big.Rat, sign int, stops []*big.Rat) *big.Rat {
	d, _ := new(big.Rat).Sub(b, a).Float64()
	d = math.Abs(d)
	if d == 0 {
		return b
	}
	t.deltas = append(t.deltas, d)
	n := len(t.deltas)
	if n < 3 {
		return b
	}
	ratio := t.deltas[n-1] / t.deltas[n-2]
	last := t.deltas[n-2] / t.deltas[n-3]
	switch {
	case ratio > 0.9999999 || t.guessed >= mostGuesses && new(big.Rat).Abs(nextConstant(b, sign, stops)).Cmp(nowhere) < 0:
		t.deltas = nil
		return nextConstant(b, sign, stops)
	case math.Abs(ratio-last) < 1e-3*(1-ratio) || n%4 == 0:
		t.deltas = nil
		t.guessed++
		rest := d * ratio / (1 - ratio)
		x, _ := b.Float64()
		x += float64(sign) * (rest*(1+1e-6) + math.Abs(x)*1e-12 + 1e-9*d)
		if guess := new(big.Rat).SetFloat64(x); guess.Cmp(b) == sign {
			return guess
		}
	}
	return b
}

// nextConstant is the nearest of the stops beyond b, or nowhere.
func nextConstant(b *big.Rat, sign int, stops []*big.Rat) *big.Rat {
	best := new(big.Rat).Mul(nowhere, big.NewRat(int64(sign), 1))
	for _, s := range stops {
		if sign > 0 && s.Cmp(b) >= 0 && s.Cmp(best) < 0 || sign < 0 && s.Cmp(b) <= 0 && s.Cmp(best) > 0 {
			best = s
		}
	}
	return best
}
