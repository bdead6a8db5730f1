package loop

import (
	"math"
	"slices"

	"gainwright/model/plant"
	"gainwright/model/simulate"
)

// The runs that stand beside a bound. Where a limit acts in the scenario as it is written, it is run smaller too: start, set-points and
// disturbances.
const (
	Quiet     = "at rest" // noise alone: no start, no disturbance, set-points of 0
	AsWritten = "as written"
	Quarter   = "at 1/4"
	Sixteenth = "at 1/16"
)

var sizes = map[string]float64{Quiet: 0, AsWritten: 1, Quarter: 0.25, Sixteenth: 0.0625}

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
		a.Gives, a.OnBattery, a.CurrentLimit = supply(s.Plant, *a), false, 0
	}
	for i := range p.Sensors {
		t := &p.Sensors[i]
		t.Dropped, t.Late, t.Lo, t.Hi = 0, 0, math.Inf(-1), math.Inf(1)
		t.Quieten()
	}
	return &p
}

// scenario is what happens in a run: nothing that is no input of the linear plant.
func (s *System) scenario(kind string, l *plant.Linear) *simulate.Scenario {
	sc := *s.Scenario
	sc.Faults, sc.Fall, sc.Vary = nil, nil, nil
	sc.Disturbances, sc.Start, sc.SetPoints = nil, map[string]float64{}, slices.Clone(sc.SetPoints)
	size := sizes[kind]
	for _, d := range s.Scenario.Disturbances {
		if d.Value *= size; size > 0 && l.In[d.Load].Rest == 0 {
			sc.Disturbances = append(sc.Disturbances, d)
		}
	}
	for name, x := range s.Scenario.Start {
		rest := 0.0
		if l.Rest != nil {
			rest = l.Rest[s.Plant.Quantity(name)]
		}
		if size > 0 {
			sc.Start[name] = rest + size*(x-rest)
		}
	}
	last := sc.HeldUntil
	for i := range sc.SetPoints {
		p := &sc.SetPoints[i]
		if s.Asked.Inputs[p.Input].IsSwitch {
			last = math.Max(last, p.Points[len(p.Points)-1].At)
			continue
		}
		p.Points = slices.Clone(p.Points)
		for j := range p.Points {
			p.Points[j].Value *= size
		}
	}
	if size > 0 {
		return &sc
	}
	hz, _ := s.Spec.Rate.Float64()
	sc.Duration = math.Min(sc.Duration, last+20_000/hz)
	return &sc
}
