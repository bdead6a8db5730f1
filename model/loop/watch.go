package loop

import (
	"math"
	"slices"

	"gainwright/model/program"
	"gainwright/model/simulate"
)

// Run is what a simulated run of both loops on the linear plant showed: the reference has the stored constants, so that the
// two differ by arithmetic alone.
type Run struct {
	Kind    string    `json:"kind"`
	Seed    uint64    `json:"seed"`
	Seconds float64   `json:"duration_s"`
	Largest []float64 `json:"largest"`  // difference of each watched quantity, in its unit, over the whole run
	Speaks  bool      `json:"speaks"`   // whether the bound speaks for this run
	From    float64   `json:"from_s"`   // from here on nothing but the linear loop acted on the difference
	ActedBy string    `json:"acted_by"` // the limit or switch that acted last; empty: none
	Acted   int       `json:"acted"`    // ticks in which one did
	Bends   []Bend    `json:"bends,omitempty"`
}

// watcher follows both loops and sees what acts on their difference besides the linear loop.
type watcher struct {
	run    Run
	c      *controller
	s      *System
	states []program.ID // reader of each state
	start  []float64    // difference of the controllers' states at From
	bends  [][2]float64 // of each arctangent: how far its slopes were from those at rest
	bent   []float64    // of each: how far the difference of its results was from the straight line
	j      *joint
	w      []float64 // the joint loop, moved by the bends alone
	seen   matrix    // the watched quantities as rows over w
	moved  []float64 // how far that took each of them
	parted bool      // the outputs have been different: the plants are
	from   int       // tick from which on the bound may speak
}

func (s *System) newWatcher(kind string, j *joint) *watcher {
	c := j.c
	w := &watcher{c: c, s: s, run: Run{Kind: kind, Seed: s.Scenario.Seed, Largest: make([]float64, len(s.Scenario.Watch)), Speaks: true}, bends: make([][2]float64, len(c.angles)), bent: make([]float64, len(c.angles)),
		j: j, w: make([]float64, len(j.a)), seen: j.quantities(), moved: make([]float64, len(s.Scenario.Watch)),
		states: make([]program.ID, len(c.p.States)), start: make([]float64, len(c.states))}
	for i := range c.p.Ops {
		if c.p.Ops[i].Kind == program.State {
			w.states[c.p.Ops[i].Index] = program.ID(i)
		}
	}
	return w
}

func (s *System) watch(kind string, j *joint, m *materials) *watcher {
	w := s.newWatcher(kind, j)
	sc := s.scenario(kind, m.linear)
	w.run.Seconds = sc.Duration
	simulate.New(s.Spec, s.Stored, s.Integer, s.twin(m.linear), sc).Follow(sc.Seed, func(t *simulate.Tick) bool {
		w.observe(t)
		return true
	})
	if w.run.From = float64(w.from) * s.period(); w.run.From >= sc.Duration {
		w.run.Speaks = false
	}
	for i, a := range j.c.angles {
		op := j.c.p.Ops[a.op]
		w.run.Bends = append(w.run.Bends, Bend{op.Name, op.Unit, w.bent[i]})
	}
	return w
}

// observe takes up one tick of a run.
func (w *watcher) observe(t *simulate.Tick) {
	if w.from == t.Number {
		w.begin(t)
	}
	for i := range t.Outputs[0] {
		w.parted = w.parted || t.Outputs[0][i] != t.Outputs[1][i]
	}
	if by := w.acts(t); by != "" {
		w.run.ActedBy = by
		w.run.Acted++
		w.from = t.Number + 1
		w.run.Speaks = !w.parted // where the plants are still the same, the bound can start anew behind it
		clear(w.bends)
		clear(w.bent)
		clear(w.w)
		clear(w.moved)
	} else {
		w.measure(t)
	}
	w.see(t)
}

// apart is the difference of a value of the two programs.
func (w *watcher) apart(t *simulate.Tick, id program.ID) float64 {
	return float64(t.Whole.Values[id])*w.c.units[id] - t.Real.Values[w.s.Integer.Ops[id].Real]
}

// begin notes the difference at a tick from which on the bound may speak.
func (w *watcher) begin(t *simulate.Tick) {
	for i, n := range w.c.states {
		w.start[i] = w.apart(t, w.states[n])
	}
}

