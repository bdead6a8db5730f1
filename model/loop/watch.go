package loop

import (
	"maps"
	"math"
	"slices"

	"gainwright/model/plant"
	"gainwright/model/program"
	"gainwright/model/simulate"
)

// The runs that stand beside a bound.
const (
	Quiet     = "at rest"    // noise alone: no start, no disturbance, set-points of 0
	AsWritten = "as written" // the whole scenario
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
}

// watcher follows both loops and sees what acts on their difference besides the linear loop.
type watcher struct {
	run    Run
	c      *controller
	s      *System
	states []program.ID // reader of each state
	scales []float64    // of each operation of the integer program
	start  []float64    // difference of the controllers' states at From
	bends  [][2]float64 // of each arctangent
	parted bool         // the outputs have been different: the plants are
}

func (s *System) watch(kind string, c *controller, m *materials) *watcher {
	w := &watcher{c: c, s: s, run: Run{Kind: kind, Seed: s.Scenario.Seed, Largest: make([]float64, len(s.Scenario.Watch))}, bends: make([][2]float64, len(c.angles)),
		states: make([]program.ID, len(c.p.States)), start: make([]float64, len(c.states))}
	for i := range c.p.Ops {
		w.scales = append(w.scales, unit(c.p.Ops[i].LSB, c.p.Ops[i].LSB == nil))
		if c.p.Ops[i].Kind == program.State {
			w.states[c.p.Ops[i].Index] = program.ID(i)
		}
	}
	sc := s.scenario(kind, m.linear)
	w.run.Seconds, w.run.Speaks = sc.Duration, true
	from := 0
	var period float64
	simulate.New(s.Spec, s.Stored, s.Integer, s.twin(m.linear), sc).Follow(sc.Seed, func(t *simulate.Tick) bool {
		if t.Number == 1 {
			period = t.Time
		}
		if from == t.Number {
			w.begin(t)
		}
		for i := range t.Outputs[0] {
			w.parted = w.parted || t.Outputs[0][i] != t.Outputs[1][i]
		}
		if by := w.acts(t); by != "" {
			w.run.ActedBy = by
			w.run.Acted++
			from = t.Number + 1
			w.run.Speaks = !w.parted // where the plants are still the same, the bound can start anew behind it
			clear(w.bends)
		} else {
			w.measure(t)
		}
		w.see(t)
		return true
	})
	w.run.From = float64(from) * period
	return w
}

// twin is the plant that the linear view is of, for a run.
func (s *System) twin(l *plant.Linear) *plant.Plant {
	p := *s.Plant
	model := *l
	model.In = slices.Clone(l.In)
	for i := range model.In {
		model.In[i].Rest = 0 // its inputs count from those at rest
	}
	p.Model, p.Battery, p.Jitter = &model, nil, 0
	p.Actuators, p.Sensors = slices.Clone(p.Actuators), slices.Clone(p.Sensors)
	for i := range p.Actuators {
		a := &p.Actuators[i]
		a.Gives, a.OnBattery = supply(s.Plant, *a), false
	}
	for i := range p.Sensors {
		t := &p.Sensors[i]
		t.Dropped, t.Late, t.Lo, t.Hi = 0, 0, math.Inf(-1), math.Inf(1)
	}
	return &p
}

// scenario is what happens in a run: nothing that is no input of the linear plant.
func (s *System) scenario(kind string, l *plant.Linear) *simulate.Scenario {
	sc := *s.Scenario
	sc.Faults, sc.Fall, sc.Vary = nil, nil, nil
	sc.Disturbances = nil
	if kind == AsWritten {
		for _, d := range s.Scenario.Disturbances {
			if l.In[d.Load].Rest == 0 {
				sc.Disturbances = append(sc.Disturbances, d)
			}
		}
		sc.Start = maps.Clone(s.Scenario.Start)
		return &sc
	}
	hz, _ := s.Spec.Rate.Float64()
	sc.Start = map[string]float64{}
	last := sc.HeldUntil
	sc.SetPoints = slices.Clone(sc.SetPoints)
	for i := range sc.SetPoints {
		p := &sc.SetPoints[i]
		if s.Asked.Inputs[p.Input].IsSwitch {
			last = math.Max(last, p.Points[len(p.Points)-1].At)
			continue
		}
		p.Points = []simulate.Point{{}}
	}
	sc.Duration = math.Min(sc.Duration, last+20_000/hz)
	return &sc
}

// apart is the difference of a value of the two programs.
func (w *watcher) apart(t *simulate.Tick, id program.ID) float64 {
	return float64(t.Whole.Values[id])*w.scales[id] - t.Real.Values[w.c.p.Ops[id].Real]
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
	p := w.c.p
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
			if p.Sections[op.Section].Kind == "output" {
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
		size := math.Abs(t.Real.Values[op.Real]) + math.Abs(t.Real.Values[p.Ops[through].Real]) + w.scales[i]
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
		scale := unit(s.LSB, s.LSB == nil)
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

// measure sees how far the arctangents are read from where they are at rest.
func (w *watcher) measure(t *simulate.Tick) {
	for i, a := range w.c.angles {
		op := &w.c.p.Ops[a.op]
		turn, _ := program.Turn(op.Unit).Float64()
		real := w.s.Stored.Ops[op.Real].Args
		for _, at := range [2][2]float64{
			{float64(t.Whole.Values[op.Args[0]]) * w.scales[op.Args[0]], float64(t.Whole.Values[op.Args[1]]) * w.scales[op.Args[1]]},
			{t.Real.Values[real[0]], t.Real.Values[real[1]]},
		} {
			y, x := at[0], at[1]
			k := turn / (2 * math.Pi) / (x*x + y*y)
			const between = 1.02 // the two loops read places that are close, but not the same
			w.bends[i][0] = math.Max(w.bends[i][0], between*math.Abs(x*k-a.dy))
			w.bends[i][1] = math.Max(w.bends[i][1], between*math.Abs(-y*k-a.dx))
		}
	}
}

// see keeps the largest difference of each watched quantity.
func (w *watcher) see(t *simulate.Tick) {
	for i, q := range w.s.Scenario.Watch {
		off := math.Abs(t.Quantities[simulate.Integer][q.Quantity]-t.Quantities[simulate.Reference][q.Quantity]) / q.PerUnit
		w.run.Largest[i] = math.Max(w.run.Largest[i], off)
	}
}
