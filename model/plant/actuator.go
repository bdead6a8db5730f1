package plant

import (
	"math"
	"slices"

	"gainwright/model/fields"
	"gainwright/model/spec"
)

// Actuator turns an output of the controller into an input of the plant: limited, less the dead band, in whole
// steps of the duty, then in proportion to the supply.
type Actuator struct {
	Input  int    // of the model
	Output int    // of the controller
	From   string // its name
	path   string

	Full       float64 // output, in its unit, that gives the whole supply
	Gives      float64 // the whole supply, in the unit of the plant's input; unused on a battery
	OnBattery  bool
	DeadBand   float64 // output that only overcomes friction, taken off the rest
	Resolution float64 // smallest step of the output; 0: none
	Most       float64 // largest output; beyond it saturates
	Delay      float64 // seconds from the tick until the plant's input changes

	CurrentLimit float64 // amperes of each motor at which the driver holds its current; 0: none
}

const actuatorSample = "{from: drive, full: 1000 duty, gives: 7.4 V}"

// ActuatorNumbers are the numbers of an actuator. Unit own is that of the controller's output.
var ActuatorNumbers = []Param{
	{Key: "full", Unit: OwnUnit, Doc: "output that gives the whole supply"},
	{Key: "gives", Unit: "the plant's", Doc: "the whole supply, or battery"},
	{Key: "dead_band", Unit: OwnUnit, Doc: "output that only overcomes friction, taken off the rest"},
	{Key: "resolution", Unit: OwnUnit, Doc: "smallest step of the output"},
	{Key: "most", Unit: OwnUnit, Doc: "largest output; beyond it saturates"},
	{Key: "current_limit", Unit: "A", Doc: "current of each motor at which its driver lowers the voltage, so that it goes no higher",
		Typical: "1 A to 3 A for a small two-channel driver" + trade},
	{Key: "delay", Unit: "s", Doc: "from the tick until the plant's input changes"},
}

func (p *Plant) readActuators(m *fields.Map) {
	inputs := p.Model.Inputs()
	sample := "{" + portNames(inputs, false)[0] + ": " + actuatorSample + "}"
	m.Need("actuators", sample)
	all := m.Section("actuators", "the actuators", sample)
	if all == nil {
		return
	}
	all.Each(func(a spec.Arg) {
		input := p.Input(a.Key)
		if input < 0 || inputs[input].Load {
			all.Say(a.Pos, a.Key, "unknown-input", spec.Suggestion(a.Key, portNames(inputs, false)), "a %s has no input %q for an actuator", p.Kind.Name, a.Key)
			return
		}
		if at := all.Below("an actuator", a, actuatorSample); at != nil {
			p.Actuators = append(p.Actuators, p.readActuator(at, a.Key, input, inputs[input].Unit))
		}
	})
	slices.SortFunc(p.Actuators, func(a, b Actuator) int { return a.Input - b.Input })
}

func (p *Plant) readActuator(m *fields.Map, name string, input int, unit string) Actuator {
	a := Actuator{Input: input, Output: -1, path: "actuators." + name + "."}
	if from := m.Need("from", "drive"); from != nil {
		a.From = m.Text("from", "drive")
		a.Output = slices.Index(p.spec.OutputNames(), a.From)
	}
	if a.Output < 0 {
		if a.From != "" {
			m.Say(m.At("from"), "from", "unknown-output", spec.Suggestion(a.From, p.spec.OutputNames()), "the controller has no output %s", a.From)
		}
		return a
	}
	own := p.spec.Outputs[a.Output].Unit
	const big = 1e12
	if m.Need("full", "1000 "+own) != nil {
		p.number(m, a.path, "full", own, 1, tiny, big, ": the output that gives the whole supply")
	}
	if g := m.Need("gives", "7.4 "+unit+", or battery"); g != nil {
		if g.Value.Text == "battery" {
			a.OnBattery = true
			switch {
			case p.Battery == nil:
				m.Say(g.Value.Pos, "gives", "no-battery", "7.4 "+unit+", or a battery below plant", "the plant has no battery")
			case unit != "V":
				m.Say(g.Value.Pos, "gives", "no-voltage", "a number in "+unit, "the input %s is in %s, a battery gives V", name, unit)
			}
		} else {
			p.number(m, a.path, "gives", unit, 1, -big, big, "")
		}
	}
	full := p.Values[a.path+"full"]
	p.number(m, a.path, "dead_band", own, 0, 0, 0.9*full, ": less than what is full")
	p.number(m, a.path, "resolution", own, 0, 0, full, ": at most what is full")
	p.number(m, a.path, "most", own, full, tiny, full, ": at most what is full")
	if p.number(m, a.path, "current_limit", "A", 0, 0, 1e6, ""); m.Has("current_limit") {
		if d, ok := p.Model.(Driven); !ok || d.Motors(input) == 0 {
			m.Say(m.At("current_limit"), "current_limit", "no-motor", "a kind of plant with a motor, or no current_limit", "of a %s nothing is known about the current at %s", p.Kind.Name, name)
		}
	}
	p.checkDelay(m, p.number(m, a.path, "delay", "s", 0, 0, 1e6, "")+p.Values["dead_time"])
	m.Done()
	return a
}

func (a *Actuator) fill(v Values) {
	a.Full, a.Gives, a.DeadBand = v[a.path+"full"], v[a.path+"gives"], v[a.path+"dead_band"]
	a.Resolution, a.Most, a.Delay = v[a.path+"resolution"], v[a.path+"most"], v[a.path+"delay"]+v["dead_time"]
	a.CurrentLimit = v[a.path+"current_limit"]
}

// Share is the part of the supply that an output gives, in [-1, 1].
func (a *Actuator) Share(output float64) float64 {
	y := max(-a.Most, min(a.Most, output))
	if a.Resolution > 0 {
		y = math.Round(y/a.Resolution) * a.Resolution
	}
	switch {
	case y > a.DeadBand:
		y -= a.DeadBand
	case y < -a.DeadBand:
		y += a.DeadBand
	default:
		return 0
	}
	return y / a.Full
}
