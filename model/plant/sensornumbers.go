package plant

import (
	"math"

	"gainwright/model/fields"
)

// OwnUnit stands for the unit of the controller's input.
const OwnUnit = "own"

const (
	big   = 1e12
	fromM = ": from memory"
	trade = ": common practice, no source"
)

// SensorNumbers are the numbers of a sensor, besides what it reads. Unit own is that of the controller's input.
var SensorNumbers = []Param{
	{Key: "noise", Unit: OwnUnit, Doc: "standard deviation, white from tick to tick", High: big},
	{Key: "bias", Unit: OwnUnit, Doc: "added to each reading", Low: -big, High: big, Typical: "up to 3 deg/s for a small gyroscope, 0.05 g for an accelerometer" + fromM},
	{Key: "drift", Unit: OwnUnit + "/s", Doc: "by which the bias grows", Low: -big, High: big},
	{Key: "bias_walk", Unit: OwnUnit, Doc: "standard deviation of how far the bias walks by chance in walk_time; grows with the root of the time", High: big,
		Typical: "0.05 deg/s in 100 s for a small gyroscope" + fromM + "; the Allan deviation is then bias_walk*sqrt(t/(3*walk_time)), IEEE Std 952-1997 annex C"},
	{Key: "walk_time", Unit: "s", Doc: "see bias_walk", Low: 1e-9, High: 1e9, Default: constant(1)},
	{Key: "gain_error", Doc: "share by which readings are too large", Low: -0.9, High: 10, Typical: "1 % to 3 %" + trade},
	{Key: "mounting_angle", Unit: "rad", Doc: "by which the sensor sits askew, positive nose up; of quantities along an axis of the body", Low: -math.Pi, High: math.Pi,
		Typical: "1 deg to 3 deg by hand" + trade},
	{Key: "cross_axis", Doc: "share of what happens along the axis at right angles that is read as well", Low: -1, High: 1, Typical: "2 % for a small sensor of motion" + fromM},
	{Key: "vibration", Unit: OwnUnit, Doc: "amplitude, at vibration_speed, with which each motor shakes the sensor once in a turn; grows with the square of the speed", High: big,
		Typical: "0.1 g to 1 g at full speed" + trade + "; the force m*e*w^2 of an unbalance: Den Hartog, Mechanical Vibrations, from memory"},
	{Key: "vibration_speed", Unit: "rad/s", Doc: "of the motor, before its gear; see vibration", High: 1e6},
	{Key: "dropped", Doc: "share of the ticks at which no sample comes and the last one stands", High: 1},
	{Key: "burst", Doc: "mean number of ticks that such a loss lasts; default: each tick is lost on its own", High: 1e9,
		Typical: "5 to 20 on a bus with a loose contact" + trade + "; a chain of two states: Gilbert, Bell System Technical Journal 39, 1960, from memory"},
	{Key: "late", Doc: "share of the ticks at which the sample before comes again", High: 1},
	{Key: "delay", Unit: "s", Doc: "age of the sample at the tick: filter of the sensor, and the bus", High: 1e6},
}

func (p Param) typicalDefault() float64 {
	if p.Default == nil {
		return 0
	}
	return p.Default(nil)
}

// why stands behind a number outside its limits.
func why(q Param) string {
	if q.High == 1 && q.Unit == "" {
		return ": a share"
	}
	return ""
}

// checkSensor says which numbers of a sensor do not go together.
func (p *Plant) checkSensor(m *fields.Map, s *Sensor) {
	port := p.Model.Quantities()[s.Quantity]
	s.across, s.sign = s.Quantity, 0
	if port.Across != "" {
		s.across, s.sign = p.Quantity(port.Across), port.Sign
	}
	if m.Has("mounting_angle") && !port.Axial {
		m.Say(m.At("mounting_angle"), "mounting_angle", "no-axis", "a quantity along an axis of the body, or no mounting_angle", "%s is read alike however the sensor sits", port.Name)
	}
	if m.Has("cross_axis") && port.Across == "" {
		m.Say(m.At("cross_axis"), "cross_axis", "no-axis", "a quantity with another at right angles, such as accel_forward, or no cross_axis", "of a %s nothing is known at right angles to %s", p.Kind.Name, port.Name)
	}
	if m.Has("vibration") {
		if d, ok := p.Model.(Driven); !ok || d.Rotors() == 0 {
			m.Say(m.At("vibration"), "vibration", "no-motor", "a kind of plant with a motor, or no vibration", "no motor of a %s is known that could shake anything", p.Kind.Name)
		} else if p.Values[s.path+"vibration_speed"] == 0 {
			m.Say(m.At("vibration"), "vibration", "missing-key", "vibration_speed: 600 rad/s", "vibration needs vibration_speed, the motor's speed at which it is that large")
		}
	}
	dropped, burst := p.Values[s.path+"dropped"], p.Values[s.path+"burst"]
	if m.Has("bias_walk") && !m.Has("walk_time") {
		m.Say(m.At("bias_walk"), "bias_walk", "missing-key", "walk_time: 100 s", "bias_walk needs walk_time, the time in which the bias walks that far")
	}
	switch {
	case !m.Has("burst"):
	case burst < 1:
		m.Say(m.At("burst"), "burst", "out-of-range", "5", "a loss lasts a tick at least, found %g", burst)
	case dropped == 0:
		m.Say(m.At("burst"), "burst", "missing-key", "dropped: 1 %", "burst needs dropped, the share of the ticks that are lost")
	case dropped > burst/(burst+1):
		m.Say(m.At("burst"), "burst", "out-of-range", "a longer burst, or less dropped", "with losses of %g ticks and a tick between them at least, at most %.3g can be dropped", burst, burst/(burst+1))
	}
}
