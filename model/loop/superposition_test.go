package loop

import (
	"math"
	"testing"

	"gainwright/model/program"
	"gainwright/model/simulate"
	"gainwright/model/tier"
)

// Nothing else enters: the linear loop, moved by the roundings, the arctangents, the sensors' counts and the actuators as they happened in a
// run of both programs, follows the difference of the two machines; and each of these stays inside what the bound counts for it.
func TestNothingElseEnters(t *testing.T) {
	tier.Slow(t)
	for name, changes := range map[string][]string{"spindle": nil, "pan": nil, "cart": {"duration: 605 s", "duration: 20 s", "at: 60 s", "at: 10 s", "at: 120 s, for: 20 s", "at: 12 s, for: 2 s"}} {
		s := starter(t, name, changes...)
		v := view(t, s)
		m := s.materials()
		now, err := s.sampled(m, 0)
		if err != nil {
			t.Fatal(err)
		}
		j := join(s.controller(s.Integer, m), now, -1)
		w := s.watch(Quiet, j, m)
		if !w.run.Speaks {
			t.Fatalf("%s: %+v", name, w.run)
		}
		c := j.c
		from := int(math.Round(w.run.From / v.Period))
		inputs := make([]program.ID, len(c.p.Inputs))
		for i, op := range c.p.Ops {
			if op.Kind == program.Input {
				inputs[op.Index] = program.ID(i)
			}
		}
		x := make([]float64, len(j.a))
		outputs, quantities := j.outputs(), j.quantities()
		dot := func(row []float64) (sum float64) {
			for i, k := range row {
				sum += k * x[i]
			}
			return sum
		}
		ticks, bad, biggest := 0, 0, 0.0
		simulate.New(s.Spec, s.Stored, s.Integer, s.twin(m.linear), s.scenario(Quiet, m.linear)).Follow(s.Scenario.Seed, func(tick *simulate.Tick) bool {
			if tick.Number < from {
				return true
			}
			if tick.Number == from {
				for i, n := range c.states {
					x[j.n+i] = w.apart(tick, w.states[n])
				}
			}
			for i, watched := range s.Scenario.Watch {
				real := tick.Watched[simulate.Integer][i] - tick.Watched[simulate.Reference][i]
				biggest = math.Max(biggest, math.Abs(real))
				if got := dot(quantities[i]); math.Abs(got-real) > 1e-9*(1+math.Abs(tick.Watched[0][i])) {
					t.Errorf("%s, tick %d: %s is %g apart, what was counted makes %g", name, tick.Number, watched.Name, real, got)
					bad++
				}
			}
			next := make([]float64, len(x))
			for i, row := range j.a {
				next[i] = dot(row)
			}
			out := make([]float64, len(outputs))
			for o, row := range outputs {
				out[o] = dot(row)
			}
			enter := func(e float64, col []float64, direct func(o int) float64) {
				for i, k := range col {
					next[i] += k * e
				}
				for o := range out {
					out[o] += direct(o) * e
				}
			}
			inside := func(what string, e, most float64) {
				if math.Abs(e) > most*(1+1e-6)+1e-12 {
					t.Errorf("%s, tick %d: %s is off by %g, at most %g is counted", name, tick.Number, what, e, most)
					bad++
				}
			}
			for r, res := range c.residues {
				op := c.p.Ops[res.op]
				if op.Kind == program.Angle {
					continue
				}
				a := op.Args[0]
				e := float64(tick.Whole.Values[res.op])*w.c.units[res.op] - float64(tick.Whole.Values[a])*w.c.units[a]
				inside(op.Name, e, res.most)
				enter(e, j.residue(r), func(o int) float64 { return c.f[o][r] })
			}
			for _, a := range c.angles {
				args := c.p.Ops[a.op].Args
				e := w.apart(tick, a.op) - a.dy*w.apart(tick, args[0]) - a.dx*w.apart(tick, args[1])
				enter(e, j.residue(a.residue), func(o int) float64 { return c.f[o][a.residue] })
				inside("the arctangent", e, c.residues[a.residue].most+w.run.Bends[0].Most)
			}
			for _, sensor := range s.Plant.Sensors {
				row := make([]float64, len(x))
				copy(row, now.y[sensor.Input])
				e := w.apart(tick, inputs[sensor.Input]) - dot(row)
				inside(sensor.Name, e, m.units[sensor.Input])
				enter(e, j.sensor(sensor.Input), func(o int) float64 { return c.d[o][sensor.Input] })
			}
			for i := range s.Plant.Actuators {
				a := &s.Plant.Actuators[i]
				e := a.Full*(a.Share(tick.Outputs[simulate.Integer][a.Output])-a.Share(tick.Outputs[simulate.Reference][a.Output])) - out[a.Output]
				inside(a.From, e, s.off(c, i))
				for k, g := range j.actuator(i) {
					next[k] += g * e
				}
			}
			x = next
			ticks++
			// The plant of the cart alone is unstable, and here its outputs are taken as they were: float64's errors grow e-fold in 0.15 s.
			return bad < 5 && (name != "cart" || ticks < 300)
		})
		if ticks < 300 || biggest == 0 {
			t.Errorf("%s: %d ticks, largest difference %g: nothing was tried", name, ticks, biggest)
		}
	}
}

// Two actuators that take one output and drive against each other: on the straight line they cancel, their dead bands do not.
func TestActuatorsAgainstEachOther(t *testing.T) {
	v := view(t, system(t, `controller: twin
rate: 100 Hz
inputs:
  x: {raw: int16, unit: m, counts_per_unit: 1000, range: [-10, 10]}
  want: {raw: int16, unit: m, counts_per_unit: 1000, range: [-10, 10]}
steps:
  c: {kind: pid, target: want, measured: x, kp: 20, unit: duty, limits: [-1000, 1000]}
outputs:
  o: {from: c, raw: int16, unit: duty, limits: [-1000, 1000]}
plant:
  kind: state_space
  inputs: {one: N, two: N}
  outputs: {x: m}
  a: [[-1]]
  b: [[1, 1]]
  c: [[1]]
  actuators:
    one: {from: o, full: 1000 duty, gives: 1000 N, dead_band: 20 duty}
    two: {from: o, full: 1000 duty, gives: -1000 N, delay: 15 ms}
  sensors: {x: {of: x, noise: 0.0005 m}}
scenario:
  duration: 20 s
  set_points: {want: {0 s: 0 m, 1 s: ramp to 0 m, 15 s: ramp to 2 m}}
  watch: {x: {target: want, band: 10 m}}
`))
	for _, r := range v.Runs {
		if d := v.Deviation[0]; !r.Speaks || r.Largest[0] < 1 || d.Bound < r.Largest[0] {
			t.Errorf("%s: %g m apart where at most %g is proven (%s)", r.Kind, r.Largest[0], d.Bound, d.Why)
		}
	}
}
