package plant

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

// wait tells a sensor with a delay for which tick it takes its next sample.
func (r *Rig) wait(t *tap, tick int64) { t.next, t.due = tick, r.Nominal(tick)-t.delay }

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
