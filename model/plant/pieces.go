package plant

import (
	"math"
	"slices"
)

// exact tells whether the plant is stepped exactly: its dynamics are linear, and its inputs stand still between two changes.
func (p *Plant) exact() bool {
	_, linear := p.Model.(*Linear)
	limited := slices.ContainsFunc(p.Actuators, func(a Actuator) bool { return a.CurrentLimit > 0 })
	return linear && p.Battery == nil && !limited
}

// set gives an actuator another share.
func (r *Rig) set(actuator int, share float64) {
	r.moved = r.moved || r.next[actuator] != share
	r.next[actuator] = share
}

// Advance runs the plant to the next tick, which comes jitter seconds off its nominal time. loads holds a value
// for each input of the model; only those of loads are read.
func (r *Rig) Advance(jitter float64, loads []float64) {
	if loads != nil && !slices.Equal(loads, r.loads) {
		copy(r.loads, loads)
		r.moved = true
	}
	r.solver.lowest = math.Inf(1)
	until := r.Nominal(r.ticks) + int64(math.Round(jitter*1e9))
	for r.now < until {
		for len(r.pending) > 0 && r.pending[0].at <= r.now {
			r.set(r.pending[0].actuator, r.pending[0].share)
			r.pending = slices.Delete(r.pending, 0, 1)
		}
		next, horizon := until, until+r.soonest
		if len(r.pending) > 0 {
			next, horizon = min(next, r.pending[0].at), min(horizon, r.pending[0].at)
		}
		r.inputsChanged()
		r.piece(next, horizon)
	}
	r.Volts = min(r.solver.lowest, r.powered.volts)
}

// piece runs the plant to a time before which no input changes, nor by what is known now before the horizon.
func (r *Rig) piece(until, horizon int64) {
	switch {
	case r.Still:
		amperes := r.powered.still(r.x)
		if r.plant.Battery != nil {
			r.x[r.powered.states] += amperes * float64(until-r.now) * 1e-9
		}
		r.now = until
		r.tapNow()
	case r.held != nil:
		for r.now < until {
			next := until
			for i := range r.taps {
				if t := &r.taps[i]; t.delay > 0 && t.due > r.now {
					next = min(next, t.due)
				}
			}
			r.held.step(r.x, r.powered.u, float64(next-r.now)*1e-9)
			r.now = next
			r.tapNow()
		}
	default:
		r.solver.run(r.x, r.since(until), r.since(horizon), r.passed)
		r.now = until
		if s := r.solver; s.open > 0 {
			r.tapWithin(r.x, s.clock, s.open, until)
		} else {
			r.tapNow()
		}
	}
}

// since is the seconds from the beginning of the solver's piece to a time.
func (r *Rig) since(at int64) float64 { return float64(at-r.began) * 1e-9 }

// inputsChanged brings all in line with other loads and shares.
func (r *Rig) inputsChanged() {
	if !r.moved && !r.Still {
		return
	}
	if r.held == nil {
		r.solver.cutAt(r.x, r.since(r.now))
	}
	copy(r.powered.share, r.next)
	copy(r.powered.base, r.loads)
	r.moved, r.began = r.Still, r.now
	switch {
	case r.Still: // what it does when it is let go is not known
	case r.held != nil:
		r.powered.inputs(r.x)
	default:
		r.powered.inputs(r.x)
		r.solver.begin(r.x)
	}
}
