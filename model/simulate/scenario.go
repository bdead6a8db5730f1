// Package simulate runs a controller twice against the same machine: the float64 reference and
// the bit-exact integer program, side by side, with the same disturbances and the same noise, and
// measures how well each of them holds it.
//
// What happens is the section `scenario` of a spec; the machine is its section `plant`.
package simulate

import (
	"math"
	"slices"
	"strings"

	"gainwright/model/fields"
	"gainwright/model/finding"
	"gainwright/model/plant"
	"gainwright/model/spec"
)

// Scenario is what happens in a run. Times are in seconds, quantities in SI units.
type Scenario struct {
	Duration     float64
	Seed         uint64             // of the noise, unless another is asked for
	Start        map[string]float64 // quantities of the plant at the start
	HeldUntil    float64            // the machine is held still until then
	SetPoints    []SetPoint         // every controller input that no sensor fills
	Disturbances []Disturbance
	Faults       []Fault
	Watch        []Watch
	Fall         *Fall
	Vary         []Tolerance
}

// SetPoint is a controller input that the scenario commands.
type SetPoint struct {
	Input  int
	Name   string
	Switch bool // on or off
	Points []Point
	raw    func(value float64) int64
	pos    finding.Pos
}

// Point is a value from a time on. Ramp leads there in a straight line from the point before.
type Point struct {
	At, Value float64 // Value in the input's unit; switches 0 or 1
	Ramp      bool
}

// At is the value commanded at a time.
func (s *SetPoint) At(t float64) float64 {
	before := Point{}
	for _, p := range s.Points {
		if p.At > t {
			if p.Ramp {
				return before.Value + (p.Value-before.Value)*(t-before.At)/(p.At-before.At)
			}
			break
		}
		before = p
	}
	return before.Value
}

// command fills in the raw set-points at a time.
func (sc *Scenario) command(raw []int64, t float64) {
	for i := range raw {
		p := &sc.SetPoints[i]
		raw[i] = p.raw(p.At(t))
	}
}

// Disturbance is a load that acts for a while.
type Disturbance struct {
	At, For float64
	Load    int // input of the plant
	Name    string
	Value   float64
	About   string
}

// Fall is how far the machine may lean before it has fallen.
type Fall struct {
	Quantity int
	Name     string
	Beyond   float64
	Pos      finding.Pos
}

// What a run may cost: a spec is untrusted text.
const (
	maxTicks  = 5_000_000
	maxSteps  = 50_000_000 // of the integration
	maxEvents = 200
)

// ReadScenario decodes the section `scenario`. Without the section it returns nil and no finding.
func ReadScenario(s *spec.Spec, p *plant.Plant) (*Scenario, finding.List) {
	var found finding.List
	if s.Scenario == nil {
		return nil, nil
	}
	m := fields.New("a scenario", "scenario", s.Scenario.Pos, s.Scenario.Args, &found)
	if p == nil {
		if s.Plant == nil {
			m.Say(s.Scenario.Pos, "", "no-plant", "a section plant", "a scenario happens to a plant, and the spec describes none")
		}
		return nil, found
	}
	r := &reader{Map: m, spec: s, plant: p, out: &Scenario{Start: map[string]float64{}}, found: &found}
	r.readTimes()
	r.readStart()
	before := len(found)
	r.readSetPoints()
	r.readDisturbances()
	r.readFaults()
	r.cut = r.timed && !found[before:].Failed()
	r.readWatch()
	r.readFall()
	r.readVary()
	m.Done()
	r.checkCost()
	if found.Failed() {
		return nil, found
	}
	return r.out, found
}

// checkCost refuses what would take all day, or all memory.
func (r *reader) checkCost() {
	if !r.timed {
		return
	}
	hz, _ := r.spec.Rate.Float64()
	ticks := r.out.Duration * hz
	if steps := ticks * r.plant.StepsPerTick(); steps > maxSteps {
		r.Say(r.At("duration"), "duration", "too-long", "a shorter scenario, or a plant without its fastest part", "the scenario takes %.0f steps of the plant, at most %d are made", steps, maxSteps)
	}
	if kept := ticks * float64(len(r.out.Watch)); kept > maxTicks {
		r.Say(r.At("duration"), "duration", "too-long", "a shorter scenario, or fewer quantities", "%d quantities are watched for %.0f ticks; at most %d values are kept", len(r.out.Watch), ticks, maxTicks)
	}
}

// reader is one reading of a scenario.
type reader struct {
	*fields.Map
	spec  *spec.Spec
	plant *plant.Plant
	out   *Scenario
	timed bool // the duration is known
	cut   bool // and all that begins and ends stretches
	found *finding.List
}

func (r *reader) readTimes() {
	hz, _ := r.spec.Rate.Float64()
	r.out.Duration = maxTicks / hz // where it cannot be read, nothing lies outside it
	if r.Need("duration", "60 s") != nil {
		if d := r.Quantity("duration", "s", math.NaN()); !math.IsNaN(d) && r.Inside("duration", d, 2/hz, maxTicks/hz, "s", ": two ticks at least, five million at most") {
			r.out.Duration, r.timed = d, true
		}
	}
	seed := r.Quantity("seed", "", 1)
	if seed < 0 || seed != math.Trunc(seed) || seed > 1<<53 {
		r.Say(r.At("seed"), "seed", "out-of-range", "1", "expected a whole number from 0 to 2^53")
		seed = 1
	}
	r.out.Seed = uint64(seed)
	r.out.HeldUntil = r.Quantity("held_until", "s", 0)
	r.Inside("held_until", r.out.HeldUntil, 0, r.out.Duration, "s", ": not longer than the scenario")
	if r.timed && r.out.HeldUntil > r.out.Duration-leastRest/hz && r.out.HeldUntil <= r.out.Duration {
		r.Say(r.At("held_until"), "held_until", "tests-nothing", "a shorter time, or a longer scenario", "the machine is held until the end of the scenario, %.6g s: nothing is tested", r.out.Duration)
	}
}

// quantity looks up a quantity of the plant and reports what is none.
func (r *reader) quantity(m *fields.Map, a spec.Arg) (int, plant.Port, bool) {
	i := r.plant.Quantity(a.Key)
	if i < 0 {
		m.Say(a.Pos, a.Key, "unknown-quantity", spec.Suggestion(a.Key, plant.Names(r.plant.Model.Quantities())), "a %s has no quantity %q", r.plant.Kind.Name, a.Key)
		return 0, plant.Port{}, false
	}
	return i, r.plant.Model.Quantities()[i], true
}

func (r *reader) readStart() {
	const sample = "{pitch: 5 deg}"
	m := r.Section("start", "the start", sample)
	if m == nil {
		return
	}
	m.Each(func(a spec.Arg) {
		_, port, ok := r.quantity(m, a)
		if ok && !slices.Contains(r.plant.Model.Settable(), a.Key) {
			m.Say(a.Pos, a.Key, "follows-from-others", "one of "+strings.Join(r.plant.Model.Settable(), ", "), "%s follows from the other quantities and cannot be given", a.Key)
			return
		}
		if !ok {
			return
		}
		if x, ok := m.Measure(a.Value, a.Key, port.Unit); ok && m.Inside(a.Key, x, -1e9, 1e9, port.Unit, "") {
			r.out.Start[a.Key] = x
		}
	})
}
