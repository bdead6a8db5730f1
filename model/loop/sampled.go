package loop

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gainwright/model/plant"
)

// sampled is a linear plant between two ticks, with what its actuators and sensors still have under way:
// z' = P*z + G*outputs, inputs = Y*z at the tick, in the controller's units. It is exact: an output that takes effect, or a sample
// that is taken, between two ticks cuts the tick into pieces in each of which the plant's inputs stand still.
type sampled struct {
	p, g matrix
	acts matrix // what an actuator gives beyond its straight line, by actuator, in the unit of its output
	y    matrix // of the controller's inputs; 0 for those that no sensor fills
	q    matrix // of the quantities asked for, in SI units, at the tick
	// poles of what is left out of it, those that grow
	runaway []complex128
}

// mostOrder keeps a spec from asking for a computation without end.
const mostOrder = 200

// sample makes it. quantities are those to be seen beside the sensors' own; extra delays every output by whole ticks more.
func sample(pl *plant.Plant, l *plant.Linear, period float64, inputs int, units []float64, outputs int, quantities []int, extra int) (*sampled, error) {
	watched := slices.Clone(quantities)
	for _, s := range pl.Sensors {
		for _, part := range s.Parts() {
			watched = append(watched, part.Quantity)
		}
	}
	whole := l
	l, state := seen(l, watched)
	n, nu := len(state), len(l.In)
	a, b := from(l.A, n, n), from(l.B, n, nu)
	c, d := from(l.C, len(l.Out), n), from(l.D, len(l.Out), nu)

	order := n
	type line struct {
		first, whole, long int
		phase              float64
	} // where it starts in z, whole ticks, places
	acts := make([]line, len(pl.Actuators))
	for i, act := range pl.Actuators {
		whole, phase := ticks(act.Delay, period)
		acts[i] = line{order, whole + extra, whole + extra + 1, phase}
		order += acts[i].long
	}
	taps := make([]line, len(pl.Sensors))
	for j, s := range pl.Sensors {
		if s.Delay > 0 {
			whole, phase := ticks(s.Delay, period)
			taps[j] = line{order, whole, whole + 1, period - phase}
			order += taps[j].long
		}
	}
	if order > mostOrder {
		return nil, fmt.Errorf("the plant with its delays has %d states in a tick; at most %d are followed", order, mostOrder)
	}
	own := order + outputs // what each actuator adds of its own
	width := own + len(pl.Actuators)
	// rows over z, the outputs of this tick and what the actuators add to them
	x := zeros(n, width)
	for i := range n {
		x[i][i] = 1
	}
	u := zeros(nu, width)
	force := func(i, ago int, now bool) { // the output of ago ticks before this one takes effect
		act := pl.Actuators[i]
		clear(u[act.Input])
		k := supply(pl, act) / act.Full
		if ago == 0 && now {
			u[act.Input][order+act.Output], u[act.Input][own+i] = k, k
		} else {
			u[act.Input][acts[i].first+ago-1] = k
		}
	}
	for i, act := range acts {
		force(i, act.whole+1, false)
	}
	observe := func(quantity int) []float64 {
		row := make([]float64, width)
		for j, v := range c[quantity] {
			for k, w := range x[j] {
				row[k] += v * w
			}
		}
		for j, v := range d[quantity] {
			for k, w := range u[j] {
				row[k] += v * w
			}
		}
		return row
	}
	feel := func(s plant.Sensor) []float64 {
		row := make([]float64, width)
		for _, part := range s.Parts() {
			for k, v := range observe(part.Quantity) {
				row[k] += part.Share * v
			}
		}
		return row
	}
	out := &sampled{y: zeros(inputs, order), q: zeros(len(quantities), order), runaway: runaway(whole, state, period)}
	for j, s := range pl.Sensors {
		scale := s.Slope() * units[s.Input]
		if s.Delay > 0 {
			out.y[s.Input][taps[j].first+taps[j].whole] = scale
			continue
		}
		for k, v := range feel(s)[:order] {
			out.y[s.Input][k] = scale * v
		}
	}
	for i, quantity := range quantities {
		copy(out.q[i], observe(quantity)[:order])
	}

	// From this tick to the next. A sample that falls together with a change is taken before it.
	type event struct {
		at    float64
		which int
	} // which: a sensor, or -1-actuator
	var events []event
	for j := range pl.Sensors {
		if taps[j].long > 0 {
			events = append(events, event{taps[j].phase, j})
		}
	}
	for i := range acts {
		events = append(events, event{acts[i].phase, -1 - i})
	}
	slices.SortStableFunc(events, func(a, b event) int { return cmp.Compare(a.at, b.at) })
	now := 0.0
	advance := func(until float64) {
		if until > now && n > 0 {
			phi, gamma := plant.Discretise(a.dense(), b.dense(), until-now)
			next := zeros(n, width)
			next.add(0, 0, 1, from(phi, n, n), x)
			next.add(0, 0, 1, from(gamma, n, nu), u)
			x = next
		}
		now = math.Max(now, until)
	}
	fresh := zeros(len(pl.Sensors), width)
	for _, e := range events {
		advance(e.at)
		if e.which >= 0 {
			fresh[e.which] = feel(pl.Sensors[e.which])
		} else {
			force(-1-e.which, acts[-1-e.which].whole, true)
		}
	}
	advance(period)

	both := zeros(order, width)
	copy(both, x)
	for i, act := range acts {
		both[act.first][order+pl.Actuators[i].Output], both[act.first][own+i] = 1, 1
		for k := 1; k < act.long; k++ {
			both[act.first+k][act.first+k-1] = 1
		}
	}
	for j, tap := range taps {
		if tap.long == 0 {
			continue
		}
		both[tap.first] = fresh[j]
		for k := 1; k < tap.long; k++ {
			both[tap.first+k][tap.first+k-1] = 1
		}
	}
	out.p, out.g, out.acts = zeros(order, order), zeros(order, outputs), zeros(order, len(pl.Actuators))
	for i := range both {
		copy(out.p[i], both[i][:order])
		copy(out.g[i], both[i][order:own])
		copy(out.acts[i], both[i][own:])
	}
	return out, nil
}

