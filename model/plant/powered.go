package plant

import "math"

// powered is a model with what drives it. Under shares that stand still its inputs follow from its state alone, at every moment: a
// battery sags as the motors draw, and a driver holds a current at its limit. Its state is the model's and, where there is a
// battery, the charge drawn from it.
type powered struct {
	model     Model
	electric  Electric  // nil: nothing is known to draw a current
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

// affineForm is a number that follows from the state by a straight line.
type affineForm struct {
	rest   float64
	at     []int
	weight []float64
}

func (f *affineForm) of(x []float64) float64 {
	sum := f.rest
	for k, i := range f.at {
		sum += f.weight[k] * x[i]
	}
	return sum
}

func (f *affineForm) start(rest float64) { f.rest, f.at, f.weight = rest, f.at[:0], f.weight[:0] }

func (f *affineForm) add(i int, weight float64) {
	f.at, f.weight = append(f.at, i), append(f.weight, weight)
}

func newPowered(p *Plant, states int) *powered {
	w := &powered{model: p.Model, battery: p.Battery, actuators: p.Actuators, states: states, base: p.rest(), u: p.rest(),
		share: make([]float64, len(p.Actuators)), limiting: make([]float64, len(p.Actuators)), follows: p.Battery != nil}
	w.electric, _ = p.Model.(Electric)
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
	if w.electric != nil && w.follows {
		w.readDraws()
	}
	return w
}

// readDraws takes the straight lines by which currents follow from the state.
func (p *powered) readDraws() {
	p.draws, p.perVolt = make([]affineForm, len(p.actuators)), make([]float64, len(p.actuators))
	x := make([]float64, p.states)
	for i := range p.actuators {
		in := p.actuators[i].Input
		rest, per := p.electric.Draw(in, x)
		p.draws[i].rest, p.perVolt[i] = rest, per
		for j := range x[:p.states-p.modes] {
			x[j] = 1
			if v, _ := p.electric.Draw(in, x); v != rest {
				p.draws[i].add(j, v-rest)
			}
			x[j] = 0
		}
	}
}

// straighten takes the straight line by which the battery's voltage follows from the state under the present shares.
func (p *powered) straighten() {
	b := p.battery
	if b == nil {
		return
	}
	p.straight = true
	slope, drop := 0.0, &p.drop // amperes per volt, and at 0 V
	drop.start(b.Load)
	for i := range p.actuators {
		if a := &p.actuators[i]; a.OnBattery && p.electric != nil {
			s := p.share[i]
			p.straight = p.straight && p.limiting[i] == 0
			slope += s * s * p.perVolt[i]
			drop.rest += s * p.draws[i].rest
			for k, j := range p.draws[i].at {
				drop.add(j, s*p.draws[i].weight[k])
			}
		}
	}
	k := 1 / (1 + b.Resistance*slope)
	p.line.start((b.Voltage - b.Resistance*drop.rest) * k)
	for i, j := range drop.at {
		p.line.add(j, -b.Resistance*drop.weight[i]*k)
	}
	if b.Capacity > 0 {
		p.line.add(p.states, -(b.Voltage-b.Empty)/b.Capacity*k)
	}
	p.flow.start(drop.rest + slope*p.line.rest)
	for i, j := range p.line.at {
		w := slope * p.line.weight[i]
		if i < len(drop.weight) {
			w += drop.weight[i]
		}
		p.flow.add(j, w)
	}
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

// held is the voltage at which the current of an actuator stays at its limit, and that current.
func (p *powered) held(i int, x []float64) (volts, amperes float64) {
	a := &p.actuators[i]
	amperes = p.limiting[i] * a.CurrentLimit * p.electric.Motors(a.Input)
	idle, per := p.electric.Draw(a.Input, x)
	if per == 0 {
		return p.electric.Hold(a.Input, x), idle
	}
	return (amperes - idle) / per, amperes
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

// sag finds the battery's voltage: volts = open - resistance*amperes, where a motor takes its current for the share of the time that it is
// switched on, and a driver that holds a current takes the motor's power. It returns the amperes.
func (p *powered) sag(x []float64) float64 {
	b := p.battery
	if p.straight {
		drawn := x[p.states]
		p.volts = p.line.of(x)
		if p.volts > 0 && (b.Capacity == 0 || drawn >= 0 && drawn <= b.Capacity) {
			return p.flow.of(x)
		}
	}
	idle, slope, power := b.Load, 0.0, 0.0
	for i := range p.actuators {
		a := &p.actuators[i]
		switch {
		case !a.OnBattery || p.electric == nil:
		case p.limiting[i] != 0:
			volts, amperes := p.held(i, x)
			power += volts * amperes
		default:
			s := p.share[i]
			still, per := p.draws[i].of(x), p.perVolt[i]
			idle, slope = idle+s*still, slope+s*s*per
		}
	}
	// volts*(1 + resistance*slope) = rest - resistance*power/volts
	rest, k := b.Open(x[p.states])-b.Resistance*idle, 1+b.Resistance*slope
	p.volts = rest / k
	if power != 0 {
		p.volts = (rest + math.Sqrt(max(0, rest*rest-4*k*b.Resistance*power))) / (2 * k)
	}
	if p.volts <= 0 {
		p.volts = 0
		return idle
	}
	return idle + slope*p.volts + power/p.volts
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

// clear tells that a step is so far from all events that it need not be looked at.
func (p *powered) clear(x, next []float64, h float64) bool {
	return p.guards == p.modes && p.switching.Clear(x, next, h)
}

// room is how far a driver is from holding its limit, or while it holds it from letting go.
func (p *powered) room(i int, x []float64) float64 {
	a := &p.actuators[i]
	if a.CurrentLimit == 0 {
		return 1
	}
	if l := p.limiting[i]; l != 0 {
		volts, _ := p.held(i, x)
		return l * (p.asked(i) - volts)
	}
	return a.CurrentLimit - math.Abs(p.current(i, x))/p.electric.Motors(a.Input)
}

// current is what the motors of an actuator would take without a limit.
func (p *powered) current(i int, x []float64) float64 {
	idle, per := p.electric.Draw(p.actuators[i].Input, x)
	return idle + per*p.asked(i)
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

const atLimit = 1 - 1e-12

func (p *powered) limit(i int, x []float64) {
	a := &p.actuators[i]
	if a.CurrentLimit == 0 {
		return
	}
	p.limiting[i] = 0
	amperes := p.current(i, x)
	if math.Abs(amperes) < atLimit*a.CurrentLimit*p.electric.Motors(a.Input) {
		return
	}
	p.limiting[i] = sign(amperes)
	if p.room(i, x) <= 0 { // the current is on its way down
		p.limiting[i] = 0
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
