package plant

import (
	"math"
	"slices"
)

// Rig is a plant in one run. Time counts in whole nanoseconds, so that two rigs never part company
// by the rounding of times. Use Sense, Apply and Advance in this order for each tick.
type Rig struct {
	Quantities []float64 // of the plant, as of the last Sense, in SI units
	Volts      float64   // of the battery, the lowest since the Sense before; open circuit before the first Advance; 0 without one
	Still      bool      // the machine is held still: nothing moves, sensors read on

	plant    *Plant
	powered  *powered
	solver   *solver
	held     *heldStep // of linear dynamics whose inputs stand still between two changes; nil: solver steps
	period   float64   // ns
	now      int64
	ticks    int64 // Senses so far
	x        []float64
	dx, mid  []float64
	observed []float64 // x or mid
	loads    []float64 // in force
	next     []float64 // share of each actuator, in force once moved is seen to
	moved    bool      // the inputs have changed since the rig was last advanced
	began    int64     // the solver's piece
	soonest  int64     // ns from a tick until an actuator can act
	passed   func(x []float64, from, h float64)
	pending  []change // by time
	taps     []tap
}

// change is a share that an actuator takes later, because of its delay.
type change struct {
	at       int64
	actuator int
	share    float64
}

// tap is a sensor at work.
type tap struct {
	delivered int64 // count handed out last
	before    int64 // fresh count of the tick before
	frozen    bool
	delay     int64 // ns
	samples   []float64
	next      int64 // tick for which the next delayed sample is taken
	due       int64 // when that is, in ns
}

// NewRig returns the plant at the start of a run, its quantities as given and all else at rest.
func (p *Plant) NewRig(start map[string]float64) *Rig {
	x := p.Model.Start(start)
	r := &Rig{plant: p, powered: newPowered(p, len(x)), period: p.period() * 1e9, loads: p.rest(),
		Quantities: make([]float64, len(p.Model.Quantities())), taps: make([]tap, len(p.Sensors))}
	n := r.powered.order()
	r.x, r.dx, r.mid = make([]float64, n), make([]float64, n), make([]float64, n)
	copy(r.x, x)
	r.solver = newSolver(r.powered, p.tolerance, p.longest)
	if p.exact() {
		r.held = newHeldStep(p.Model.(*Linear))
	}
	if p.Battery != nil {
		r.Volts = p.Battery.Voltage
	}
	r.next, r.moved, r.soonest = make([]float64, len(p.Actuators)), true, math.MaxInt64
	r.passed = func(x []float64, from, h float64) { r.tapWithin(x, from, h, math.MaxInt64) }
	for _, a := range p.Actuators {
		r.soonest = min(r.soonest, int64(math.Round(a.Delay*1e9)))
	}
	if len(p.Actuators) == 0 {
		r.soonest = 0
	}
	r.inputsChanged()
	r.observe(r.x)
	for i, s := range p.Sensors {
		t := &r.taps[i]
		t.delay = int64(math.Round(s.Delay * 1e9))
		r.wait(t, 0)
		for t.delay > 0 && t.due < 0 {
			r.sample(t, i)
		}
		t.delivered = s.Count(r.felt(i), 0, 0, 0)
		t.before = t.delivered
	}
	r.tapNow()
	return r
}

// exact tells whether the plant is stepped exactly: its dynamics are linear, and its inputs stand still between two changes.
func (p *Plant) exact() bool {
	_, linear := p.Model.(*Linear)
	limited := slices.ContainsFunc(p.Actuators, func(a Actuator) bool { return a.CurrentLimit > 0 })
	return linear && p.Battery == nil && !limited
}

// wait tells a sensor with a delay for which tick it takes its next sample.
func (r *Rig) wait(t *tap, tick int64) { t.next, t.due = tick, r.Nominal(tick)-t.delay }

// Nominal is the time of a tick in nanoseconds.
func (r *Rig) Nominal(tick int64) int64 { return int64(math.Round(float64(tick) * r.period)) }

// Seconds is the time of the rig.
func (r *Rig) Seconds() float64 { return float64(r.now) * 1e-9 }