// ticks cuts a delay into whole ticks and a rest of less than one.
func ticks(delay, period float64) (whole int, rest float64) {
	whole = int(math.Floor(delay/period + 1e-9))
	return whole, math.Max(0, delay-float64(whole)*period)
}

// supply is what the whole of an actuator gives, a battery counted as a stiff one at rest.
func supply(pl *plant.Plant, a plant.Actuator) float64 {
	if !a.OnBattery {
		return a.Gives
	}
	return math.Max(0, pl.Battery.Open(0)-pl.Battery.Resistance*pl.Battery.Load)
}

// runaway are the poles, in z, of the states that are left out, where they grow.
func runaway(l *plant.Linear, kept []int, period float64) (out []complex128) {
	n, _ := l.A.Dims()
	for _, s := range from(l.A, n, n).without(kept).eigenvalues() {
		if z := cmplx.Exp(s * complex(period, 0)); cmplx.Abs(z) > growing {
			out = append(out, z)
		}
	}
	return out
}

// seen leaves out the states that no quantity asked for depends on, such as the angle where only a speed is sensed: their poles
// are not of the loop.
func seen(l *plant.Linear, quantities []int) (*plant.Linear, []int) {
	n, _ := l.A.Dims()
	a, c := from(l.A, n, n), from(l.C, len(l.Out), n)
	state := reaching(a, c.rows(quantities))
	if len(state) == n || len(state) == 0 {
		return l, state
	}
	small := *l
	small.A = a.square(state).dense()
	_, nu := l.B.Dims()
	small.B = from(l.B, n, nu).rows(state).dense()
	small.C = c.columns(state).dense()
	return &small, state
}
