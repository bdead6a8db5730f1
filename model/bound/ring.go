package bound

import (
	"math/big"
	"slices"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// ring is sections that feed one another back, followed together.
type ring struct {
	p        program.View
	sections program.Span
	states   []int
	linear   []int // sections with linear states that a box is not tried for: peak gains bound those states
}

func newRing(p program.View, sections program.Span) *ring {
	r := &ring{p: p, sections: sections}
	of := p.StatesOf()
	for s := sections.First; s < sections.End; s++ {
		r.states = append(r.states, of[s]...)
	}
	return r
}

// each calls f for each section in order.
func (r *ring) each(f func(section int)) {
	for s := r.sections.First; s < r.sections.End; s++ {
		f(s)
	}
}

// coupledOnes lists the sections whose own linear states depend on one another, or on those of the others.
func (r *ring) coupledOnes(f follower) (out []int) {
	r.each(func(s int) {
		if len(cert.Linear(r.p, s)) > 0 && coupled(f.matrix(s)) {
			out = append(out, s)
		}
	})
	return out
}

// withLinear lists the sections that have linear states.
func (r *ring) withLinear() (out []int) {
	r.each(func(s int) {
		if len(cert.Linear(r.p, s)) > 0 {
			out = append(out, s)
		}
	})
	return out
}

// mark has the linear states of the sections bounded by peak gains. It fails where a recursion is not stable, or takes too long.
func (r *ring) mark(f follower, taps []int) (marked []int, ok bool) {
	marked = slices.Clone(taps)
	for _, s := range r.linear {
		marked[s] = 64
	}
	f.UseLinear(marked)
	r.each(f.Section)
	for _, s := range r.linear {
		found, _ := f.taps(firstTaps(f.matrix(s)), func(taps int) (float64, error) {
			marked[s] = taps
			_, loss, err := f.LinearBounds(s, taps)
			return loss, err
		})
		if !found {
			return nil, false
		}
	}
	f.UseLinear(marked)
	return marked, true
}

// peaked are the states that peak gains bound.
func (r *ring) peaked() (out []int) {
	for _, s := range r.linear {
		out = append(out, cert.Linear(r.p, s)...)
	}
	return out
}

// solveRing finds an inductive range for every state of sections that feed one another back: boxes, and where those run away peak gains of whatever is
// linear. It returns the taps.
func solveRing(e *Reach, sections program.Span, taps []int, stops []*big.Rat, whole bool) ([]int, error) {
	r := newRing(e.p, sections)
	r.each(e.Section)
	r.linear = r.coupledOnes(e)
	found, err := r.ranges(e, taps, stops, whole)
	if err != nil && len(r.withLinear()) > len(r.linear) {
		r.linear = r.withLinear()
		found, err = r.ranges(e, taps, stops, whole)
	}
	if err != nil {
		r.linear = r.coupledOnes(e)
		if wide, ok := r.fromOutside(e, taps, whole); ok {
			return wide, nil
		}
	}
	return found, err
}

// fromOutside tries boxes far larger than what a few ticks reach, and makes them smaller as a tick does: where a ring forgets slowly, growing ranges creep
// towards where they come to rest and are not extrapolated well.
func (r *ring) fromOutside(e *Reach, taps []int, whole bool) ([]int, bool) {
	for _, n := range r.states {
		e.States[n] = interval.Point(e.p.States[n].Start)
	}
	marked, ok := r.mark(e, taps)
	if !ok {
		return nil, false
	}
	const first = 8 // ticks that tell how large the states are beside one another
	var next map[int]interval.Range
	for range first {
		if next, ok = r.after(e, marked); !ok {
			return nil, false
		}
		for _, n := range r.states {
			e.States[n] = e.States[n].Hull(next[n])
		}
	}
	size := map[int]*big.Rat{}
	for _, n := range r.states {
		size[n] = new(big.Rat).Add(e.States[n].Size(), big.NewRat(1, 1<<20))
	}
	holds := func() bool {
		next, ok = r.after(e, marked)
		return ok && !slices.ContainsFunc(r.states, func(n int) bool { return !e.States[n].Holds(next[n]) })
	}
	const most = 24 // doublings
	for k := uint(1); ; k++ {
		for _, n := range r.states {
			x := new(big.Rat).Mul(size[n], new(big.Rat).SetInt64(1<<k))
			e.States[n] = interval.Range{Lo: new(big.Rat).Neg(x), Hi: x}
			if whole {
				e.States[n] = interval.Range{Lo: new(big.Rat).SetInt(interval.Floor(e.States[n].Lo)), Hi: new(big.Rat).SetInt(interval.Ceil(e.States[n].Hi))}
			}
		}
		if holds() {
			break
		}
		if k == most {
			return nil, false
		}
	}
	for range 3 * rounds { // what a tick leads to from an inductive set is one, and smaller
		for _, n := range r.states {
			if e.States[n] = next[n]; !whole {
				e.States[n] = outwards(e.States[n])
			}
		}
		if !holds() {
			return nil, false
		}
	}
	return marked, true
}

// after is where a tick leads the states from their ranges; false where a value has no finite range or a recursion no peak gains.
func (r *ring) after(e *Reach, marked []int) (map[int]interval.Range, bool) {
	finite := true
	r.each(func(s int) {
		e.Section(s)
		finite = finite && e.Lost == program.None
	})
	next := map[int]interval.Range{}
	for _, n := range r.states {
		next[n] = e.After(n)
	}
	for _, s := range r.linear {
		bounds, _, err := e.LinearBounds(s, marked[s])
		if err != nil {
			return nil, false
		}
		for i, n := range cert.Linear(r.p, s) {
			next[n] = bounds[i].Hull(interval.Point(e.p.States[n].Start))
		}
	}
	return next, finite
}

func (r *ring) ranges(e *Reach, taps []int, stops []*big.Rat, whole bool) ([]int, error) {
	for _, n := range r.states {
		e.States[n] = interval.Point(e.p.States[n].Start)
	}
	marked, ok := r.mark(e, taps)
	if !ok {
		return taps, Unbounded{State: r.p.States[r.states[0]].Name, Section: r.sections.First}
	}
	w := widening{r.states, make([]track, len(r.states)), stops, whole}
	for round := 0; ; round++ {
		next, finite := r.after(e, marked)
		if next == nil {
			return taps, Unbounded{State: r.p.States[r.states[0]].Name, Section: r.sections.First}
		}
		stable := true
		for i, n := range r.states {
			if e.States[n].Holds(next[n]) {
				continue
			}
			stable = false
			to := e.States[n].Hull(next[n])
			if e.States[n] = w.jump(i, e.States[n], to); !w.whole {
				e.States[n] = outwards(e.States[n])
			}
			if round >= 2*rounds || e.States[n].Size().Cmp(farOff) >= 0 {
				return taps, Unbounded{State: r.p.States[n].Name, Section: r.p.States[n].Section}
			}
		}
		if stable {
			if !finite {
				return taps, Unbounded{State: r.p.States[r.states[0]].Name, Section: r.sections.First}
			}
			return marked, nil
		}
	}
}

// differRing finds differences that a tick does not lead out of, for the states of sections that feed one another back; where there are none, it knows
// nothing of any of them. It returns the taps.
func differRing(d *Spread, sections program.Span, taps []int) []int {
	r := newRing(d.p, sections)
	r.each(d.Section)
	for _, linear := range [][]int{r.coupledOnes(d), r.withLinear()} {
		r.linear = linear
		for _, n := range r.states {
			zero := interval.Ints(0, 0)
			d.States[n] = &zero
		}
		if marked, ok := r.mark(d, taps); ok && r.differences(d, marked) {
			return marked
		}
	}
	for _, n := range r.states {
		d.States[n] = nil
	}
	d.UseLinear(taps)
	r.each(d.Section)
	return taps
}

func (r *ring) differences(d *Spread, marked []int) bool {
	peaked := r.peaked()
	tracks := make([]track, len(r.states))
	for round := 0; ; round++ {
		r.each(d.Section)
		after := map[int]*interval.Range{}
		for _, n := range r.states {
			if !slices.Contains(peaked, n) {
				after[n] = d.After(n)
			}
		}
		for _, s := range r.linear {
			bounds, _, err := d.LinearBounds(s, marked[s])
			if err != nil {
				return false
			}
			for i, n := range cert.Linear(r.p, s) {
				after[n] = &bounds[i]
			}
		}
		stable := true
		for i, n := range r.states {
			switch old := d.States[n]; {
			case after[n] == nil || round >= rounds:
				return false
			case !old.Holds(*after[n]):
				stable = false
				next := old.Hull(*after[n])
				guess := interval.Range{Lo: tracks[i].lo.jump(old.Lo, next.Lo, -1, nil), Hi: tracks[i].hi.jump(old.Hi, next.Hi, 1, nil)}
				if guess = outwards(guess); guess.Size().Cmp(nowhere) >= 0 {
					return false
				}
				d.States[n] = &guess
			}
		}
		if stable {
			return true
		}
	}
}
