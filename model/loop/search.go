package loop

import (
	"math"
	"math/rand/v2"

	"gainwright/model/program"
	"gainwright/model/simulate"
)

// Noise that is met by chance does little: most roundings cancel. The search chooses it instead. Both loops start at rest and without a
// difference; at each tick, of many noises that both sensors and set-points could have, the one is taken whose roundings, weighted by what each of them does to the
// quantity at the end, push it furthest. What the machines show at the end is no estimate but a run, from which the bound has nothing to hide.

const (
	searchTicks = 6000   // of a run, at most
	searchTries = 40_000 // noises in a run
	searchRest  = 20_000 // ticks before it
)

// find searches the largest deviation of a quantity.
func (s *System) find(d *Deviation, quantity int, j *joint, m *materials, now *sampled) {
	q := s.newSearch(j, m, now, s.Scenario.Seed)
	scale := 1 / s.Scenario.Watch[quantity].PerUnit
	proven := d.Arithmetic + d.Sensors + d.Actuators
	if proven == 0 {
		return
	}
	w := q.weights(quantity, searchTicks)
	ticks := w.reach(0.98 * proven / scale)
	for _, size := range []float64{40, 16, 6, 2, 0.7} { // counts; the largest with which no limit acts
		q.rest(searchRest)
		saw := s.newWatcher("searched", j)
		q.against(quantity, ticks, size, w, saw)
		if saw.run.ActedBy != "" {
			continue
		}
		d.Found = saw.run.Largest[quantity]
		d.Share = d.Found / (proven + saw.moved[quantity]*scale)
		return
	}
}

// reach is how many ticks back errors must be chosen until they make up that much.
func (w *weights) reach(much float64) int {
	sum := 0.0
	for lag, row := range w.of {
		for i, h := range row {
			sum += math.Abs(h) * w.entries[i].most
		}
		if sum >= much {
			return lag + 1
		}
	}
	return len(w.of)
}

// search is one pair of loops on the sampled linear plant.
type search struct {
	*System
	j       *joint
	m       *materials
	now     *sampled
	real    *program.RealMachine
	whole   *program.FixedMachine
	gains   []float64
	coefs   []int64
	some    [][]entryAt  // entries of the sampled plant that are not 0
	z       [2][]float64 // what the plants and their delays hold
	shown   [2][]float64 // of the plants, in counts of the controller's inputs
	raw     [2][]int64
	outputs [2][]float64
	in      []float64
	bent    bool // an actuator has steps or a dead band
	rng     *rand.Rand
}

func (s *System) newSearch(j *joint, m *materials, now *sampled, seed uint64) *search {
	q := &search{System: s, j: j, m: m, now: now, real: program.NewRealMachine(s.Stored), whole: program.NewFixedMachine(s.Integer), gains: simulate.Coefs(s.Stored), coefs: simulate.CoefCounts(s.Integer), rng: rand.New(rand.NewPCG(seed, 11))}
	q.some, _ = sparse(now.p)
	q.in = make([]float64, len(m.raw))
	for a := range s.Plant.Actuators {
		q.bent = q.bent || s.off(j.c, a) > 0
	}
	for i := range q.z {
		q.z[i], q.shown[i] = make([]float64, j.n), make([]float64, len(m.raw))
		q.raw[i], q.outputs[i] = make([]int64, len(m.raw)), make([]float64, len(s.Integer.Outputs))
	}
	return q
}

// look reads what a plant shows, in counts.
func (q *search) look(which int) {
	for i := range q.m.raw {
		q.shown[which][i] = 0
		for k, v := range q.now.y[i] {
			q.shown[which][i] += v * q.z[which][k] / q.m.units[i]
		}
	}
}

// sense fills the raw inputs of one loop: at rest, plus what its plant shows and a noise in counts.
func (q *search) sense(which int, noise []float64) {
	for i, rest := range q.m.raw {
		lo, hi := q.Integer.Inputs[i].Type.Range()
		q.raw[which][i] = min(max(rest+int64(math.Round(q.shown[which][i]+noise[i])), lo), hi)
	}
}

