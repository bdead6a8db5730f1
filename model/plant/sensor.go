package plant

import (
	"math"
	"slices"
	"strings"

	"gainwright/model/fields"
	"gainwright/model/si"
	"gainwright/model/spec"
)

// Sensor turns a quantity of the plant into an input of the controller, in raw counts.
type Sensor struct {
	Input    int    // of the controller
	Name     string // of that input
	Quantity int    // of the plant
	across   int    // the quantity at right angles to it
	sign     float64
	path     string

	factor, counts, offset float64 // SI to the input's unit; counts per unit; value at raw 0
	rawLo, rawHi           float64

	Noise     float64 // standard deviation, white from tick to tick; this and what follows in the input's unit
	Bias      float64
	Drift     float64 // change of the bias, per second
	BiasWalk  float64 // standard deviation of how far the bias walks by chance in one tick
	GainError float64 // share by which the reading is too large
	Lo, Hi    float64 // the reading saturates here
	Dropped   float64 // share of the ticks at which no sample comes and the last one stands
	Burst     float64 // mean number of ticks that such a loss lasts; 0: each tick is lost on its own
	Late      float64 // share of the ticks at which the sample before comes again
	Delay     float64 // age of the sample at the tick, seconds: filter of the sensor and the bus

	parts     [2]Part
	vibration float64 // per square of a motor's speed, in SI units
}

// Part is a quantity's share of what a sensor feels.
type Part struct {
	Quantity int
	Share    float64
}

// Parts are the quantities that the sensor feels: its own, and where it sits askew the one across.
func (s *Sensor) Parts() []Part {
	if s.parts[1].Share == 0 {
		return s.parts[:1]
	}
	return s.parts[:]
}

const sensorSample = "{of: pitch_rate, noise: 0.1 deg/s}"

func (p *Plant) readSensors(m *fields.Map) {
	m.Need("sensors", "{pitch_rate: "+sensorSample+"}")
	names := p.spec.InputNames()
	all := m.Section("sensors", "the sensors", "{pitch_rate: "+sensorSample+"}")
	if all == nil {
		return
	}
	all.Each(func(a spec.Arg) {
		i := slices.Index(names, a.Key)
		switch {
		case i < 0:
			all.Say(a.Pos, a.Key, "unknown-input", spec.Suggestion(a.Key, names), "the controller has no input %q", a.Key)
		case p.spec.Inputs[i].Raw == "bool":
			all.Say(a.Pos, a.Key, "switch-as-number", "set_points of the scenario for this input", "%s is a switch; a sensor reads a number", a.Key)
		default:
			if at := all.Below("a sensor", a, sensorSample); at != nil {
				p.readSensor(at, i)
			}
		}
	})
	slices.SortFunc(p.Sensors, func(a, b Sensor) int { return a.Input - b.Input })
}

func (p *Plant) readSensor(m *fields.Map, input int) {
	in := p.spec.Inputs[input]
	s := Sensor{Input: input, Name: in.Name, path: "sensors." + in.Name + "."}
	if m.Need("of", p.Model.Quantities()[0].Name) == nil {
		return
	}
	of := m.Text("of", p.Model.Quantities()[0].Name)
	if s.Quantity = p.Quantity(of); s.Quantity < 0 {
		if of != "" {
			m.Say(m.At("of"), "of", "unknown-quantity", spec.Suggestion(of, Names(p.Model.Quantities())), "%s has no quantity %s", p.Kind.Name, of)
		}
		return
	}
	unit := p.Model.Quantities()[s.Quantity].Unit
	perUnit, ok := si.Factor(in.Unit, unit)
	if !ok {
		m.Say(m.At("of"), "of", "wrong-unit", "a quantity that is measured in "+in.Unit, "%s is in %s, the input %s in %s", of, unit, in.Name, in.Unit)
		perUnit = 1
	}
	s.factor = 1 / perUnit
	s.counts, _ = in.CountsPerUnit.Float64()
	s.offset, _ = in.Offset.Float64()
	lo, hi := spec.RawRange(in.Raw)
	s.rawLo, s.rawHi = float64(lo), float64(hi)
	own := si.Difference(in.Unit)
	for _, q := range SensorNumbers {
		p.number(m, s.path, q.Key, strings.Replace(q.Unit, OwnUnit, own, 1), q.typicalDefault(), q.Low, q.High, why(q))
	}
	p.checkSensor(m, &s)
	s.Lo, s.Hi = math.Inf(-1), math.Inf(1)
	if m.Has("saturates") {
		if lo, hi, ok := m.Span("saturates", in.Unit); ok {
			s.Lo, s.Hi = lo, hi
		}
	}
	p.checkDelay(m, p.Values[s.path+"delay"])
	m.Done()
	p.Sensors = append(p.Sensors, s)
}

