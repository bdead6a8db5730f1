package plant

import "math"

// frame is the bodies of a machine without its motors and what rubs and strikes: coordinates q, their velocities v and inputs u, the first of which are the voltages.
type frame interface {
	Inputs() []Port
	Quantities() []Port
	Settable() []string
	// push adds the mass matrix and the generalised forces.
	push(p pushed, q, v, u []float64) pushed
	// place is where the bodies are at the start, and how they move.
	place(of map[string]float64) (q, v vector)
	// observe writes the quantities. a is the accelerations, amperes the current of the first motor.
	observe(out, q, v, a []float64, amperes float64)
}

// drivetrain is a frame with its motors, each behind a gear. Its state is coordinates, then velocities, then the current where there is an inductance.
// Where the gears have play the angle by which each motor, behind its gear, is ahead of what it drives is a coordinate too, behind those of the frame.
type drivetrain struct {
	frame
	own        int      // coordinates of the frame
	along      []vector // of the motors at each input: how their angle behind the gear follows from those
	motors     float64  // at each input, in parallel
	gear       float64
	kt, ke     float64 // of each motor, behind the gear: torque per ampere, volts per speed
	pull, drag float64 // of each without an inductance, behind the gear: torque per volt, per speed by the back EMF
	rotors     matrix  // their part of the mass matrix
	resistance float64 // of each motor
	inductance float64 // of each; 0: the current follows at once
	play       bool
}

func newDrivetrain(f frame, own int, resistance, motors float64, play bool, v Values, along ...vector) *drivetrain {
	n := v["gear"]
	g := &drivetrain{frame: f, own: own, along: along, motors: motors, gear: n, kt: n * v["torque_constant"], ke: n * v["emf_constant"], pull: n * v["torque_constant"] / resistance,
		drag: n * n * v["torque_constant"] * v["emf_constant"] / resistance, resistance: resistance, inductance: v["inductance"], play: play}
	rotor := motors * n * n * v["rotor_inertia"] // at an input, behind the gear
	for i, w := range along {
		if play {
			w[own+i] = 1
		}
		for a := range g.coordinates() {
			for b := range g.coordinates() {
				g.rotors[a][b] += rotor * w[a] * w[b]
			}
		}
	}
	return g
}

func (g *drivetrain) coordinates() int {
	if g.play {
		return g.own + len(g.along)
	}
	return g.own
}

// turning is the angle of the motors at input i, or their speed, behind the gear, from all coordinates or velocities.
func (g *drivetrain) turning(i int, all []float64) float64 {
	sum := 0.0
	for k, a := range g.along[i][:g.own] {
		sum += a * all[k]
	}
	if g.play {
		sum += all[g.own+i]
	}
	return sum
}

func (g *drivetrain) emf(i int, x []float64) float64 { return g.ke * g.turning(i, x[g.coordinates():]) }

// amperes is the current in each motor at input i.
func (g *drivetrain) amperes(i int, x []float64, volts float64) float64 {
	if g.inductance > 0 {
		return x[2*g.coordinates()]
	}
	return (volts - g.emf(i, x)) / g.resistance
}

// torque is that of the motors at input i, behind the gear.
func (g *drivetrain) torque(i int, x []float64, volts float64) float64 {
	if g.inductance > 0 {
		return g.motors * g.kt * g.amperes(i, x, volts)
	}
	return g.motors * (g.pull*volts - g.drag*g.turning(i, x[g.coordinates():]))
}

// push is the mass matrix and the generalised forces at x under u.
func (g *drivetrain) push(x, u []float64) pushed {
	p := pushed{mass: g.rotors}
	for i := range g.along {
		torque := g.torque(i, x, u[i])
		for a, k := range g.along[i][:g.own] {
			p.force[a] += torque * k
		}
		if g.play {
			p.force[g.own+i] = torque
		}
	}
	n := g.coordinates()
	return g.frame.push(p, x[:g.own], x[n:n+g.own], u)
}

// flow writes the rate of the current.
func (g *drivetrain) flow(dx, x, u []float64) {
	if g.inductance > 0 {
		dx[2*g.coordinates()] = (u[0] - g.Hold(0, x)) / g.inductance
	}
}

func (g *drivetrain) start(of map[string]float64) []float64 {
	n, others := g.coordinates(), 0
	if g.inductance > 0 {
		others = 1
	}
	x := make([]float64, 2*n+others)
	q, v := g.place(of)
	copy(x, q[:g.own])
	copy(x[n:], v[:g.own])
	return x
}

func (g *drivetrain) Observe(out, x, dx, u []float64) {
	n := g.coordinates()
	g.observe(out, x[:g.own], x[n:n+g.own], dx[n:n+g.own], g.amperes(0, x, u[0]))
}

func (g *drivetrain) Draw(i int, x []float64) (idle, perVolt float64) {
	if g.inductance > 0 {
		return g.amperes(i, x, 0), 0
	}
	return g.motors * g.amperes(i, x, 0), g.motors / g.resistance
}

func (g *drivetrain) Hold(i int, x []float64) float64 {
	return g.resistance*g.amperes(i, x, 0) + g.emf(i, x)
}

func (g *drivetrain) Motors(int) float64 { return g.motors }

func (g *drivetrain) Rotors() int { return len(g.along) }

func (g *drivetrain) Rotor(i int, x []float64) (angle, speed float64) {
	return g.gear * g.turning(i, x), g.gear * g.turning(i, x[g.coordinates():])
}

// playing is a mechanism with the same machine beside it as it is without dry friction, with its play closed.
type playing struct {
	*mechanism
	smooth Model
}

// smooth is the model without dry friction, its play closed.
func smooth(m Model) Model {
	if p, ok := m.(*playing); ok {
		return p.smooth
	}
	return m
}

// joined is a machine with its stops, the dry friction of its gears and their play; where there is nothing of that it is the smooth one.
func (g *drivetrain) joined(v Values, smooth Model, stops ...joint) Model {
	joints := stops
	static, sliding := g.motors*v["static_friction"], g.motors*v["sliding_friction"]
	for i := range g.along {
		if static > 0 || sliding > 0 {
			joints = append(joints, joint{along: g.along[i], static: math.Max(static, sliding), sliding: sliding})
		}
	}
	for i := g.own; i < g.coordinates(); i++ {
		j := joint{at: i, width: v["backlash"] / 2}
		j.along[i] = 1
		joints = append(joints, j)
	}
	if len(joints) == 0 {
		return smooth
	}
	return &playing{newMechanism(g, joints), smooth}
}