// Sense fills in the raw counts of the controller's sensed inputs; others are left alone.
func (r *Rig) Sense(c *Chance, raw []int64) {
	r.look()
	for i := range r.plant.Sensors {
		s, t := &r.plant.Sensors[i], &r.taps[i]
		q := 0.0
		switch {
		case t.delay == 0:
			q = r.felt(i)
		case len(t.samples) > 0:
			q = t.samples[0]
			t.samples = slices.Delete(t.samples, 0, 1) // the few that wait move up: no new memory
		default: // a tick so early that its sample is not there yet
			q = r.felt(i)
			r.wait(t, r.ticks+1)
		}
		fresh := s.Count(q, r.Seconds(), c.Gauss[i], c.Walked[i])
		switch {
		case c.Dropped[i], t.frozen:
		case c.Late[i]:
			t.delivered = t.before
		default:
			t.delivered = fresh
		}
		t.before = fresh
		raw[s.Input] = t.delivered
	}
	r.ticks++
}

// Freeze lets the sensor of a controller's input hand out its last count until it is freed again.
func (r *Rig) Freeze(input int, frozen bool) {
	for i := range r.plant.Sensors {
		if r.plant.Sensors[i].Input == input {
			r.taps[i].frozen = frozen
		}
	}
}

// Apply takes the controller's outputs, in their units.
func (r *Rig) Apply(outputs []float64) {
	for i := range r.plant.Actuators {
		a := &r.plant.Actuators[i]
		share := a.Share(outputs[a.Output])
		if a.Delay == 0 {
			r.set(i, share)
			continue
		}
		c := change{r.now + int64(math.Round(a.Delay*1e9)), i, share}
		at := len(r.pending)
		for at > 0 && r.pending[at-1].at > c.at {
			at--
		}
		r.pending = slices.Insert(r.pending, at, c)
	}
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

// tapNow takes the delayed samples that are due.
func (r *Rig) tapNow() {
	observed := false
	for i := range r.taps {
		t := &r.taps[i]
		for t.delay > 0 && t.due <= r.now {
			if !observed {
				r.observe(r.x)
				observed = true
			}
			r.sample(t, i)
		}
	}
}

// tapWithin takes the delayed samples that are due, until a time, in the step just made from x, which began some seconds after the piece.
func (r *Rig) tapWithin(x []float64, from, h float64, until int64) {
	seen := int64(-1)
	for i := range r.taps {
		t := &r.taps[i]
		for t.delay > 0 {
			due := t.due
			theta := (r.since(due) - from) / h
			if theta >= 1 || due > until {
				break
			}
			if due != seen {
				r.solver.within(r.mid, x, max(0, theta))
				r.observe(r.mid)
				seen = due
			}
			r.sample(t, i)
		}
	}
}

func (r *Rig) sample(t *tap, sensor int) {
	t.samples = append(t.samples, r.felt(sensor))
	r.wait(t, t.next+1)
}

// felt is what a sensor feels in the state that was observed last.
func (r *Rig) felt(sensor int) float64 {
	return r.plant.Sensors[sensor].feel(r.Quantities, r.powered.model, r.observed[:r.powered.states])
}

// look fills in the quantities as they are now.
func (r *Rig) look() {
	if r.held == nil && r.solver.at(r.mid, r.x, r.since(r.now)) {
		r.observe(r.mid)
	} else {
		r.observe(r.x)
	}
}

// observe fills in the quantities at a state: that of the rig, or one on the way to it.
func (r *Rig) observe(x []float64) {
	r.observed = x
	p := r.powered
	switch {
	case r.Still:
		p.still(x)
		clear(r.dx)
	case r.held == nil && r.solver.known && len(x) > 0 && &x[0] == &r.x[0]:
		if p.follows {
			p.inputs(x)
		}
		copy(r.dx, r.solver.explicit.k[0])
	default:
		p.rate(r.dx, x)
	}
	p.model.Observe(r.Quantities, x[:p.states], r.dx[:p.states], p.u)
}

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

// BrownOut tells whether the battery is too low for the controller.
func (r *Rig) BrownOut() bool { return r.plant.Battery != nil && r.Volts < r.plant.Battery.BrownOut }
