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
	if r.Still {
		p.still(x)
		clear(r.dx)
	} else {
		p.rate(r.dx, x)
	}
	p.model.Observe(r.Quantities, x[:p.states], r.dx[:p.states], p.u)
}

// Inexact is how many pieces of the run had so many steps or events that their errors are not known to be small.
func (r *Rig) Inexact() int { return r.solver.strained }

// BrownOut tells whether the battery is too low for the controller.
func (r *Rig) BrownOut() bool { return r.plant.Battery != nil && r.Volts < r.plant.Battery.BrownOut }
