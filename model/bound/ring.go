package bound

import (
	"slices"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// loop is sections that feed one another back, followed together.
type loop struct {
	p        program.View
	sections program.Span
	states   []int
	linear   []int // sections with linear states that a box is not tried for: their facts are peak gains
}

func newLoop(p program.View, sections program.Span) *loop {
	l := &loop{p: p, sections: sections}
	of := p.StatesOf()
	for s := sections.First; s < sections.End; s++ {
		l.states = append(l.states, of[s]...)
	}
	return l
}

// each calls f for each section in order.
func (l *loop) each(f func(section int)) {
	for s := l.sections.First; s < l.sections.End; s++ {
		f(s)
	}
}

// coupledOnes lists the sections whose own linear states depend on one another, or on those of the others.
func (l *loop) coupledOnes(f follower) (out []int) {
	l.each(func(s int) {
		if len(cert.Linear(l.p, s)) > 0 && coupled(f.matrix(s)) {
			out = append(out, s)
		}
	})
	return out
}

// withLinear lists the sections that have linear states.
func (l *loop) withLinear() (out []int) {
	l.each(func(s int) {
		if len(cert.Linear(l.p, s)) > 0 {
			out = append(out, s)
		}
	})
	return out
}

// mark has the linear states of the sections bounded by peak gains. It fails where a recursion is not stable, or takes too long.
func (l *loop) mark(f follower, taps []int) (marked []int, ok bool) {
	marked = slices.Clone(taps)
	for _, s := range l.linear {
		marked[s] = 64
	}
	f.UseLinear(marked)
	l.each(f.Section)
	for _, s := range l.linear {
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
func (l *loop) peaked() (out []int) {
	for _, s := range l.linear {
		out = append(out, cert.Linear(l.p, s)...)
	}
	return out
}

// solveLoop finds an inductive range for every state of sections that feed one another back: boxes, and where those run away peak gains of whatever is
// linear. It returns the taps.
func solveLoop(e *Reach, sections program.Span, taps []int, steps widening) ([]int, error) {
	l := newLoop(e.p, sections)
	l.each(e.Section)
	l.linear = l.coupledOnes(e)
	found, err := l.ranges(e, taps, steps)
	if err != nil && len(l.withLinear()) > len(l.linear) {
		l.linear = l.withLinear()
		found, err = l.ranges(e, taps, steps)
	}
	return found, err
}

func (l *loop) ranges(e *Reach, taps []int, steps widening) ([]int, error) {
	for _, n := range l.states {
		e.States[n] = interval.Point(e.p.States[n].Start)
	}
	marked, ok := l.mark(e, taps)
	if !ok {
		return taps, Unbounded{State: l.p.States[l.states[0]].Name, Section: l.sections.First}
	}
	peaked := l.peaked()
	w := widening{l.states, make([]track, len(l.states)), steps.steps, steps.whole}
	for round := 0; ; round++ {
		lost := program.None
		l.each(func(s int) {
			if e.Section(s); e.Lost != program.None {
				lost = e.Lost
			}
		})
		next := map[int]interval.Range{}
		for _, n := range l.states {
			if !slices.Contains(peaked, n) {
				next[n] = e.After(n)
			}
		}
		for _, s := range l.linear {
			bounds, _, err := e.LinearBounds(s, marked[s])
			if err != nil {
				return taps, Unbounded{State: l.p.Sections[s].Name, Section: s}
			}
			for i, n := range cert.Linear(l.p, s) {
				next[n] = bounds[i].Hull(interval.Point(e.p.States[n].Start))
			}
		}
		stable := true
		for i, n := range l.states {
			if e.States[n].Holds(next[n]) {
				continue
			}
			stable = false
			to := e.States[n].Hull(next[n])
			if e.States[n] = w.jump(i, e.States[n], to); !w.whole {
				e.States[n] = outwards(e.States[n])
			}
			if round >= 2*rounds || e.States[n].Size().Cmp(farOff) >= 0 {
				return taps, Unbounded{State: l.p.States[n].Name, Section: l.p.States[n].Section}
			}
		}
		if stable {
			if lost != program.None {
				return taps, Unbounded{State: l.p.Ops[lost].Name, Section: l.p.Ops[lost].Section}
			}
			return marked, nil
		}
	}
}

// differLoop finds differences that a tick does not lead out of, for the states of sections that feed one another back; where there are none, it knows
// nothing of any of them. It returns the taps.
func differLoop(d *Spread, sections program.Span, taps []int) []int {
	l := newLoop(d.p, sections)
	l.each(d.Section)
	for _, linear := range [][]int{l.coupledOnes(d), l.withLinear()} {
		l.linear = linear
		for _, n := range l.states {
			zero := interval.Ints(0, 0)
			d.States[n] = &zero
		}
		if marked, ok := l.mark(d, taps); ok && l.differences(d, marked) {
			return marked
		}
	}
	for _, n := range l.states {
		d.States[n] = nil
	}
	d.UseLinear(taps)
	l.each(d.Section)
	return taps
}

func (l *loop) differences(d *Spread, marked []int) bool {
	peaked := l.peaked()
	tracks := make([]track, len(l.states))
	for round := 0; ; round++ {
		l.each(d.Section)
		after := map[int]*interval.Range{}
		for _, n := range l.states {
			if !slices.Contains(peaked, n) {
				after[n] = d.After(n)
			}
		}
		for _, s := range l.linear {
			bounds, _, err := d.LinearBounds(s, marked[s])
			if err != nil {
				return false
			}
			for i, n := range cert.Linear(l.p, s) {
				after[n] = &bounds[i]
			}
		}
		stable := true
		for i, n := range l.states {
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