// acts names a limit or switch that acts on the difference in this tick. A clamp that limits neither loop does not, nor does a
// switch between two values that differ by as much.
func (w *watcher) acts(t *simulate.Tick) string {
	p := w.s.Integer
	for i := range p.Ops {
		op := &p.Ops[i]
		id := program.ID(i)
		if op.Bool {
			continue
		}
		through := program.None
		switch op.Kind {
		case program.Clamp, program.Wrap, program.Abs:
			through = op.Args[0]
		case program.Select:
			if p.Sections[op.Section].Role == program.Stage {
				continue // least effort: counted as an error of the actuator
			}
			through = op.Args[2]
			if w.c.decisions[i] {
				through = op.Args[1]
			}
		case program.Min, program.Max:
			through = op.Args[1]
			if w.c.decisions[i] {
				through = op.Args[0]
			}
		case program.Input:
			lo, hi := p.Inputs[op.Index].Type.Range()
			if v := t.Whole.Values[i]; !p.Inputs[op.Index].IsSwitch && (v == lo || v == hi) {
				return p.Inputs[op.Index].Name + " at the end of its raw type"
			}
		}
		if through == program.None {
			continue
		}
		a, b := w.apart(t, id), w.apart(t, through)
		size := math.Abs(t.Real.Values[op.Real]) + math.Abs(t.Real.Values[p.Ops[through].Real]) + w.c.units[i]
		if op.Kind == program.Abs && !w.c.decisions[i] {
			b = -b
		}
		if turn := program.Turn(op.Unit); op.Kind == program.Wrap && turn != nil {
			full, _ := turn.Float64()
			b -= full * math.Round((b-a)/full)
		}
		if math.Abs(a-b) > 1e-9*size {
			return op.Name
		}
	}
	for i, s := range p.States {
		if s.Bool && (t.Whole.State[i] != 0) == (t.Real.State[s.Real] != 0) {
			continue
		}
		if s.Freeze { // only the switch that it may turn acts, and that is looked at
			continue
		}
		scale := unit(s.LSB)
		want := 0.0 // a held value is the same in both
		if slices.Contains(w.c.states, i) {
			switch w.c.moves[i] {
			case follows:
				want = w.apart(t, s.Next)
			case reset:
				want = w.apart(t, s.ResetTo)
			}
		}
		value := t.Real.State[s.Real]
		if got := float64(t.Whole.State[i])*scale - value; math.Abs(got-want) > 1e-9*(math.Abs(value)+scale) {
			return s.Name
		}
	}
	for _, a := range w.s.Plant.Actuators {
		for _, out := range t.Outputs {
			if math.Abs(out[a.Output]) > a.Most {
				return a.From + " beyond its actuator's limit"
			}
		}
	}
	return ""
}

// measure sees how far the arctangents are read from where they are at rest, and what their bend does to the loop.
func (w *watcher) measure(t *simulate.Tick) {
	if len(w.c.angles) == 0 {
		return
	}
	next := make([]float64, len(w.w))
	for i, row := range w.seen {
		w.moved[i] = math.Max(w.moved[i], math.Abs(dot(row, w.w)))
	}
	for i, row := range w.j.a {
		next[i] = dot(row, w.w)
	}
	for i, a := range w.c.angles {
		op := &w.s.Integer.Ops[a.op]
		turn, _ := program.Turn(op.Unit).Float64()
		real := w.s.Stored.Ops[op.Real].Args
		line, result := 0.0, 0.0
		for which, at := range [2][2]float64{
			{float64(t.Whole.Values[op.Args[0]]) * w.c.units[op.Args[0]], float64(t.Whole.Values[op.Args[1]]) * w.c.units[op.Args[1]]},
			{t.Real.Values[real[0]], t.Real.Values[real[1]]},
		} {
			y, x := at[0], at[1]
			k := turn / (2 * math.Pi) / (x*x + y*y)
			const between = 1.02 // the two loops read places that are close, but not the same
			w.bends[i][0] = math.Max(w.bends[i][0], between*math.Abs(x*k-a.dy))
			w.bends[i][1] = math.Max(w.bends[i][1], between*math.Abs(-y*k-a.dx))
			sign := float64(1 - 2*which)
			line += sign * (a.dy*y + a.dx*x)
			result += sign * math.Atan2(y, x) * turn / (2 * math.Pi)
		}
		bend := result - line
		w.bent[i] = math.Max(w.bent[i], math.Abs(bend))
		for k, v := range w.j.residue(a.residue) {
			next[k] += v * bend
		}
	}
	w.w = next
}

// see keeps the largest difference of each watched quantity.
func (w *watcher) see(t *simulate.Tick) {
	for i, q := range w.s.Scenario.Watch {
		off := math.Abs(t.Watched[simulate.Integer][i]-t.Watched[simulate.Reference][i]) / q.PerUnit
		w.run.Largest[i] = math.Max(w.run.Largest[i], off)
	}
}
