package plant

import "gonum.org/v1/gonum/mat"

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
	},
	Build: func(v Values, _ any) Model { return newDifferential(v) },
}

// newDifferential has the state travel, speed, yaw, yaw rate. It is linear: the wheels do not slip.
func newDifferential(v Values) *Linear {
	r, half, n := v["wheel_radius"], v["track"]/2, v["gear"]
	turning := (v["wheel_inertia"] + n*n*v["rotor_inertia"]) / (r * r)
	mass, inertia := v["mass"]+2*turning, v["yaw_inertia"]+2*half*half*turning
	volt := n * v["torque_constant"] / v["motor_resistance"] / r // newtons of one wheel per volt
	back := volt * v["emf_constant"] * n / r                     // newtons of one wheel per m/s
	perAmp := n * v["emf_constant"] / r
	l := &Linear{
		A: mat.NewDense(4, 4, []float64{
			0, 1, 0, 0,
			0, -(2*back + v["rolling_friction"]) / mass, 0, 0,
			0, 0, 0, 1,
			0, 0, 0, -(2*back*half*half + v["turning_friction"]) / inertia}),
		B: mat.NewDense(4, 4, []float64{
			0, 0, 0, 0,
			volt / mass, volt / mass, 1 / mass, 0,
			0, 0, 0, 0,
			-volt * half / inertia, volt * half / inertia, 0, 1 / inertia}),
		C: mat.NewDense(4, 4, []float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}),
		D: mat.NewDense(4, 4, nil),
		In: []Port{
			{Name: "left_voltage", Unit: "V", Doc: "at the left motor, positive forward"},
			{Name: "right_voltage", Unit: "V", Doc: "at the right motor, positive forward"},
			{Name: "push", Unit: "N", Load: true, Doc: "on the cart, positive forward"},
			{Name: "twist", Unit: "N.m", Load: true, Doc: "on the cart, positive to the left"},
		},
		Out: []Port{
			{Name: "travel", Unit: "m", Doc: "along the way"},
			{Name: "speed", Unit: "m/s", Doc: "positive forward"},
			{Name: "yaw", Unit: "rad", Doc: "positive to the left, whole turns counted"},
			{Name: "yaw_rate", Unit: "rad/s", Doc: "positive to the left"},
		},
	}
	l.draw = func(i int, x, u []float64) float64 {
		side := -half
		if i == 1 {
			side = half
		}
		return (u[i] - perAmp*(x[1]+side*x[3])) / v["motor_resistance"]
	}
	return l
}
