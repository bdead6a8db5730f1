package plant

import (
	"math"
	"slices"

	"gainwright/model/fields"
	"gainwright/model/si"
	"gainwright/model/spec"
)

// Sensor turns a quantity of the plant into an input of the controller, in raw counts.
type Sensor struct {
	Input    int    // of the controller
	Name     string // of that input
	Quantity int    // of the plant
	path     string

	factor, counts, offset float64 // SI to the input's unit; counts per unit; value at raw 0
	rawLo, rawHi           float64

	Noise     float64 // standard deviation, white from tick to tick; this and what follows in the input's unit
	Bias      float64
	Drift     float64 // change of the bias, per second
	GainError float64 // share by which the reading is too large
	Lo, Hi    float64 // the reading saturates here
	Dropped   float64 // share of the ticks at which no sample comes and the last one stands
	Late      float64 // share of the ticks at which the sample before comes again
	Delay     float64 // age of the sample at the tick, seconds: filter of the sensor and the bus
}

const sensorSample = "{of: pitch_rate, noise: 0.1 deg/s}"

func (p *Plant) readSensors(m *fields.Map) {
	if m.Need("sensors", "{pitch_rate: "+sensorSample+"}") == nil {
		return
	}
	var names []string
	for _, in := range p.spec.Inputs {
		names = append(names, in.Name)
	}
	all := m.Below("the sensors", *m.Arg("sensors"), "{pitch_rate: "+sensorSample+"}")
	if all == nil {
		return
	}
	all.Each(func(a spec.Arg) {
		i := slices.Index(names, a.Key)
		switch {
		case i < 0:
			all.Say(a.Pos, a.Key, "unknown-input", near(a.Key, names), "the controller has no input %q", a.Key)
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
			m.Say(m.At("of"), "of", "unknown-quantity", near(of, portNames(p.Model.Quantities(), false)), "%s has no quantity %s", p.Kind.Name, of)
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
	const big = 1e12
	p.number(m, s.path, "noise", own, 0, 0, big, "")
	p.number(m, s.path, "bias", own, 0, -big, big, "")
	p.number(m, s.path, "drift", own+"/s", 0, -big, big, "")
	p.number(m, s.path, "gain_error", "", 0, -0.9, 10, "")
	p.number(m, s.path, "dropped", "", 0, 0, 1, ": a share")
	p.number(m, s.path, "late", "", 0, 0, 1, ": a share")
	p.number(m, s.path, "delay", "s", 0, 0, 1e6, "")
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

func (s *Sensor) fill(v Values) {
	s.Noise, s.Bias, s.Drift, s.GainError = v[s.path+"noise"], v[s.path+"bias"], v[s.path+"drift"], v[s.path+"gain_error"]
	s.Dropped, s.Late, s.Delay = v[s.path+"dropped"], v[s.path+"late"], v[s.path+"delay"]
}

// Count is the raw count for a quantity in SI units at a time in seconds; gauss is a standard normal number.
func (s *Sensor) Count(quantity, seconds, gauss float64) int64 {
	y := quantity*s.factor*(1+s.GainError) + s.Bias + s.Drift*seconds + s.Noise*gauss
	y = max(s.Lo, min(s.Hi, y))
	c := math.Round((y - s.offset) * s.counts)
	return int64(max(s.rawLo, min(s.rawHi, c)))
}

// Slope is how many raw counts a change of the quantity by one SI unit makes, with its sign.
func (s *Sensor) Slope() float64 { return s.factor * (1 + s.GainError) * s.counts }
