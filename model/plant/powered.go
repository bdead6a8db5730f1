package plant

import "math"

// powered is a model with what drives it. Under shares that stand still its inputs follow from its state alone, at every moment: a
// battery sags as the motors draw, and a driver holds a current at its limit. Its state is the model's and, where there is a
// battery, the charge drawn from it.
type powered struct {
	model     Model
	driven    Driven    // nil: nothing is known to draw a current
	switching Switching // nil: the model is smooth
	battery   *Battery  // nil: the supply is stiff
	actuators []Actuator
	states    int // of the model
	modes     int // the last of them
	guards    int

	base     []float64 // the inputs that no actuator drives
	share    []float64 // of the supply, by actuator
	u        []float64
	limiting []float64 // by actuator: the sign of the current that the driver holds at its limit, 0: it does not
	volts    float64   // of the battery
	follows  bool      // the inputs hang on the state

	draws    []affineForm // by actuator: amperes at 0 V
	perVolt  []float64    // by actuator
	line     affineForm   // volts while no current is held at a limit, the battery is neither full, empty nor pulled down to nothing
	flow     affineForm   // amperes of the battery then
	drop     affineForm   // amperes of the battery at 0 V
	straight bool         // line holds
}

func newPowered(p *Plant, states int) *powered {
	w := &powered{model: p.Model, battery: p.Battery, actuators: p.Actuators, states: states, base: p.rest(), u: p.rest(),
		share: make([]float64, len(p.Actuators)), limiting: make([]float64, len(p.Actuators)), follows: p.Battery != nil}
	w.driven, _ = p.Model.(Driven)
	if w.switching, _ = p.Model.(Switching); w.switching != nil {
		w.modes = w.switching.Modes()
		w.guards = w.modes
	}
	for i := range p.Actuators {
		if p.Actuators[i].CurrentLimit > 0 {
			w.follows = true
			w.guards = w.modes + len(p.Actuators)
		}
	}
	if w.battery != nil {
		w.volts = w.battery.Voltage
	}
	if w.driven != nil && w.follows {
		w.readDraws()
	}
	return w
}

// order is the number of entries of the state.
func (p *powered) order() int {
	if p.battery != nil {
		return p.states + 1
	}
	return p.states
}

func (p *powered) rate(dx, x []float64) {
	amperes := 0.0
	if p.follows {
		amperes = p.inputs(x)
	}
	p.model.Flow(dx[:p.states], x[:p.states], p.u)
	if p.battery != nil {
		dx[p.states] = amperes
	}
}

// asked is the voltage, or whatever it is, that the share of an actuator stands for.
func (p *powered) asked(i int) float64 {
	if p.actuators[i].OnBattery {
		return p.share[i] * p.volts
	}
	return p.share[i] * p.actuators[i].Gives
}

// inputs brings the inputs in line with the state and returns the current that the battery gives.
func (p *powered) inputs(x []float64) (amperes float64) {
	if p.battery != nil {
		amperes = p.sag(x)
	}
	copy(p.u, p.base)
	for i := range p.actuators {
		a := &p.actuators[i]
		if p.limiting[i] == 0 {
			p.u[a.Input] = p.asked(i)
			continue
		}
		most := math.Abs(a.Gives)
		if a.OnBattery {
			most = p.volts
		}
		volts, _ := p.held(i, x)
		p.u[a.Input] = max(-most, min(most, volts))
	}
	return amperes
}

// still brings the inputs in line with a machine that is held still and draws nothing, and returns the battery's current.
func (p *powered) still(x []float64) (amperes float64) {
	if b := p.battery; b != nil {
		amperes = b.Load
		p.volts = max(0, b.Open(x[p.states])-b.Resistance*amperes)
	}
	copy(p.u, p.base)
	for i := range p.actuators {
		p.u[p.actuators[i].Input] = p.asked(i)
	}
	return amperes
}

// guard writes the guards of the model's modes and of the drivers' limits.
func (p *powered) guard(g, x []float64) {
	if p.follows {
		p.inputs(x)
	}
	if p.modes > 0 {
		p.switching.Guards(g[:p.modes], x[:p.states], p.u)
	}
	for i := range g[p.modes:] {
		g[p.modes+i] = p.room(i, x)
	}
}

// settle brings modes and limits in line with the state.
func (p *powered) settle(x []float64) {
	p.straighten()
	if p.follows {
		p.inputs(x)
	}
	if p.guards > p.modes {
		for range 2 { // what one driver takes moves the battery for the others
			for i := range p.actuators {
				p.limit(i, x)
			}
			p.straighten()
			p.inputs(x)
		}
	}
	if p.switching != nil {
		p.switching.Settle(x[:p.states], p.u)
		if p.follows {
			p.inputs(x)
		}
	}
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}
