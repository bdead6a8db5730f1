package bound

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/response"
)

// mostTaps bounds the search for peak gains: a pole at 1 - 1e-6 needs some nine million.
const mostTaps = 1 << 24

// enough is the share of a peak gain that is given away for want of taps.
const enough = 1e-3

// firstTaps guesses how many taps a recursion needs from its slowest eigenvalue; beyond mostTaps where it is not stable.
func firstTaps(a [][]float64) int {
	if len(a) == 0 {
		return mostTaps + 1
	}
	m := mat.NewDense(len(a), len(a), nil)
	for i, row := range a {
		m.SetRow(i, row)
	}
	var eig mat.Eigen
	if !eig.Factorize(m, mat.EigenNone) {
		return mostTaps + 1
	}
	radius := 0.0
	for _, v := range eig.Values(nil) {
		radius = max(radius, cmplx.Abs(v))
	}
	if radius >= 1-5e-7 {
		return mostTaps + 1
	}
	// so many ticks let a response of that radius fall to a ten-thousandth
	return int(min(math.Ceil(math.Log(1e4)/(1-radius))+50, 1<<25))
}

// coupled tells whether states of a recursion depend on one another.
func coupled(a [][]float64) bool {
	for i, row := range a {
		for j, k := range row {
			if i != j && k != 0 {
				return true
			}
		}
	}
	return false
}

// solveLinear bounds the linear states of a section by peak gains, and its other states with them as widen does; why is
// what to say where that fails. The section is taken together with those in series before it; where that takes too long, alone: taps below 0.
func solveLinear(e *Reach, p program.View, section int, w *widening, taps []int, why error) (int, error) {
	found, err := tryLinear(e, p, section, w, taps, why, 1)
	if err != nil && e.joined(section) {
		found, err = tryLinear(e, p, section, w, taps, why, -1)
	}
	return found, err
}

func tryLinear(e *Reach, p program.View, section int, w *widening, taps []int, why error, sign int) (int, error) {
	states := cert.Linear(p, section)
	if len(states) == 0 {
		return 0, why
	}
	restart := func() {
		for _, n := range w.states {
			e.States[n] = interval.Point(p.States[n].Start)
		}
	}
	give := func() (int, error) { // as if it had not been tried
		restart()
		e.UseLinear(taps)
		e.Section(section)
		return 0, why
	}
	restart()
	marked, found, long := mark(e, section, sign, taps)
	switch {
	case long:
		return 0, TooLong{section}
	case !found:
		return give()
	}
	for range rounds { // what enters from beyond the recursion may depend on its own reach
		bounds, _, err := e.LinearBounds(section, marked[section])
		if err != nil {
			return give()
		}
		stable := true
		for i, n := range states {
			reach := bounds[i].Hull(interval.Point(p.States[n].Start))
			if reach.Size().Cmp(nowhere) > 0 {
				return give()
			}
			if !e.States[n].Holds(reach) {
				stable = false
				if reach = e.States[n].Hull(reach); !w.whole {
					reach = outwards(reach)
				}
				e.States[n] = reach
			}
		}
		for i, n := range w.states {
			next := e.States[n].Hull(e.After(n))
			if slices.Contains(states, n) || e.States[n].Holds(next) {
				continue
			}
			if next.Size().Cmp(nowhere) > 0 {
				return give()
			}
			e.States[n], stable = w.jump(i, e.States[n], next), false
		}
		e.Section(section)
		if stable {
			return marked[section], nil
		}
	}
	return give()
}

// others are the states that are not among the linear ones.
func others(states, linear []int) []int {
	return slices.DeleteFunc(slices.Clone(states), func(n int) bool { return slices.Contains(linear, n) })
}

// follower is what a search follows: ranges, or differences.
type follower interface {
	Section(section int)
	UseLinear(taps []int)
	LinearBounds(section, taps int) ([]interval.Range, float64, error)
	matrix(section int) [][]float64
	taps(guess int, bounds func(taps int) (loss float64, err error)) (found, long bool)
}

// mark has the linear states of a section bounded by peak gains, and finds by how many taps. The sign tells whether it is taken together with others.
func mark(f follower, section, sign int, taps []int) (marked []int, found, long bool) {
	marked = slices.Clone(taps)
	marked[section] = 64 * sign
	f.UseLinear(marked)
	f.Section(section)
	found, long = f.taps(firstTaps(f.matrix(section)), func(taps int) (float64, error) {
		marked[section] = taps * sign
		_, loss, err := f.LinearBounds(section, marked[section])
		return loss, err
	})
	return marked, found, long
}

// taps doubles a first guess until bounds by that many taps lose little for want of them. It tells whether that came about, and whether it would take
// too long.
func (b *bill) taps(guess int, bounds func(taps int) (loss float64, err error)) (found, long bool) {
	last := math.Inf(1)
	for taps := guess; ; taps *= 2 {
		if long = b.Effort() > mostEffort; long || taps > mostTaps {
			return false, long
		}
		loss, err := bounds(taps)
		switch {
		case errors.Is(err, response.ErrCoarse), errors.Is(err, response.ErrLong): // more taps would not help
			return false, false
		case err != nil:
		case loss < enough || loss > last/2: // what is lost beyond that is rounding, which more taps do not mend
			return true, false
		default:
			last = loss
		}
	}
}

// differLinear bounds by peak gains how far the linear states can be apart: of the section together with those in series before it or, where
// that takes too long, alone.
func differLinear(d *Spread, p program.View, section int, taps []int) int {
	found := tryDiffer(d, p, section, taps, 1)
	if found == 0 && d.joined(section) {
		found = tryDiffer(d, p, section, taps, -1)
	}
	return found
}

func tryDiffer(d *Spread, p program.View, section int, taps []int, sign int) int {
	states := cert.Linear(p, section)
	together(d.States, states...)
	give := func() int {
		for _, n := range states {
			d.States[n] = nil
		}
		d.UseLinear(taps)
		d.Section(section)
		return 0
	}
	marked, found, _ := mark(d, section, sign, taps)
	if !found {
		return give()
	}
	for range rounds {
		bounds, _, err := d.LinearBounds(section, marked[section])
		if err != nil {
			return give()
		}
		stable := true
		for i, n := range states {
			if bounds[i].Size().Cmp(nowhere) > 0 {
				return give()
			}
			if !d.States[n].Holds(bounds[i]) {
				stable = false
				wider := d.States[n].Hull(outwards(bounds[i]))
				d.States[n] = &wider
			}
		}
		d.Section(section)
		if stable {
			return marked[section]
		}
	}
	return give()
}
