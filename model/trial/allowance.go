package trial

import (
	"math"
	"math/big"
	"slices"

	"gainwright/model"
	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// epsilon is the largest relative error of one rounding to float64.
const epsilon = 0x1p-53

// trust says how a float64 value stands to the exact one.
type trust uint8

const (
	rough   trust = iota // within the error that is worked out
	nearest              // the float64 nearest to it: a comparison with another such value of its grid is right
	exact                // equal to it, a multiple of 2^-grid
)

// slope is the interval that the derivative to a state lies in.
type slope struct{ lo, hi float64 }

func (s slope) size() float64 { return max(-s.lo, s.hi) }

// flaw is what is known of the float64 error of a value: at most fresh + sum of |slope| * error of state.
type flaw struct {
	trust  trust
	grid   uint // of an exact value
	fresh  float64
	slopes []slope // by the section's state; nil: none
	around bool    // the error holds modulo a circle's turn: float64 may come down on the other side of the seam
}

// allowances bound what float64 itself adds to the differences of the signals. It is a running error
// bound: each operation of the real program hands on the errors of its arguments and adds half a unit in
// the last place of the largest value that it can take; states carry their error from tick to tick, through
// intervals of derivatives, for as many ticks as there are between two restarts. Values that feed a
// section come from the integer program, rounded once. A comparison counts as right only between values that
// are rounded once themselves: two of them differ by a count or are equal; and between values that are never as
// close to one another as their errors, as where a limit lies between two counts. Where neither is so, the error
// is infinite and nothing is judged.
type allowances struct {
	u      *model.Unit
	p      *program.Real // stored or asked, with tuning ranges a little wider: the roundings of coefficients fit
	chain  bool
	ticks  int
	ranges *bound.Reach
	taps   []int // of sections whose states are bounded by peak gains
	flaws  []flaw
	errors []float64 // of each value after the last tick
	around []bool    // of each value: the error holds modulo a turn, in the first tick or later
	twins  map[program.ID]program.ID
	column []int // of each state, in its section
	trusts []trust
	later  bool  // the first tick is over: what stands for it is false
	keeps  []int // states that a restart leaves as they are

	lattices, twinLattices []*lattice // of the real program's values and of the integer program's
}

// newAllowances is for a real program of u: the stored one or the one that was asked for.
func newAllowances(u *model.Unit, real *program.Real, chain bool, ticks int) *allowances {
	a := &allowances{u: u, p: real.Clone(), chain: chain, ticks: ticks, flaws: make([]flaw, len(real.Ops)), errors: make([]float64, len(real.Ops)), around: make([]bool, len(real.Ops)),
		twins: map[program.ID]program.ID{}, column: make([]int, len(real.States)), trusts: make([]trust, len(real.States))}
	for i := range a.p.Gains {
		g := &a.p.Gains[i]
		wider := new(big.Rat).Mul(interval.Range{Lo: g.Lo, Hi: g.Hi}.Size(), big.NewRat(1, 64))
		g.Lo, g.Hi = new(big.Rat).Sub(g.Lo, wider), new(big.Rat).Add(g.Hi, wider)
	}
	kept, _ := u.KeptIntegrals()
	for _, n := range kept {
		a.keeps = append(a.keeps, u.Integer.States[n].Real)
	}
	a.lattices, a.twinLattices = lattices(a.p), lattices(u.Integer)
	ranges, taps, err := bound.Ranges(a.p, false)
	if a.ranges, a.taps = ranges, taps; err != nil {
		for i := range a.errors {
			a.errors[i] = math.Inf(1)
		}
		return a
	}
	for s, sec := range a.p.Sections {
		for j, sig := range sec.Signals {
			a.twins[sig.Value] = u.Integer.Sections[s].Signals[j].Value
		}
	}
	for s := range a.p.Sections {
		a.section(s)
	}
	return a
}

// of is the allowance for the difference of a signal: the error of the real program's value, and the
// rounding of the integer program's value to float64. Where turn is not nil it holds modulo that turn.
func (a *allowances) of(section, signal int) (allowance float64, turn *big.Rat) {
	sig := a.p.Sections[section].Signals[signal]
	switch {
	case !a.around[sig.Value]:
	case sig.Angular == nil:
		return math.Inf(1), nil
	default:
		turn = sig.Angular
	}
	return a.errors[sig.Value] + a.twin(sig.Value).fresh, turn
}

// twin is the error of the integer program's value of a signal, turned into units.
func (a *allowances) twin(id program.ID) flaw {
	op := a.u.Integer.Ops[a.twins[id]]
	s := newScale(op.LSB, op.Lo, op.Hi)
	most := s.lsb * math.Max(math.Abs(float64(op.Lo)), math.Abs(float64(op.Hi)))
	return converted(s, op.LSB, most)
}

// converted is the error of a count turned into units; most is the largest result.
func converted(s scale, lsb *big.Rat, most float64) flaw {
	if grid, dyadic := gridOf(lsb); dyadic && s.exact {
		return flaw{trust: exact, grid: grid}
	}
	if s.exact {
		return flaw{trust: nearest, fresh: epsilon * most}
	}
	return flaw{fresh: 4 * epsilon * most}
}

// gridOf tells whether x is a multiple of a power of two, and of which 2^-grid.
func gridOf(x *big.Rat) (grid uint, dyadic bool) {
	n := x.Denom().BitLen() - 1
	return uint(n), n < 1000 && x.Denom().TrailingZeroBits() == uint(n)
}

// section works out one section; earlier ones must be done.
func (a *allowances) section(section int) {
	var states, ops []int
	for n, s := range a.p.States {
		if s.Section == section {
			a.column[n] = len(states)
			states = append(states, n)
			a.trusts[n] = map[program.Purpose]trust{program.Counter: exact, program.Copy: nearest}[s.Purpose]
			if s.Bool {
				a.trusts[n] = exact
			}
		}
	}
	for i, op := range a.p.Ops {
		if op.Section == section {
			ops = append(ops, i)
		}
	}
	bounded := a.reach(section, states)
	errors := make([]float64, len(states)) // of the states before the first tick
	for i, n := range states {
		errors[i] = a.constant(a.p.States[n].Start).fresh
	}
	for _, a.later = range []bool{false, true} {
		a.settle(ops, states)
		errors = a.carry(states, errors)
		for _, i := range ops {
			a.around[i] = a.around[i] || a.flaws[i].around
			if a.errors[i] = max(a.errors[i], total(a.flaws[i], errors)); !bounded {
				a.errors[i] = math.Inf(1)
			}
		}
	}
	if slices.ContainsFunc(states, func(n int) bool { return slices.Contains(a.keeps, n) }) {
		a.restarted(ops, states, errors)
	}
}

// restarted widens the errors of a section's values for restarts that keep integral terms. errors are those that the section's states
// have at most without. A kept state goes on from what it has, in any first tick and any later one: its error grows by what a
// tick adds to it.
func (a *allowances) restarted(ops, states []int, errors []float64) {
	grows := make([]float64, len(states))
	for _, a.later = range []bool{false, true} {
		a.settle(ops, states)
		for i, n := range states {
			f := a.becomes(n, len(states))
			more := f.fresh
			for j, s := range f.slopes {
				switch keeps := slices.Contains(a.keeps, states[j]); {
				case i == j && keeps && s.size() > 1, i != j && keeps && s.size() > 0:
					more = math.Inf(1) // not the integral of a PID: nothing is known
				case i != j && s.size() > 0:
					more += s.size() * errors[j]
				}
			}
			grows[i] = max(grows[i], more)
		}
	}
	for i, n := range states {
		if slices.Contains(a.keeps, n) {
			errors[i] = a.constant(a.p.States[n].Start).fresh + float64(a.ticks+1)*grows[i]
		} else if math.IsInf(grows[i], 1) {
			errors[i] = grows[i]
		}
	}
	for _, a.later = range []bool{false, true} {
		a.settle(ops, states)
		for _, i := range ops {
			a.errors[i] = max(a.errors[i], total(a.flaws[i], errors))
		}
	}
}

// settle works out the errors of a section's values. What was assumed of a state must hold of all that it becomes.
func (a *allowances) settle(ops, states []int) {
	for settled := false; !settled; {
		settled = true
		for _, i := range ops {
			a.flaws[i] = a.op(program.ID(i), len(states))
		}
		for _, n := range states {
			if f := a.becomes(n, len(states)); f.trust < a.trusts[n] || a.trusts[n] == exact && f.grid > 0 {
				a.trusts[n], settled = rough, false
			}
		}
	}
}

// reach sets the ranges of a section's values. Fed with the integer program's signals, they can lie a
// little outside those of the real program: the states' ranges are widened until a tick does not leave them.
func (a *allowances) reach(section int, states []int) bool {
	e := a.ranges
	if a.chain {
		return true
	}
	before := append([]interval.Range(nil), e.States...)
	for _, wider := range []*big.Rat{big.NewRat(1, 64), big.NewRat(1, 4), big.NewRat(1, 1), big.NewRat(8, 1)} {
		for _, n := range states {
			w := new(big.Rat).Mul(before[n].Size(), wider)
			e.States[n] = interval.Range{Lo: new(big.Rat).Sub(before[n].Lo, w), Hi: new(big.Rat).Add(before[n].Hi, w)}
		}
		e.Section(section)
		if a.closed(section, states) {
			for _, sig := range a.p.Sections[section].Signals { // the next sections read the integer program's
				op := a.u.Integer.Ops[a.twins[sig.Value]]
				e.Ranges[sig.Value] = e.Ranges[sig.Value].Hull(interval.Ints(op.Lo, op.Hi).Scale(op.LSB))
			}
			return true
		}
	}
	return false
}

// closed tells whether a tick leads from the states' ranges into them: by itself, or by peak gains.
func (a *allowances) closed(section int, states []int) bool {
	e := a.ranges
	after := map[int]interval.Range{}
	for _, n := range states {
		after[n] = e.After(n)
	}
	if taps := a.taps[section]; taps > 0 {
		bounds, _, err := e.LinearBounds(section, taps)
		if err != nil {
			return false
		}
		for i, n := range cert.Linear(a.p.View(), section) {
			after[n] = bounds[i].Hull(interval.Point(a.p.States[n].Start))
		}
	}
	return !slices.ContainsFunc(states, func(n int) bool { return !e.States[n].Holds(after[n]) })
}

// most is the largest size of a value, its own float64 error included.
func (a *allowances) most(id program.ID) float64 {
	f, _ := a.ranges.Ranges[id].Size().Float64()
	return f * (1 + 1e-9)
}

// seen is a value as a section reads it.
func (a *allowances) seen(id program.ID, section int) flaw {
	switch {
	case a.p.Ops[id].Section == section:
		return a.flaws[id]
	case !a.chain:
		return a.twin(id)
	}
	f := a.flaws[id]
	return flaw{trust: f.trust, grid: f.grid, fresh: a.errors[id], around: f.around}
}
