package simulate

import (
	"gainwright/model/plant"
)

// loop is one controller with its machine in one run, and what is seen of them.
type loop struct {
	name       string
	controller controller
	rig        *plant.Rig
	raw        []int64
	outputs    []float64
	frozen     []float64 // outputs as they were before a fault
	loads      []float64

	downUntil float64 // the controller is restarting
	down      bool
	restarts  int
	brownOuts int
	fell      bool
	fellAt    float64
	lost      bool // a quantity grew beyond all bounds: the run ends
	ticks     int

	watched [][]float64 // of each watched quantity, at each tick, in SI units
	effort  []effortSum
	changes []switchLog
	enables []enableLog
	first   float64 // time of the first effort, -1: none yet
	last    float64 // time of the latest effort
	windUp  float64 // of the integrals before the first effort
	lowest  float64 // battery voltage
}

// effortSum is an Effort while it is added up.
type effortSum struct {
	Effort
	squares   float64
	saturated int
	lo, hi    float64
}

// switchLog follows one switch signal of the controller.
type switchLog struct {
	Switch
	section, signal int
	was             bool
}

// enableLog follows the condition under which a step is on.
type enableLog struct {
	section int
	name    string
	on      int // ticks after the release
}

const (
	keptChanges = 20
	endless     = 1e12 // SI units; no machine has a quantity as large
)

// tick runs one tick of the loop, up to the time of the next.
func (l *loop) tick(s *System, t float64, c *plant.Chance, commands []int64) {
	sc := s.Scenario
	l.rig.Still = t < sc.HeldUntil
	l.freeze(sc, t)
	l.rig.Sense(c, l.raw)
	for i := range sc.SetPoints {
		l.raw[sc.SetPoints[i].Input] = commands[i]
	}
	for i := range sc.Faults {
		if f := &sc.Faults[i]; f.Sensor >= 0 && f.during(t) {
			l.raw[f.Sensor] = f.read(l.raw[f.Sensor])
		}
	}
	l.control(s, t)
	l.record(s, t)
	l.rig.Apply(l.outputs)
	copy(l.loads, s.rest)
	for i := range sc.Disturbances {
		d := &sc.Disturbances[i]
		if d.At > t {
			break
		}
		if t < d.At+d.For {
			l.loads[d.Load] = d.Value
		}
	}
	l.rig.Advance(c.Jitter, l.loads)
}

// freeze tells the rig which sensors hand out their last count for ever.
func (l *loop) freeze(sc *Scenario, t float64) {
	for i := range sc.Faults {
		if f := &sc.Faults[i]; f.Sensor >= 0 && f.How == "frozen" {
			l.rig.Freeze(f.Sensor, false)
		}
	}
	for i := range sc.Faults {
		if f := &sc.Faults[i]; f.Sensor >= 0 && f.How == "frozen" && f.during(t) {
			l.rig.Freeze(f.Sensor, true)
		}
	}
}

// control runs the controller, or stands for one that is down.
func (l *loop) control(s *System, t float64) {
	sc := s.Scenario
	if l.rig.BrownOut() && !l.down {
		l.brownOuts++
		l.down, l.downUntil = true, t+s.Plant.Battery.Restart
	}
	for i := range sc.Faults {
		if f := &sc.Faults[i]; f.Restart && f.during(t) {
			l.down, l.downUntil = true, max(l.downUntil, min(f.At+f.For, t+1e-9))
		}
	}
	if l.down && t >= l.downUntil && !l.rig.BrownOut() {
		l.down = false
		l.restarts++
		l.controller.restart()
	}
	if l.down {
		clear(l.outputs)
	} else {
		l.controller.tick(l.raw, l.outputs)
	}
	for i := range sc.Faults {
		f := &sc.Faults[i]
		switch {
		case f.Output < 0:
		case !f.during(t):
			if t < f.At {
				l.frozen[f.Output] = l.outputs[f.Output]
			}
		case f.How == "value":
			l.outputs[f.Output] = f.Value
		default:
			l.outputs[f.Output] = l.frozen[f.Output]
		}
	}
}

func (l *loop) record(s *System, t float64) {
	l.ticks++
	for i := range s.Scenario.Watch {
		l.watched[i] = append(l.watched[i], l.rig.Quantities[s.Scenario.Watch[i].Quantity])
	}
	for i := range l.effort {
		e, u := &l.effort[i], l.outputs[i]
		e.squares += u * u
		e.Biggest = max(e.Biggest, u, -u)
		if u >= e.hi || u <= e.lo {
			e.saturated++
		}
		e.moved = e.moved || l.ticks > 1 && u != e.Last
		e.Last = u
		if u != 0 {
			l.last = t
			if l.first < 0 {
				l.first = t
			}
		}
	}
	if !l.down {
		for i := range l.enables {
			if t >= s.Scenario.HeldUntil && l.controller.enabled(l.enables[i].section) {
				l.enables[i].on++
			}
		}
		for i := range l.changes {
			c := &l.changes[i]
			if on := l.controller.on(c.section, c.signal); on != c.was {
				c.was = on
				if c.Changes++; len(c.Times) < keptChanges {
					c.Times = append(c.Times, t)
				}
			}
		}
	}
	if l.first < 0 {
		l.windUp = max(l.windUp, l.controller.integrals())
	}
	l.lowest = min(l.lowest, l.rig.Volts)
	for _, q := range l.rig.Quantities {
		if !(q > -endless && q < endless) && !l.fell {
			l.fell, l.lost, l.fellAt = true, true, t
			return
		}
	}
	if f := s.Scenario.Fall; f != nil && !l.fell && (l.rig.Quantities[f.Quantity] > f.Beyond || l.rig.Quantities[f.Quantity] < -f.Beyond) {
		l.fell, l.fellAt = true, t
	}
}
