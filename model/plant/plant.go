// Package plant holds what a controller acts on: the dynamics of a machine with its actuators,
// its supply and its sensors, as the section `plant` of a spec describes them.
//
// A Kind knows the equations of one sort of machine; its numbers carry units and are checked. A
// Plant is one machine with all its numbers, a Rig is that machine in one run. All quantities
// are in SI units and in float64. Linear dynamics are stepped exactly, others by steps that watch
// their own error and stop where something sticks, breaks away, strikes or meets a limit.
package plant

import (
	"cmp"
	"maps"
	"math"
	"math/cmplx"
	"slices"
	"strings"

	"gainwright/model/fields"
	"gainwright/model/finding"
	"gainwright/model/spec"
)

// Plant is one machine as described.
type Plant struct {
	Kind      *Kind
	Model     Model
	Actuators []Actuator // in order of the model's inputs
	Sensors   []Sensor   // in order of the controller's inputs that are sensed
	Battery   *Battery   // nil: the supply is stiff
	Jitter    float64    // largest deviation of a tick from its time, in seconds

	Values Values                // every number, by its path
	Units  map[string]string     // the unit that each number counts in
	Limits map[string][2]float64 // what each number may be
	spec   *spec.Spec
	extra  any

	tolerance float64 // of a step of the integration, as a part of the largest value that a state had
	longest   float64 // step of the integration in seconds
}

// stepTolerance keeps trajectories within some 1e-6 of their largest values, where they are not unstable themselves.
const stepTolerance = 1e-8

// Read decodes the section `plant`. Without the section it returns nil and no finding.
func Read(s *spec.Spec) (*Plant, finding.List) {
	var found finding.List
	if s.Plant == nil {
		return nil, nil
	}
	p := &Plant{Values: Values{}, Units: map[string]string{}, Limits: map[string][2]float64{}, spec: s, tolerance: stepTolerance, longest: math.Inf(1)}
	m := fields.New("a plant", "plant", s.Plant.Pos, s.Plant.Args, &found)
	p.readKind(m)
	if p.Kind == nil {
		return nil, found
	}
	if p.Kind.Extra != nil {
		p.extra = p.Kind.Extra(m)
	}
	p.readParams(m)
	if p.Kind.Check != nil {
		p.Kind.Check(m, p.Values)
	}
	p.Model = p.Kind.Build(p.Values, p.extra)
	p.readBattery(m)
	p.readActuators(m)
	p.readSensors(m)
	p.readTiming(m)
	m.Done()
	if found.Failed() {
		return nil, found
	}
	p.build()
	return p, found
}

func (p *Plant) readKind(m *fields.Map) {
	a := m.Need("kind", Kinds()[0].Name)
	if a == nil {
		return
	}
	text := m.Text("kind", Kinds()[0].Name)
	var names []string
	for _, k := range Kinds() {
		if names = append(names, k.Name); k.Name == text {
			p.Kind = k
		}
	}
	if p.Kind == nil && text != "" {
		m.Say(a.Value.Pos, "kind", "unknown-kind", cmp.Or(spec.Nearest(text, names), names[0]), "%s is no kind of plant, expected one of %s", fields.Shown(a.Value), strings.Join(names, ", "))
	}
}

func (p *Plant) readTiming(m *fields.Map) {
	if t := m.Section("timing", "the timing", "{jitter: 50 us}"); t != nil {
		p.number(t, "timing.", "jitter", "s", 0, 0, 0.5*p.period(), ": half a tick at most")
		t.Done()
	}
}

// period is the time of one tick in seconds.
func (p *Plant) period() float64 {
	hz, _ := p.spec.Rate.Float64()
	return 1 / hz
}

// number reads one number of the plant and keeps it under its path.
func (p *Plant) number(m *fields.Map, prefix, key, unit string, fallback, lo, hi float64, why string) float64 {
	x := m.Quantity(key, unit, fallback)
	if m.Has(key) && !m.Inside(key, x, lo, hi, unit, why) {
		x = fallback
	}
	p.Values[prefix+key], p.Units[prefix+key], p.Limits[prefix+key] = x, unit, [2]float64{lo, hi}
	return x
}

// With returns the machine with other numbers, which are given by their paths.
func (p *Plant) With(other Values) *Plant {
	q := *p
	q.Values = maps.Clone(p.Values)
	maps.Copy(q.Values, other)
	q.build()
	return &q
}

// build makes everything from Values.
func (p *Plant) build() {
	p.Model = p.Kind.Build(p.Values, p.extra)
	p.Jitter = p.Values["timing.jitter"]
	p.Actuators = slices.Clone(p.Actuators)
	for i := range p.Actuators {
		p.Actuators[i].fill(p.Values)
	}
	p.Sensors = slices.Clone(p.Sensors)
	for i := range p.Sensors {
		p.Sensors[i].fill(p.Values, p.period())
	}
	if p.Battery != nil {
		b := *p.Battery
		b.fill(p.Values)
		p.Battery = &b
	}
}

// StepsPerTick is about how many steps of the integration a tick takes at most.
func (p *Plant) StepsPerTick() float64 {
	if p.exact() {
		return 1
	}
	const perRadian = 2
	turning, fast := 0.0, 0.0
	for _, pole := range p.Linear().Poles() {
		turning, fast = max(turning, math.Abs(imag(pole))), max(fast, cmplx.Abs(pole))
	}
	radians := perRadian * p.period()
	return max(1, math.Ceil(min(tooMany, radians*turning)+min(manySteps, radians*fast)))
}

// rest are the model's inputs when nothing acts.
func (p *Plant) rest() []float64 {
	in := p.Model.Inputs()
	u := make([]float64, len(in))
	for i := range in {
		u[i] = in[i].Rest
	}
	return u
}

// Loads names the inputs that the world acts on.
func (p *Plant) Loads() []string {
	return portNames(p.Model.Inputs(), true)
}

// Quantity finds a quantity of the plant by name, or -1.
func (p *Plant) Quantity(name string) int {
	return slices.Index(Names(p.Model.Quantities()), name)
}

// Input finds an input of the plant by name, or -1.
func (p *Plant) Input(name string) int {
	return slices.Index(Names(p.Model.Inputs()), name)
}

// Linear is the plant's dynamics at rest, without actuators and sensors. Dry friction counts as sliding, play as closed.
func (p *Plant) Linear() *Linear {
	m := smooth(p.Model)
	return Linearise(m, m.Start(nil), p.rest())
}

// Names are those of all ports.
func Names(ports []Port) []string {
	var out []string
	for _, q := range ports {
		out = append(out, q.Name)
	}
	return out
}

func portNames(ports []Port, load bool) []string {
	var out []string
	for _, q := range ports {
		if q.Load == load {
			out = append(out, q.Name)
		}
	}
	return out
}