// draw chooses a noise of one input, or of all: any, or one with which the two loops, which sense slightly different machines, read different counts.
func (q *search) draw(noise []float64, size float64, input int) {
	for i := range noise {
		if input >= 0 && i != input {
			continue
		}
		if noise[i] = 0; q.Integer.Inputs[i].IsSwitch {
			continue
		}
		noise[i] = size * (2*q.rng.Float64() - 1)
		if q.rng.IntN(2) == 0 {
			between := (q.shown[0][i] + q.shown[1][i]) / 2
			noise[i] = math.Round(noise[i]+between) + 0.5 - between
		}
	}
}

// give reads what a loop hands to its actuators.
func (q *search) give(which int) {
	for o, out := range q.Integer.Outputs {
		if which == simulate.Integer {
			q.outputs[which][o] = float64(q.whole.Values[out.Value]) * unit(out.LSB) * q.m.signs[o]
		} else {
			q.outputs[which][o] = q.real.Values[q.Stored.Outputs[o].Value] * q.m.signs[o]
		}
	}
}

// beyond is what an actuator gives beyond its straight line.
func (q *search) beyond(actuator int, outputs []float64) float64 {
	a := &q.Plant.Actuators[actuator]
	return a.Full*a.Share(outputs[a.Output]) - outputs[a.Output]
}

// move takes a plant to the next tick.
func (q *search) move(which int) {
	next := make([]float64, q.j.n)
	for i := range next {
		for _, e := range q.some[i] {
			next[i] += e.value * q.z[which][e.column]
		}
		for o, v := range q.now.g[i] {
			next[i] += v * q.outputs[which][o]
		}
		for a, v := range q.now.acts[i] {
			if v != 0 {
				next[i] += v * q.beyond(a, q.outputs[which])
			}
		}
	}
	q.z[which] = next
}

// rest lets the integer loop come to rest and gives the reference the same state.
func (q *search) rest(ticks int) {
	q.whole.Start()
	clear(q.z[simulate.Integer])
	still := make([]float64, len(q.m.raw))
	for range ticks {
		q.look(simulate.Integer)
		q.sense(simulate.Integer, still)
		q.whole.Tick(q.raw[simulate.Integer], q.coefs)
		q.give(simulate.Integer)
		q.move(simulate.Integer)
	}
	for i, st := range q.Integer.States {
		q.real.State[st.Real] = float64(q.whole.State[i]) * unit(st.LSB)
	}
	copy(q.z[simulate.Reference], q.z[simulate.Integer])
}

// weights are what an error that enters at each place does to the quantity so many ticks later: rows over lags, one column a place.
type weights struct {
	entries []entry
	of      [][]float64
}

func (q *search) weights(quantity, ticks int) *weights {
	w := &weights{entries: q.entries(q.j)}
	row := q.j.quantities()[quantity]
	for range ticks {
		now := make([]float64, len(w.entries))
		for i, e := range w.entries {
			now[i] = dot(row, e.col)
		}
		w.of = append(w.of, now)
		next := make([]float64, len(row))
		for i, v := range row {
			if v != 0 {
				for k, a := range q.j.a[i] {
					next[k] += v * a
				}
			}
		}
		row = next
	}
	return w
}

// pushes is what the integer loop's tick, as it has just been run, adds to the quantity so many ticks later.
func (q *search) pushes(w *weights, lag int) float64 {
	if q.bent {
		q.give(simulate.Integer)
		q.give(simulate.Reference)
	}
	sum := 0.0
	for i, e := range w.entries {
		h := w.of[lag][i]
		switch {
		case h == 0:
		case e.from == rounding:
			sum += h * q.leftOver(q.j.c.residues[e.which].op)
		case e.from == sensing:
			counts := float64(q.raw[simulate.Integer][e.which] - q.raw[simulate.Reference][e.which])
			sum += h * q.m.units[e.which] * (counts - q.shown[simulate.Integer][e.which] + q.shown[simulate.Reference][e.which])
		default:
			sum += h * (q.beyond(e.which, q.outputs[simulate.Integer]) - q.beyond(e.which, q.outputs[simulate.Reference]))
		}
	}
	return sum
}

