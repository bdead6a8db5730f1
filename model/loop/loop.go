// Package loop looks at a controller and its machine as one linear loop, and says how far rounding can push it.
//
// The machine is linearised at rest and sampled; the controller is taken at its working point: switches as they stand when it has
// settled, limits inactive, held values held, outputs with a least effort driving. New returns the poles of the closed loop, its margins and its
// curves, once with the gains that the spec asks for and once with those that the integer program stores, and proves how far the
// arithmetic of the integer program can push the machine. A View is plain data for a report to draw.
package loop

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"strings"

	"gainwright/model/plant"
	"gainwright/model/program"
	"gainwright/model/simulate"
	"gainwright/model/spec"
)

// System is what there is to look at.
type System struct {
	Spec     *spec.Spec
	Asked    *program.Real // real, constants as the spec asks
	Stored   *program.Real // real, constants as the integer program stores them
	Integer  *program.Fixed
	Plant    *plant.Plant
	Scenario *simulate.Scenario // nil: no quantity is watched, nothing is run
	// Computing is how long the controller takes from its inputs to its outputs, in seconds: a delay like those of the actuators.
	Computing float64
}

// lost is the size from which on a pole counts as not decaying.
const lost = 1 - 1e-9

// New takes the linear view. It fails where the plant's delays are too long for it.
func New(s *System) (*View, error) {
	s = s.live().late()
	v := &View{Period: s.period(), Computing: s.Computing, Cuts: []Cut{}, Deviation: []Deviation{}, Runs: []Run{}}
	m := s.materials()
	programs := [2]*controller{s.controller(s.Asked, m), s.controller(s.Stored, m)}
	now, err := s.sampled(m, 0)
	if err != nil {
		return nil, err
	}
	var poles [2][]complex128
	for i, c := range programs {
		poles[i], v.Stable[i] = closed(c, now)
	}
	v.match(poles)
	v.Cuts = append(s.cutsAtPIDs(programs, m, now, v.Stable), s.cutsAtOutputs(programs, now, v.Stable)...)
	for ticks := 1; ticks <= 2; ticks++ {
		late, err := s.sampled(m, ticks)
		if err != nil {
			return nil, err
		}
		l := Later{Ticks: ticks}
		for i, c := range programs {
			p, stable := closed(c, late)
			l.Stable[i] = stable
			for _, z := range p {
				l.Radius[i] = math.Max(l.Radius[i], cmplx.Abs(z))
			}
		}
		v.Later = append(v.Later, l)
	}
	v.Notes = s.notes(programs[1])
	if off := s.idle(m); len(off) > 0 {
		v.Notes = append(v.Notes, strings.Join(off, " and ")+" is switched off in this view, as in the scenario: it says nothing of what that would do")
	}
	for _, at := range m.settings[1:] {
		stable := "the loop is stable then"
		if s.stableIn(at, m, now) != [2]bool{true, true} {
			stable = "the loop is not stable then"
		}
		v.Notes = append(v.Notes, fmt.Sprintf("for %.4g s of the scenario the switches stand otherwise, with other steps on: %s", at.seconds, stable))
	}
	if s.Scenario != nil {
		s.deviations(v, m, now)
	}
	return v, nil
}

// Stable tells, in each position of its switches that counts, whether the loops with the gains asked and stored are stable around the machine of a simulated system, which may be a varied one.
func (s *System) Stable(run *simulate.System) (out [2]bool, err error) {
	one := *s
	one.Plant, one.Scenario = run.Plant, run.Scenario
	s = one.live().late()
	m := s.materials()
	now, err := s.sampled(m, 0)
	if err != nil {
		return out, err
	}
	out = [2]bool{true, true}
	for _, at := range m.settings {
		for i, stable := range s.stableIn(at, m, now) {
			out[i] = out[i] && stable
		}
	}
	return out, nil
}

// stableIn tells whether both loops are stable while the switches stand in one way.
func (s *System) stableIn(at setting, m *materials, now *sampled) (out [2]bool) {
	there := *m
	there.raw = at.raw
	for i, p := range []*program.Real{s.Asked, s.Stored} {
		_, out[i] = closed(s.controller(p, &there), now)
	}
	return out
}

// late counts the computing time as a delay of every actuator.
func (s *System) late() *System {
	if s.Computing <= 0 {
		return s
	}
	out, p := *s, *s.Plant
	p.Actuators = slices.Clone(p.Actuators)
	for i := range p.Actuators {
		p.Actuators[i].Delay += s.Computing
	}
	out.Plant = &p
	return &out
}

// growing is the size from which on a pole that no output shows makes a loop unstable. A machine may well stand where it is driven to: the angle
// behind a loop of speed has a pole at 1, and a double one that is computed lies up to 1e-8 off.
const growing = 1 + 1e-5

// closed are the poles of the closed loop that the outputs show, and those that they do not show and that grow: there the machine runs away
// while the controller sees nothing.
func closed(c *controller, s *sampled) ([]complex128, bool) {
	j := join(c, s, -1)
	keep := reaching(j.a, j.outputs())
	poles := append(j.a.square(keep).eigenvalues(), s.runaway...)
	for _, p := range j.a.without(keep).eigenvalues() {
		if cmplx.Abs(p) > growing {
			poles = append(poles, p)
		}
	}
	return poles, !slices.ContainsFunc(poles, func(p complex128) bool { return !(cmplx.Abs(p) < lost) })
}

func pick(x []float64, which []int) []float64 {
	out := make([]float64, len(which))
	for i, k := range which {
		out[i] = x[k]
	}
	return out
}

// match pairs each stored pole with the nearest asked one that is left, the largest first.
func (v *View) match(poles [2][]complex128) {
	const none = 1e-3 // a pole this close to 0 is a delay's: multiple ones scatter around it
	var sets [2][]complex128
	for i, ps := range poles {
		for _, p := range ps {
			if imag(p) >= 0 && cmplx.Abs(p) > none {
				sets[i] = append(sets[i], p)
			} else if i == 1 && cmplx.Abs(p) <= none {
				v.AtZero++
			}
		}
		slices.SortFunc(sets[i], func(a, b complex128) int {
			if d := cmplx.Abs(b) - cmplx.Abs(a); d != 0 {
				return int(math.Copysign(1, d))
			}
			return int(math.Copysign(1, imag(b)-imag(a)))
		})
	}
	left := slices.Clone(sets[0])
	for _, z := range sets[1] {
		if len(left) == 0 {
			break
		}
		at := 0
		for i, p := range left {
			if cmplx.Abs(p-z) < cmplx.Abs(left[at]-z) {
				at = i
			}
		}
		p := left[at]
		left = slices.Delete(left, at, at+1)
		s := cmplx.Log(z)
		damping := 0.0 // of an integrator
		if s != 0 {
			damping = -real(s) / cmplx.Abs(s)
		}
		v.Poles = append(v.Poles, Pole{Asked: Point{real(p), imag(p)}, Stored: Point{real(z), imag(z)}, Moved: cmplx.Abs(p - z),
			Hz: cmplx.Abs(s) / (2 * math.Pi * v.Period), Damping: damping, Pair: imag(z) > 0})
	}
}
