package simulate

import (
	"maps"
	"math"
	"strings"

	"gainwright/model/plant"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// System is everything that a simulation needs. It is not changed by a run, so that runs may share it.
type System struct {
	Spec     *spec.Spec
	Asked    *program.Real // the reference: the controller as tuned
	Integer  *program.Fixed
	Plant    *plant.Plant
	Scenario *Scenario
	// Stable, where it is set, tells whether each of the two loops is stable as a linear system; the error, why that cannot be told.
	Stable func(*System) ([2]bool, error)
	rest   []float64 // inputs of the plant when nothing acts
}

// Order of the two loops everywhere.
const (
	Reference = iota
	Integer
)

// New returns the system, ready to run.
func New(s *spec.Spec, asked *program.Real, integer *program.Fixed, p *plant.Plant, sc *Scenario) *System {
	out := &System{Spec: s, Asked: asked, Integer: integer, Plant: p, Scenario: sc}
	for _, in := range p.Model.Inputs() {
		out.rest = append(out.rest, in.Rest)
	}
	return out
}

// corner tells whether a run is at a corner of its tolerances: every fourth is.
func (s *System) corner(seed uint64) bool { return seed%4 == 0 && len(s.Scenario.Vary) > 0 }

// Varied returns the system of one of many runs: each number with a tolerance is moved inside it, evenly distributed, or in every fourth run to
// one of its ends, as the seed decides. It tells what it chose.
func (s *System) Varied(seed uint64) (*System, plant.Values) {
	r := plant.Stream(seed, 0)
	chosen, moved := plant.Values{}, plant.Values{}
	sc := *s.Scenario
	sc.Start = maps.Clone(s.Scenario.Start)
	for _, v := range sc.Vary {
		by := v.Off * (2*r.Float64() - 1)
		if s.corner(seed) {
			by = math.Copysign(v.Off, by)
		}
		if name, ok := strings.CutPrefix(v.Path, "start."); ok {
			sc.Start[name] += by
			chosen[v.Path] = sc.Start[name]
			continue
		}
		moved[v.Path] = s.Plant.Values[v.Path] + by
		chosen[v.Path] = moved[v.Path]
	}
	varied := New(s.Spec, s.Asked, s.Integer, s.Plant.With(moved), &sc)
	varied.Stable = s.Stable
	return varied, chosen
}

// afterFall is how long a run goes on after both loops have fallen, in seconds: long enough to see the cut-off.
const afterFall = 2

// Run simulates both loops. A trace is kept where one is handed in.
func (s *System) Run(seed uint64, trace *Trace) *Outcome {
	return s.run([2]controller{newReal(s.Asked, s.Spec), inIntegers(program.NewFixedMachine(s.Integer), s.Integer, s.Spec)}, seed, trace)
}

func (s *System) run(c [2]controller, seed uint64, trace *Trace) *Outcome {
	if trace != nil {
		trace.begin(s, s.ticks())
	}
	loops := s.side(c, seed, func(k int, t float64, loops [2]*loop) bool {
		if trace != nil {
			trace.add(s, k, t, loops)
		}
		return true
	})
	hz, _ := s.Spec.Rate.Float64()
	return s.judge(loops, seed, 1/hz)
}

// ticks is how many a run has.
func (s *System) ticks() int {
	hz, _ := s.Spec.Rate.Float64()
	return int(math.Ceil(s.Scenario.Duration*hz)) + 1
}

// side runs two loops side by side and shows them after each tick, until that is enough or both are over.
func (s *System) side(c [2]controller, seed uint64, see func(k int, t float64, loops [2]*loop) (more bool)) [2]*loop {
	hz, _ := s.Spec.Rate.Float64()
	loops := [2]*loop{s.newLoop("reference", c[Reference], s.ticks()), s.newLoop("integer", c[Integer], s.ticks())}
	noise := s.Plant.NewNoise(seed)
	commands := make([]int64, len(s.Scenario.SetPoints))
	for k := range s.ticks() {
		t := float64(k) / hz
		s.Scenario.command(commands, t)
		c := noise.Next()
		over := 0
		for _, l := range loops {
			if l.lost || l.fell && t > l.fellAt+afterFall {
				over++
				continue
			}
			l.tick(s, t, c, commands)
		}
		if over == len(loops) || !see(k, t, loops) {
			break
		}
	}
	return loops
}

func (s *System) newLoop(name string, c controller, ticks int) *loop {
	p := s.Asked
	l := &loop{name: name, controller: c, rig: s.Plant.NewRig(s.Scenario.Start), raw: make([]int64, len(p.Inputs)), outputs: make([]float64, len(p.Outputs)),
		frozen: make([]float64, len(p.Outputs)), loads: make([]float64, len(s.rest)), first: -1, lowest: math.Inf(1)}
	for range s.Scenario.Watch {
		l.watched = append(l.watched, make([]float64, 0, ticks))
	}
	for i, o := range p.Outputs {
		least, most := o.Inside()
		lo, _ := least.Float64()
		hi, _ := most.Float64()
		l.effort = append(l.effort, effortSum{Effort: Effort{Name: s.Spec.Outputs[i].Name, Unit: s.Spec.Outputs[i].Unit}, lo: lo, hi: hi})
		for a := range s.Plant.Actuators {
			if act := &s.Plant.Actuators[a]; act.Output == i {
				l.effort[i].lo, l.effort[i].hi = max(lo, -act.Most), min(hi, act.Most)
			}
		}
	}
	for i, sec := range p.Sections {
		if sec.Role == program.Inputs {
			continue
		}
		if sec.Switched() != program.None {
			l.enables = append(l.enables, enableLog{section: i, name: sec.Name})
		}
		for j, sig := range sec.Signals {
			if p.Ops[sig.Value].Bool {
				l.changes = append(l.changes, switchLog{Switch: Switch{Name: sig.Name}, section: i, signal: j})
			}
		}
	}
	return l
}