// refer runs the reference for a tick.
func (q *search) refer() {
	for i, r := range q.raw[simulate.Reference] {
		q.in[i] = float64(r) * q.m.units[i]
	}
	q.real.Tick(q.in, q.gains, nil)
}

// leftOver is what a rounding, or an arctangent's table, was off in this tick.
func (q *search) leftOver(id program.ID) float64 {
	p := q.Integer
	op := &p.Ops[id]
	at := func(id program.ID) float64 { return float64(q.whole.Values[id]) * unit(p.Ops[id].LSB) }
	if op.Kind == program.Angle {
		turn, _ := program.Turn(op.Unit).Float64()
		return at(id) - math.Atan2(at(op.Args[0]), at(op.Args[1]))*turn/(2*math.Pi)
	}
	if op.Kind == program.Round {
		return at(id) - at(op.Args[0])
	}
	if op.Kind == program.Root {
		return at(id) - op.Kind.Of().Real(0, at(op.Args[0]), 0, 0)
	}
	if op.Kind == program.Table {
		return at(id) - lineAt(op.Curve, q.whole.Values[op.Args[0]])*unit(op.LSB)
	}
	return at(id) - op.Kind.Of().Real(0, at(op.Args[0]), at(op.Args[1]), 0)
}

// lineAt is the straight line between the points of a table, in counts.
func lineAt(c *program.Curve, x int64) float64 {
	x = min(max(x, c.X[0]), c.X[len(c.X)-1])
	i := len(c.Slope) - 1
	for x < c.X[i] {
		i--
	}
	return float64(c.Y[i]) + float64(c.Y[i+1]-c.Y[i])*float64(x-c.X[i])/float64(c.X[i+1]-c.X[i])
}

// against runs both loops with noise chosen against a quantity, at most size counts large, and returns what was seen.
func (q *search) against(quantity, ticks int, size float64, w *weights, saw *watcher) {
	noise, best := make([]float64, len(q.m.raw)), make([]float64, len(q.m.raw))
	state, before := make([]int64, len(q.whole.State)), make([]float64, len(q.real.State))
	tries := min(max(searchTries/ticks, 8), 32)
	tick := simulate.Tick{Real: q.real, Whole: q.whole, Outputs: q.outputs}
	for i := range tick.Watched {
		tick.Watched[i] = make([]float64, len(q.now.q))
	}
	for k := range ticks + 1 {
		copy(state, q.whole.State)
		copy(before, q.real.State)
		q.look(simulate.Reference)
		q.look(simulate.Integer)
		most := math.Inf(-1)
		for n := range tries {
			if k == ticks {
				break // at the end the quantity is looked at
			}
			if n < tries/4 {
				q.draw(noise, size, -1)
			} else { // then one input after the other, the others as they were best
				copy(noise, best)
				q.draw(noise, size, n%len(noise))
			}
			q.sense(simulate.Reference, noise)
			q.sense(simulate.Integer, noise)
			copy(q.whole.State, state)
			q.whole.Tick(q.raw[simulate.Integer], q.coefs)
			if q.bent {
				copy(q.real.State, before)
				q.refer()
			}
			if gain := q.pushes(w, ticks-1-k); gain > most {
				most = gain
				copy(best, noise)
			}
		}
		copy(q.whole.State, state)
		q.sense(simulate.Reference, best)
		q.sense(simulate.Integer, best)
		for i := range tick.Watched {
			for n, row := range q.now.q {
				tick.Watched[i][n] = dot(row, q.z[i])
			}
		}
		copy(q.real.State, before)
		q.refer()
		q.whole.Tick(q.raw[simulate.Integer], q.coefs)
		q.give(simulate.Reference)
		q.give(simulate.Integer)
		tick.Number, tick.Time = k, float64(k)*q.period()
		saw.observe(&tick)
		q.move(simulate.Reference)
		q.move(simulate.Integer)
	}
}
