package plant

var differentialKind = &Kind{
	Name:   "differential_drive",
	Doc:    "A cart on two driven wheels seen from above: it turns by the difference of its wheels.",
	Source: "rigid body in the plane with two DC motors, Siegwart and Nourbakhsh, Introduction to Autonomous Mobile Robots, ch. 3 (kinematics); motors as dc_motor",
	Params: []Param{
		{Key: "mass", Unit: "kg", Sample: "1 kg", Doc: "of the whole cart", Low: 1e-4, High: 1e5},
		{Key: "yaw_inertia", Unit: "kg.m^2", Sample: "0.005 kg.m^2", Doc: "about the vertical axis", Low: tiny, High: 1e6},
		{Key: "track", Unit: "m", Sample: "160 mm", Doc: "from wheel to wheel", Low: 1e-3, High: 100},
		{Key: "wheel_radius", Unit: "m", Sample: "40 mm", Doc: "of each wheel", Low: 1e-3, High: 10},
		{Key: "wheel_inertia", Unit: "kg.m^2", Doc: "of each wheel", Low: 0, High: 1e4, Default: constant(0)},
		{Key: "gear", Doc: "turns of the motor for one of the wheel", Low: 0.01, High: 1e4, Default: constant(1)},
		{Key: "rotor_inertia", Unit: "kg.m^2", Doc: "of each motor, before the gear", Low: 0, High: 1e3, Default: constant(0)},
		{Key: "motor_resistance", Unit: "Ohm", Sample: "4 Ohm", Doc: "of each motor", Low: 1e-4, High: 1e5},
		{Key: "torque_constant", Unit: "N.m/A", Sample: "10 mN.m/A", Doc: "of each motor, before the gear", Low: 1e-7, High: 1e3},
		{Key: "emf_constant", Unit: "V.s", Doc: "back EMF of each motor per speed; default the torque constant", Low: 1e-7, High: 1e3,
			Default: func(v Values) float64 { return v["torque_constant"] }},
		{Key: "rolling_friction", Unit: "N.s/m", Doc: "viscous, against driving on", Low: 0, High: 1e4, Default: constant(0)},
		{Key: "turning_friction", Unit: "N.m.s", Doc: "viscous, against turning", Low: 0, High: 1e4, Default: constant(0)},
		{Key: "static_friction", Unit: "N.m", Doc: "torque that starts it from rest, of each wheel and its gear, at the wheel", Low: 0, High: 1e6, Default: constant(0),
			Typical: "2 % to 10 % of the stall torque behind a small gear: common practice, no source"},
		{Key: "sliding_friction", Unit: "N.m", Doc: "torque that it costs while moving; default the static one", Low: 0, High: 1e6,
			Default: func(v Values) float64 { return v["static_friction"] }},
		backlash("at the wheel"),
	},
	Check: checkBacklash,
	Build: func(v Values, _ any) Model { return newCart(v, play(v) > 0).joined(v, linear(newCart(v, false))) },
}

// cart is the bodies of a differential drive: its way and its yaw. The wheels do not slip.
type cart struct {
	mass, inertia  float64 // with the wheels, without the rotors
	rolling, twist float64
}

func newCart(v Values, play bool) *drivetrain {
	r, half := v["wheel_radius"], v["track"]/2
	wheel := v["wheel_inertia"] / (r * r)
	c := &cart{mass: v["mass"] + 2*wheel, inertia: v["yaw_inertia"] + 2*half*half*wheel, rolling: v["rolling_friction"], twist: v["turning_friction"]}
	return newDrivetrain(c, 2, v["motor_resistance"], 1, play, v, vector{1 / r, -half / r}, vector{1 / r, half / r})
}

func (c *cart) Inputs() []Port     { return differentialIn }
func (c *cart) Quantities() []Port { return differentialOut }
func (c *cart) Settable() []string { return []string{"travel", "speed", "yaw", "yaw_rate"} }

func (c *cart) push(p pushed, _, v, u []float64) pushed {
	p.mass[0][0] += c.mass
	p.mass[1][1] += c.inertia
	p.force[0] += u[2] - c.rolling*v[0]
	p.force[1] += u[3] - c.twist*v[1]
	return p
}

func (c *cart) place(of map[string]float64) (q, v vector) {
	return vector{of["travel"], of["yaw"]}, vector{of["speed"], of["yaw_rate"]}
}

func (c *cart) observe(out, q, v, _ []float64, _ float64) {
	out[0], out[1], out[2], out[3] = q[0], v[0], q[1], v[1]
}

var differentialIn = []Port{
	{Name: "left_voltage", Unit: "V", Doc: "at the left motor, positive forward"},
	{Name: "right_voltage", Unit: "V", Doc: "at the right motor, positive forward"},
	{Name: "push", Unit: "N", Load: true, Doc: "on the cart, positive forward"},
	{Name: "twist", Unit: "N.m", Load: true, Doc: "on the cart, positive to the left"},
}

var differentialOut = []Port{
	{Name: "travel", Unit: "m", Doc: "along the way"},
	{Name: "speed", Unit: "m/s", Doc: "positive forward"},
	{Name: "yaw", Unit: "rad", Doc: "positive to the left, whole turns counted"},
	{Name: "yaw_rate", Unit: "rad/s", Doc: "positive to the left", Axial: true},
}
