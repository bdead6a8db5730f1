package loop

// joint is a controller and a sampled plant with the loop closed: w' = A*w + (what enters), w the plant's states and then the controller's.
type joint struct {
	c *controller
	s *sampled
	a matrix
	n int // of the plant
}

// join closes the loop through all outputs but the one that is cut; -1 cuts none.
func join(c *controller, s *sampled, cut int) *joint {
	n, m := len(s.p), len(c.states)
	j := &joint{c: c, s: s, a: zeros(n+m, n+m), n: n}
	g := zeros(n, len(c.c))
	for i := range g {
		copy(g[i], s.g[i])
		if cut >= 0 {
			g[i][cut] = 0
		}
	}
	j.a.put(0, 0, s.p)
	dy := zeros(len(c.d), n)
	dy.add(0, 0, 1, c.d, s.y)
	j.a.add(0, 0, 1, g, dy)
	j.a.add(0, n, 1, g, c.c)
	j.a.add(n, 0, 1, c.b, s.y)
	j.a.put(n, n, c.a)
	return j
}

// outputs are the controller's outputs as rows over w.
func (j *joint) outputs() matrix {
	out := zeros(len(j.c.c), len(j.a))
	out.add(0, 0, 1, j.c.d, j.s.y)
	out.put(0, j.n, j.c.c)
	return out
}

// quantities are the plant's quantities as rows over w.
func (j *joint) quantities() matrix {
	out := zeros(len(j.s.q), len(j.a))
	out.put(0, 0, j.s.q)
	return out
}

// at is where an output enters the plant, a column over w.
func (j *joint) at(output int) []float64 { return j.enters(nil, j.s.g.column(output)) }

// actuator is where what one actuator adds of its own enters: two that take one output may drive against each other.
func (j *joint) actuator(which int) []float64 { return j.enters(nil, j.s.acts.column(which)) }

// behind is where what leaves the cut inside the controller enters, and ahead what arrives there, as a row over w.
func (j *joint) behind() []float64 { return j.through(j.c.behind.state, j.c.behind.output) }

func (j *joint) ahead() []float64 {
	row, _, _ := j.argument(j.c.open)
	return row
}

// residue is where a rounding enters, and sensor where an error of an input does.
func (j *joint) residue(r int) []float64 { return j.through(j.c.e.column(r), j.c.f.column(r)) }

func (j *joint) sensor(input int) []float64 {
	return j.through(j.c.b.column(input), j.c.d.column(input))
}

// through is where changes of the controller's states and outputs enter.
func (j *joint) through(states, outputs []float64) []float64 {
	plant := make([]float64, j.n)
	for o, v := range outputs {
		for i := range plant {
			plant[i] += j.s.g[i][o] * v
		}
	}
	return j.enters(states, plant)
}

// enters is a column over w.
func (j *joint) enters(states, plant []float64) []float64 {
	col := make([]float64, len(j.a))
	copy(col, plant)
	copy(col[j.n:], states)
	return col
}

// argument is what an arctangent reads, as a row over w.
func (j *joint) argument(f form) (row, in, e []float64) {
	x, ins, es := j.c.split([]form{f})
	out := zeros(1, len(j.a))
	out.add(0, 0, 1, ins, j.s.y)
	out.put(0, j.n, x)
	return out[0], ins[0], es[0]
}

// reaching lists the states that the rows depend on, now or later: only their poles show there.
func reaching(a matrix, rows matrix) []int {
	keep := make([]bool, len(a))
	for _, r := range rows {
		for i, v := range r {
			keep[i] = keep[i] || v != 0
		}
	}
	for again := true; again; {
		again = false
		for i, row := range a {
			if !keep[i] {
				continue
			}
			for k, v := range row {
				if v != 0 && !keep[k] {
					keep[k], again = true, true
				}
			}
		}
	}
	var out []int
	for i, k := range keep {
		if k {
			out = append(out, i)
		}
	}
	return out
}
