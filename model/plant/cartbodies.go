package plant

// cart is the bodies of a differential drive: its way and its yaw and, where there is play between wheels and motors, the angle by which the left and the
// right motor, behind the gear, are ahead of their wheels. The wheels do not slip.
type cart struct {
	*winding
	mass, inertia  float64 // with the wheels, without the rotors
	rotor          float64 // of each motor, behind the gear
	alpha, beta    float64 // of each motor behind the gear: torque per volt, per speed
	kb, rm         float64
	radius, half   float64
	rolling, twist float64
	gear           float64
	play           bool
}

func newCart(v Values, play bool) *cart {
	r, n := v["wheel_radius"], v["gear"]
	c := &cart{radius: r, half: v["track"] / 2, rotor: n * n * v["rotor_inertia"], rolling: v["rolling_friction"], twist: v["turning_friction"],
		rm: v["motor_resistance"], kb: n * v["emf_constant"], gear: n, play: play}
	wheel := v["wheel_inertia"] / (r * r)
	c.mass, c.inertia = v["mass"]+2*wheel, v["yaw_inertia"]+2*c.half*c.half*wheel
	c.alpha = n * v["torque_constant"] / c.rm
	c.beta = c.alpha * c.kb
	c.winding = &winding{resistance: c.rm, motors: 1, emf: func(i int, x []float64) float64 { return c.kb * c.turning(i, x) }}
	return c
}

// playingCart is a cart with what rubs and strikes.
func playingCart(v Values) *mechanism {
	c := newCart(v, play(v) > 0)
	var joints []joint
	for i := range 2 {
		joints = append(joints, dry(v, "static_friction", "sliding_friction", vector{1 / c.radius, side(i, c.half) / c.radius}))
	}
	if c.play {
		for i := range 2 {
			j := joint{at: 2 + i, width: v["backlash"] / 2}
			j.along[2+i] = 1
			joints = append(joints, j)
		}
	}
	return newMechanism(c, joints)
}

func (c *cart) Inputs() []Port         { return differentialIn }
func (c *cart) Quantities() []Port     { return differentialOut }
func (c *cart) Settable() []string     { return []string{"travel", "speed", "yaw", "yaw_rate"} }
func (c *cart) others() int            { return 0 }
func (c *cart) flow(_, _, _ []float64) {}

func (c *cart) coordinates() int {
	if c.play {
		return 4
	}
	return 2
}

// turning is the speed of motor i behind the gear.
func (c *cart) turning(i int, x []float64) float64 {
	n := c.coordinates()
	w := (x[n] + side(i, c.half)*x[n+1]) / c.radius
	if c.play {
		w += x[n+2+i]
	}
	return w
}

func (c *cart) push(x, u []float64) (p pushed) {
	n := c.coordinates()
	p.mass[0][0], p.mass[1][1] = c.mass, c.inertia
	p.force[0], p.force[1] = u[2]-c.rolling*x[n], u[3]-c.twist*x[n+1]
	for i := range 2 {
		ahead, turn := 1/c.radius, side(i, c.half)/c.radius // of the wheel's angle, by way and by yaw
		torque := c.alpha*u[i] - c.beta*c.turning(i, x)
		p.force[0] += torque * ahead
		p.force[1] += torque * turn
		p.mass[0][0] += c.rotor * ahead * ahead
		p.mass[1][1] += c.rotor * turn * turn
		p.mass[0][1] += c.rotor * ahead * turn
		p.mass[1][0] += c.rotor * ahead * turn
		if c.play {
			p.force[2+i] = torque
			p.mass[2+i][2+i] = c.rotor
			p.mass[0][2+i], p.mass[2+i][0] = c.rotor*ahead, c.rotor*ahead
			p.mass[1][2+i], p.mass[2+i][1] = c.rotor*turn, c.rotor*turn
		}
	}
	return p
}

func (c *cart) start(of map[string]float64) []float64 {
	n := c.coordinates()
	x := make([]float64, 2*n)
	x[0], x[1], x[n], x[n+1] = of["travel"], of["yaw"], of["speed"], of["yaw_rate"]
	return x
}

func (c *cart) Observe(q, x, _, _ []float64) {
	n := c.coordinates()
	q[0], q[1], q[2], q[3] = x[0], x[n], x[1], x[n+1]
}

func (c *cart) Rotors() int { return 2 }

func (c *cart) Rotor(i int, x []float64) (angle, speed float64) {
	angle = (x[0] + side(i, c.half)*x[1]) / c.radius
	if c.play {
		angle += x[2+i]
	}
	return c.gear * angle, c.gear * c.turning(i, x)
}
