package plant

import (
	"math"
	"slices"
)

// Rig is a plant in one run. Time counts in whole nanoseconds, so that two rigs never part company
// by the rounding of times. Use Sense, Apply and Advance in this order for each tick.
type Rig struct {
	Quantities []float64 // of the plant, as of the last Sense, in SI units
	Volts      float64   // of the battery, open circuit before the first Advance; 0 without one
	Still      bool      // the machine is held still: nothing moves, sensors read on

	plant   *Plant
	stepper stepper
	period  float64 // ns
	now     int64
	ticks   int64 // Senses so far
	x, dx   []float64
	u, rest []float64
	share   []float64 // of the supply, by actuator, now in force
	pending []change  // by time
	drawn   float64   // A.s from the battery
	taps    []tap
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
}

// NewRig returns the plant at the start of a run, its quantities as given and all else at rest.
func (p *Plant) NewRig(start map[string]float64) *Rig {
	r := &Rig{plant: p, period: p.period() * 1e9, x: p.Model.Start(start), u: p.rest(), rest: p.rest(), share: make([]float64, len(p.Actuators)),
		Quantities: make([]float64, len(p.Model.Quantities())), taps: make([]tap, len(p.Sensors))}
	r.dx = make([]float64, len(r.x))
	if l, ok := p.Model.(*Linear); ok {
		r.stepper = newHeldStep(l)
	} else {
		r.stepper = newRungeKutta(p.Model, len(r.x), p.step)
	}
	if p.Battery != nil {
		r.Volts = p.Battery.Voltage
	}
	r.setInputs(nil)
	r.observe()
	for i, s := range p.Sensors {
		t := &r.taps[i]
		t.delay = int64(math.Round(s.Delay * 1e9))
		for t.delay > 0 && r.due(t) < 0 {
			t.samples = append(t.samples, r.Quantities[s.Quantity])
			t.next++
		}
		t.delivered = s.Count(r.Quantities[s.Quantity], 0, 0)
		t.before = t.delivered
	}
	r.tapNow()
	return r
}

// due is when the next delayed sample is taken.
func (r *Rig) due(t *tap) int64 { return r.Nominal(t.next) - t.delay }

// Nominal is the time of a tick in nanoseconds.
func (r *Rig) Nominal(tick int64) int64 { return int64(math.Round(float64(tick) * r.period)) }

// Seconds is the time of the rig.
func (r *Rig) Seconds() float64 { return float64(r.now) * 1e-9 }

// Sense fills in the raw counts of the controller's sensed inputs; others are left alone.
func (r *Rig) Sense(c *Chance, raw []int64) {
	r.observe()
	for i := range r.plant.Sensors {
		s, t := &r.plant.Sensors[i], &r.taps[i]
		q := r.Quantities[s.Quantity]
		switch {
		case t.delay == 0:
		case len(t.samples) > 0:
			q = t.samples[0]
			t.samples = slices.Delete(t.samples, 0, 1) // the few that wait move up: no new memory
		default: // a tick so early that its sample is not there yet
			t.next = r.ticks + 1
		}
		fresh := s.Count(q, r.Seconds(), c.Gauss[i])
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
			r.share[i] = share
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

// Advance runs the plant to the next tick, which comes jitter seconds off its nominal time. loads holds a value
// for each input of the model; only those of loads are read.
func (r *Rig) Advance(jitter float64, loads []float64) {
	until := r.Nominal(r.ticks) + int64(math.Round(jitter*1e9))
	for r.now < until {
		for len(r.pending) > 0 && r.pending[0].at <= r.now {
			r.share[r.pending[0].actuator] = r.pending[0].share
			r.pending = slices.Delete(r.pending, 0, 1)
		}
		next := until
		if len(r.pending) > 0 {
			next = min(next, r.pending[0].at)
		}
		for i := range r.taps {
			if t := &r.taps[i]; t.delay > 0 {
				if due := r.due(t); due > r.now {
					next = min(next, due)
				}
			}
		}
		r.setInputs(loads)
		seconds := float64(next-r.now) * 1e-9
		if !r.Still {
			r.stepper.step(r.x, r.u, seconds)
		}
		if b := r.plant.Battery; b != nil {
			r.drawn += r.amperes() * seconds
		}
		r.now = next
		r.tapNow()
	}
}

// tapNow takes the delayed samples that are due.
func (r *Rig) tapNow() {
	observed := false
	for i := range r.taps {
		t := &r.taps[i]
		for t.delay > 0 && r.due(t) <= r.now {
			if !observed {
				r.observe()
				observed = true
			}
			t.samples = append(t.samples, r.Quantities[r.plant.Sensors[i].Quantity])
			t.next++
		}
	}
}

func (r *Rig) observe() {
	if r.Still {
		clear(r.dx)
	} else {
		r.plant.Model.Flow(r.dx, r.x, r.u)
	}
	r.plant.Model.Observe(r.Quantities, r.x, r.dx, r.u)
}

// setInputs fills in the model's inputs from the loads, the shares and the supply.
func (r *Rig) setInputs(loads []float64) {
	copy(r.u, r.rest)
	if loads != nil {
		copy(r.u, loads)
	}
	if r.plant.Battery != nil {
		r.Volts = r.sag()
	}
	r.drive(r.Volts)
}

func (r *Rig) drive(volts float64) {
	for i := range r.plant.Actuators {
		a := &r.plant.Actuators[i]
		supply := a.Gives
		if a.OnBattery {
			supply = volts
		}
		r.u[a.Input] = r.share[i] * supply
	}
}

// sag solves volts = open - resistance*amperes(volts), where the current is linear in the voltage.
func (r *Rig) sag() float64 {
	b := r.plant.Battery
	open := b.Open(r.drawn)
	if open <= 0 {
		return 0
	}
	r.drive(0)
	none := r.amperes()
	r.drive(open)
	slope := (r.amperes() - none) / open
	return math.Max(0, (open-b.Resistance*none)/(1+b.Resistance*slope))
}

// amperes is the battery's current: that of each motor for the share of the time that it is switched on, and the rest's.
func (r *Rig) amperes() float64 {
	total := r.plant.Battery.Load
	e, ok := r.plant.Model.(Electric)
	if !ok || r.Still {
		return total
	}
	for i := range r.plant.Actuators {
		if a := &r.plant.Actuators[i]; a.OnBattery {
			total += r.share[i] * e.Draw(a.Input, r.x, r.u)
		}
	}
	return total
}

// BrownOut tells whether the battery is too low for the controller.
func (r *Rig) BrownOut() bool { return r.plant.Battery != nil && r.Volts < r.plant.Battery.BrownOut }
