package loop

import "math"

// Deviation is how far the machine can be pushed off by the rounding of the integer program, against the same loop with the stored constants in
// real numbers, both on the linear plant with the same noise, set-points and disturbances: the closed-loop rounding bound. It is
// proven for every tick of a run in which no limit and no switch acts on the difference of the two loops, which the simulated runs watch.
//
// What is counted, each with the sum of sizes of its response in the closed loop: every rounding of the program, half a count each;
// the error of every arctangent's table; one count of each sensor, half of either loop, because the two loops sense slightly different machines; the
// steps of the actuators; least effort and dead band around 0. Two shares are as large as the runs showed them, followed through the loop: the
// difference that the controllers already had at the tick from which the bound holds, and how the arctangents bend away from the straight line.
// Both are 0 where the bound speaks for no run.
//
// The loop's matrices are taken as float64 holds them, with a relative error of slack in each entry allowed for. What float64 itself rounds in the
// reference, 1e-16 of a value, is not counted.
type Deviation struct {
	Name       string  `json:"name"`
	Unit       string  `json:"unit"`
	Arithmetic float64 `json:"arithmetic"` // share of the roundings and arctangents
	Sensors    float64 `json:"sensors"`
	Actuators  float64 `json:"actuators"`
	Start      float64 `json:"start"` // largest over the runs for which the bound speaks
	Bend       float64 `json:"bend"`  // the same
	Bound      float64 `json:"bound"` // all together; 0 where Why says why there is none
	Why        string  `json:"why,omitempty"`
	// Found is the largest deviation that a search for the worst noise came to, and Share what part of the bound of that run it was. 0: nothing was searched.
	Found float64 `json:"found"`
	Share float64 `json:"found_share"`
	// Wider is the bound with the largest bend that any run could have in which each arctangent is read where its slopes are as near to those
	// at rest as they were seen to be. 0: no arctangent, or no such bound.
	Wider float64 `json:"wider,omitempty"`
}

// Bend is how far the difference of an arctangent's results in the two loops was from the straight line that the linear view takes, at most.
type Bend struct {
	Name string  `json:"name"`
	Unit string  `json:"unit"`
	Most float64 `json:"most"`
}

// deviations runs the scenario and bounds what the runs may show.
func (s *System) deviations(v *View, m *materials, now *sampled) {
	j := join(s.controller(s.Integer, m), now, -1)
	var found []*watcher
	for _, kind := range []string{Quiet, AsWritten, Quarter, Sixteenth} {
		if len(found) > 1 && found[len(found)-1].run.Speaks {
			break
		}
		w := s.watch(kind, j, m)
		found = append(found, w)
		v.Runs = append(v.Runs, w.run)
	}
	for i, q := range s.Scenario.Watch {
		d := Deviation{Name: q.Name, Unit: q.Unit}
		if err := s.bound(&d, j, i, 1/q.PerUnit, found); err != nil {
			d.Why = err.Error()
			d.Bound = 0
		} else {
			s.find(&d, i, j, m, now)
		}
		v.Deviation = append(v.Deviation, d)
	}
}

// entry is one place where an error enters: its column and its largest size.
type entry struct {
	col   []float64
	most  float64
	from  source
	which int // residue, input or actuator
}

// source is who makes an error.
type source int

const (
	rounding source = iota // or the table of an arctangent
	sensing
	acting
)

// entries are the places where errors enter a loop.
func (s *System) entries(j *joint) []entry {
	var out []entry
	for r, res := range j.c.residues {
		out = append(out, entry{j.residue(r), res.most, rounding, r})
	}
	for _, sensor := range s.Plant.Sensors {
		out = append(out, entry{j.sensor(sensor.Input), unit(j.c.p.Inputs[sensor.Input].LSB), sensing, sensor.Input})
	}
	for i := range s.Plant.Actuators {
		if off := s.off(j.c, i); off > 0 {
			out = append(out, entry{j.actuator(i), off, acting, i})
		}
	}
	return out
}

func (s *System) bound(d *Deviation, j *joint, quantity int, scale float64, runs []*watcher) error {
	c := j.c
	rows := matrix{j.quantities()[quantity]}
	var ins, es matrix
	for _, a := range c.angles {
		for _, f := range []form{a.y, a.x} {
			r, in, e := j.argument(f)
			rows, ins, es = append(rows, r), append(ins, in), append(es, e)
		}
	}
	keep := reaching(j.a, rows)
	small := j.a.square(keep)
	rows = rows.columns(keep)
	decay, err := decays(small)
	if err != nil {
		return err
	}
	entries := s.entries(j)
	gains := make([][]float64, len(entries)) // to the quantity and to the arguments of the arctangents
	reach := make([]float64, len(rows))
	for i, e := range entries {
		gains[i], _ = decay.peaks(pick(e.col, keep), rows)
		for k := range ins { // at once
			switch e.from {
			case rounding:
				gains[i][1+k] += math.Abs(es[k][e.which])
			case sensing:
				gains[i][1+k] += math.Abs(ins[k][e.which])
			}
		}
		for k, g := range gains[i] {
			reach[k] += g * e.most
		}
	}
	starts := make([]float64, len(rows))
	for _, w := range runs {
		if !w.run.Speaks {
			continue
		}
		col := make([]float64, len(j.a))
		copy(col[j.n:], w.start)
		_, high := decay.peaks(pick(col, keep), rows)
		for k := range starts {
			starts[k] = math.Max(starts[k], high[k])
		}
	}
	who := [...]*float64{rounding: &d.Arithmetic, sensing: &d.Sensors, acting: &d.Actuators}
	for i, e := range entries {
		*who[e.from] += gains[i][0] * e.most * scale
	}
	for _, w := range runs {
		if w.run.Speaks {
			d.Bend = math.Max(d.Bend, w.moved[quantity]*scale)
		}
	}
	d.Start = starts[0] * scale
	d.Bound = d.Arithmetic + d.Sensors + d.Actuators + d.Start + d.Bend
	if extra := s.bend(c, gains, reach, starts, runs); len(extra) > 0 {
		d.Wider = d.Bound - d.Bend
		for i, a := range c.angles {
			d.Wider += gains[a.residue][0] * extra[i] * scale
		}
	}
	return nil
}

// bend is how far each arctangent can bend whatever the loops do; nil where there is no bound. Where the two loops read it away from rest, the
// difference of its results is the one at rest plus at most b*|difference of the arguments|, b how far the derivatives were seen away from
// those at rest. That is one more error that enters where the arctangent's own does; the arguments' difference in turn is bounded by all that
// enters. A small-gain argument: the sizes w of these errors must satisfy w >= b*(what reaches the arguments), and then no tick can be the
// first to break it.
func (s *System) bend(c *controller, gains [][]float64, reach, starts []float64, runs []*watcher) []float64 {
	by := make([][2]float64, len(c.angles))
	for _, w := range runs {
		if w.run.Speaks {
			for i, b := range w.bends {
				by[i][0], by[i][1] = math.Max(by[i][0], b[0]), math.Max(by[i][1], b[1])
			}
		}
	}
	extra := make([]float64, len(c.angles))
	for round := 0; ; round++ {
		grown := false
		for i := range c.angles {
			want := 0.0
			for side := range 2 {
				at := 1 + 2*i + side
				sum := reach[at] + starts[at]
				for l, a := range c.angles {
					sum += gains[a.residue][at] * extra[l]
				}
				want += by[i][side] * sum
			}
			if want > extra[i] {
				extra[i], grown = want*(1+1e-6), true
			}
		}
		if !grown {
			return extra
		}
		if round > 1000 {
			return nil
		}
	}
}
