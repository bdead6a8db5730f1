package plant

import "math"

// held is the voltage at which the current of an actuator stays at its limit, and that current.
func (p *powered) held(i int, x []float64) (volts, amperes float64) {
	a := &p.actuators[i]
	amperes = p.limiting[i] * a.CurrentLimit * p.driven.Motors(a.Input)
	idle, per := p.driven.Draw(a.Input, x)
	if per == 0 {
		return p.driven.Hold(a.Input, x), idle
	}
	return (amperes - idle) / per, amperes
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
	return a.CurrentLimit - math.Abs(p.current(i, x))/p.driven.Motors(a.Input)
}

// current is what the motors of an actuator would take without a limit.
func (p *powered) current(i int, x []float64) float64 {
	idle, per := p.driven.Draw(p.actuators[i].Input, x)
	return idle + per*p.asked(i)
}

const atLimit = 1 - 1e-12

func (p *powered) limit(i int, x []float64) {
	a := &p.actuators[i]
	if a.CurrentLimit == 0 {
		return
	}
	p.limiting[i] = 0
	amperes := p.current(i, x)
	if math.Abs(amperes) < atLimit*a.CurrentLimit*p.driven.Motors(a.Input) {
		return
	}
	p.limiting[i] = sign(amperes)
	if p.room(i, x) <= 0 { // the current is on its way down
		p.limiting[i] = 0
	}
}
