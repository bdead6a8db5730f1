package loop

import (
	"math"
	"math/cmplx"
	"slices"

	"gainwright/model/program"
)

// Tuning is the closed loop for any values of its live gains, in real numbers, all else as it stands: what a picture over gains is made of.
type Tuning struct {
	Gains []program.Gain // in the order in which At takes their values
	PIDs  []string       // steps behind which the loop can be cut

	s        *System
	m        *materials
	now      *sampled
	value    []float64 // of each operation at the working point
	sections []int     // of PIDs
}

// Response is what the loop does with one set of gains.
type Response struct {
	Stable  bool
	Radius  float64 // of the largest pole: below 1 where the loop is stable
	Damping float64 // least of all poles that matter, 1 and more for none that swings; below 0 where one grows
}

// Tuning prepares it. It fails where the plant's delays are too long for a linear view.
func (s *System) Tuning() (*Tuning, error) {
	s = s.live().late()
	m := s.materials()
	now, err := s.sampled(m, 0)
	if err != nil {
		return nil, err
	}
	t := &Tuning{Gains: s.Asked.Gains, s: s, m: m, now: now, value: settled(s.Asked, m.raw)}
	for i, section := range s.Asked.Sections {
		if section.Facts.Control != nil {
			t.PIDs, t.sections = append(t.PIDs, section.Name), append(t.sections, i)
		}
	}
	return t, nil
}

// controller is the controller with these gains, in their units, in the order of Gains, cut at a signal.
func (t *Tuning) controller(gains []float64, cut program.ID) *controller {
	p, value := t.s.Asked, slices.Clone(t.value)
	for i, op := range p.Ops {
		if op.Kind == program.Coef {
			k := p.Coefs[op.Index]
			factor, _ := k.Factor.Float64()
			value[i] = gains[k.Gain] * factor
		}
	}
	return t.s.signed(linearise(p, value, cut), t.m)
}

// At tells whether the loop is stable with these gains, in their units, in the order of Gains, and how well it is damped.
func (t *Tuning) At(gains []float64) Response {
	poles, stable := closed(t.controller(gains, program.None), t.now)
	r := Response{Stable: stable, Damping: 1}
	for _, z := range poles {
		size := cmplx.Abs(z)
		r.Radius = math.Max(r.Radius, size)
		if size > 0.1 { // what is faster is gone within a tick
			s := cmplx.Log(z)
			if d := -real(s) / cmplx.Abs(s); cmplx.Abs(s) > 1e-12 {
				r.Damping = math.Min(r.Damping, d)
			} else {
				r.Damping = math.Min(r.Damping, 0)
			}
		}
	}
	return r
}

// Peak is the sensitivity peak behind the PID that a gain belongs to, with these gains; endless where the loop is not stable.
func (t *Tuning) Peak(key string, gains []float64) (float64, error) {
	pid, err := t.pidOf(key)
	if err != nil {
		return 0, err
	}
	if room := t.Room(gains, pid); room > 0 {
		return 1 / room, nil
	}
	return math.Inf(1), nil
}

// Room is how near the loop cut behind one of PIDs comes to -1, with these gains: the reciprocal of its largest sensitivity. It is 0 where
// stability ends, and counted below 0 where the loop is not stable. It looks at 60 frequencies a decade and at those of the poles, and closely
// around the nearest.
func (t *Tuning) Room(gains []float64, pid int) float64 {
	cut := t.s.Asked.Sections[t.sections[pid]].Signals[0].Value
	j := join(t.controller(gains, cut), t.now, -1)
	l := newTransfer(j.a, j.behind(), j.ahead(), t.s.period())
	top := math.Pi / l.period
	ws := []float64{top}
	low := 1e-3 * top
	for _, z := range l.closed(1).eigenvalues() {
		s := cmplx.Log(z) / complex(l.period, 0)
		if w := math.Abs(imag(s)); cmplx.Abs(z) > 0.05 && cmplx.Abs(s) > slowest*top {
			low = math.Min(low, cmplx.Abs(s)/10)
			if w > 0 && w < top {
				ws = append(ws, w)
			}
		}
	}
	for w := low; w < top; w *= math.Pow(10, 1./60) {
		ws = append(ws, w)
	}
	slices.Sort(ws)
	ws = slices.Compact(ws) // both poles of a pair have the same frequency, and the nearest point lies between different ones
	gap := func(w float64) float64 { return cmplx.Abs(1 + l.at(w)) }
	best, most := 0, math.Inf(1)
	for i, w := range ws {
		if g := gap(w); g < most {
			best, most = i, g
		}
	}
	w := least(ws[max(0, best-1)], ws[min(len(ws)-1, best+1)], gap)
	room := math.Min(most, gap(w))
	if !t.At(gains).Stable {
		return -room
	}
	return room
}