// maxDelayTicks is the longest delay in ticks: what is under way is kept.
const maxDelayTicks = 100_000

func (p *Plant) checkDelay(m *fields.Map, seconds float64) {
	if most := maxDelayTicks * p.period(); seconds > most {
		m.Say(m.At("delay"), "delay", "out-of-range", "a shorter delay or dead time", "a delay of %g s in all; expected at most %d ticks, %g s", seconds, maxDelayTicks, most)
	}
}

func (s *Sensor) fill(v Values, period float64) {
	s.Noise, s.Bias, s.Drift, s.GainError = v[s.path+"noise"], v[s.path+"bias"], v[s.path+"drift"], v[s.path+"gain_error"]
	s.Dropped, s.Burst, s.Late, s.Delay = v[s.path+"dropped"], v[s.path+"burst"], v[s.path+"late"], v[s.path+"delay"]
	s.BiasWalk = v[s.path+"bias_walk"] * math.Sqrt(period/v[s.path+"walk_time"])
	sin, cos := math.Sincos(v[s.path+"mounting_angle"])
	cross := v[s.path+"cross_axis"] // of the sensor's own axes, which are turned
	s.parts = [2]Part{{s.Quantity, cos - s.sign*cross*sin}, {s.across, s.sign*sin + cross*cos}}
	s.vibration = 0
	if at := v[s.path+"vibration_speed"]; at > 0 {
		s.vibration = v[s.path+"vibration"] / s.factor / (at * at)
	}
}

// feel is what the sensor feels of the quantities at x, in SI units. The unbalance of a motor shakes it once in each of its turns, with the
// square of the speed.
func (s *Sensor) feel(quantities []float64, m Model, x []float64) float64 {
	y := s.parts[0].Share * quantities[s.parts[0].Quantity]
	if p := s.parts[1]; p.Share != 0 {
		y += p.Share * quantities[p.Quantity]
	}
	if s.vibration != 0 {
		d := m.(Driven)
		for i := range d.Rotors() {
			angle, speed := d.Rotor(i, x)
			y += s.vibration * speed * speed * math.Sin(angle)
		}
	}
	return y
}

// Count is the raw count for what is felt, in SI units, at a time in seconds; gauss is a standard normal number, and walked is how far the bias has
// walked, in the input's unit.
func (s *Sensor) Count(felt, seconds, gauss, walked float64) int64 {
	y := felt*s.factor*(1+s.GainError) + s.Bias + s.Drift*seconds + walked + s.Noise*gauss
	y = max(s.Lo, min(s.Hi, y))
	c := math.Round((y - s.offset) * s.counts)
	return int64(max(s.rawLo, min(s.rawHi, c)))
}

// Slope is how many raw counts a change of what is felt by one SI unit makes, with its sign.
func (s *Sensor) Slope() float64 { return s.factor * (1 + s.GainError) * s.counts }

// Quieten takes the motors' vibration away.
func (s *Sensor) Quieten() { s.vibration = 0 }

// Shakes tells whether motors shake the sensor.
func (s *Sensor) Shakes() bool { return s.vibration != 0 }
