package plant

import "math"

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

// readDraws takes the straight lines by which currents follow from the state.
func (p *powered) readDraws() {
	p.draws, p.perVolt = make([]affineForm, len(p.actuators)), make([]float64, len(p.actuators))
	x := make([]float64, p.states)
	for i := range p.actuators {
		in := p.actuators[i].Input
		rest, per := p.driven.Draw(in, x)
		p.draws[i].rest, p.perVolt[i] = rest, per
		for j := range x[:p.states-p.modes] {
			x[j] = 1
			if v, _ := p.driven.Draw(in, x); v != rest {
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
		if a := &p.actuators[i]; a.OnBattery && p.driven != nil {
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
		case !a.OnBattery || p.driven == nil:
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
