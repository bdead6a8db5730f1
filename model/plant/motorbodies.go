package plant

// motorBodies are a motor and its load: the load's angle and, where there is play between them, how far the motor's own, behind the gear, is
// ahead of it. An inductance adds the current.
type motorBodies struct {
	*winding
	load, rotor     float64 // inertias behind the gear
	kt, ke, viscous float64 // behind the gear
	resistance      float64
	inductance      float64
	gear            float64
	play            bool
}

func newMotor(v Values, play bool) *motorBodies {
	n := v["gear"]
	m := &motorBodies{load: v["inertia"], rotor: n * n * v["rotor_inertia"], kt: n * v["torque_constant"], ke: n * v["emf_constant"], viscous: v["viscous_friction"],
		resistance: v["resistance"], inductance: v["inductance"], gear: n, play: play}
	m.winding = &winding{resistance: m.resistance, motors: 1, inductive: m.inductance > 0, current: func(x []float64) float64 { return x[2*m.coordinates()] },
		emf: func(_ int, x []float64) float64 { return m.ke * m.turning(x) }}
	return m
}

func (m *motorBodies) Inputs() []Port     { return motorIn }
func (m *motorBodies) Quantities() []Port { return motorOut }
func (m *motorBodies) Settable() []string { return []string{"angle", "speed"} }

func (m *motorBodies) coordinates() int {
	if m.play {
		return 2
	}
	return 1
}

func (m *motorBodies) others() int {
	if m.inductance > 0 {
		return 1
	}
	return 0
}

// turning is the motor's speed behind the gear.
func (m *motorBodies) turning(x []float64) float64 {
	if m.play {
		return x[2] + x[3]
	}
	return x[1]
}

func (m *motorBodies) amperes(x, u []float64) float64 {
	if m.inductance > 0 {
		return m.current(x)
	}
	return (u[0] - m.ke*m.turning(x)) / m.resistance
}

func (m *motorBodies) push(x, u []float64) (p pushed) {
	n := m.coordinates()
	torque := m.kt * m.amperes(x, u)
	p.mass[0][0] = m.load + m.rotor
	p.force[0] = torque - m.viscous*x[n] - u[1]
	if m.play {
		p.mass[0][1], p.mass[1][0], p.mass[1][1] = m.rotor, m.rotor, m.rotor
		p.force[1] = torque
	}
	return p
}

func (m *motorBodies) flow(dx, x, u []float64) {
	if m.inductance > 0 {
		dx[2*m.coordinates()] = (u[0] - m.resistance*m.current(x) - m.ke*m.turning(x)) / m.inductance
	}
}

func (m *motorBodies) start(of map[string]float64) []float64 {
	n := m.coordinates()
	x := make([]float64, 2*n+m.others())
	x[0], x[n] = of["angle"], of["speed"]
	return x
}

func (m *motorBodies) Observe(q, x, _, u []float64) {
	q[0], q[1], q[2] = x[0], x[m.coordinates()], m.amperes(x, u)
}

func (m *motorBodies) Rotors() int { return 1 }

func (m *motorBodies) Rotor(_ int, x []float64) (angle, speed float64) {
	angle = x[0]
	if m.play {
		angle += x[1]
	}
	return m.gear * angle, m.gear * m.turning(x)
}
