package plant

import (
	"math"

	"gainwright/model/fields"
	"gainwright/model/si"
)

var pendulumKind = &Kind{
	Name: "two_wheel_pendulum",
	Doc:  "Two-wheeled inverted pendulum: a body on one axle, each wheel driven by a DC motor with a gear.",
	Source: "equations of motion by Lagrange as in Yamamoto, NXTway-GS Model-Based Design, 2008 (gear ratio squared in the back EMF), " +
		"with a push on the body and the readings of an accelerometer added here; dry friction and play as dc_motor",
	Params: []Param{
		{Key: "body_mass", Unit: "kg", Sample: "0.9 kg", Doc: "all but the wheels", Low: 1e-4, High: 1e4},
		{Key: "axle_to_centre", Unit: "m", Sample: "90 mm", Doc: "from the axle up to the body's centre of mass", Low: 1e-4, High: 100},
		{Key: "body_inertia", Unit: "kg.m^2", Doc: "about the body's centre of mass; default a rod on the axle: mass * height^2 / 3", Low: 0, High: 1e6,
			Default: func(v Values) float64 { return v["body_mass"] * v["axle_to_centre"] * v["axle_to_centre"] / 3 }},
		{Key: "wheel_mass", Unit: "kg", Sample: "40 g", Doc: "of each wheel", Low: 1e-5, High: 1e3},
		{Key: "wheel_radius", Unit: "m", Sample: "40 mm", Doc: "of each wheel", Low: 1e-3, High: 10},
		{Key: "wheel_inertia", Unit: "kg.m^2", Doc: "of each wheel; default a disc: mass * radius^2 / 2", Low: 0, High: 1e4,
			Default: func(v Values) float64 { return v["wheel_mass"] * v["wheel_radius"] * v["wheel_radius"] / 2 }},
		{Key: "gear", Doc: "turns of the motor for one of the wheel", Low: 0.01, High: 1e4, Default: constant(1)},
		{Key: "rotor_inertia", Unit: "kg.m^2", Doc: "of each motor, before the gear", Low: 0, High: 1e3, Default: constant(0)},
		{Key: "motor_resistance", Unit: "Ohm", Sample: "4 Ohm", Doc: "of each motor", Low: 1e-4, High: 1e5},
		{Key: "torque_constant", Unit: "N.m/A", Sample: "10 mN.m/A", Doc: "of each motor, before the gear", Low: 1e-7, High: 1e3},
		{Key: "emf_constant", Unit: "V.s", Doc: "back EMF of each motor per speed; default the torque constant", Low: 1e-7, High: 1e3,
			Default: func(v Values) float64 { return v["torque_constant"] }},
		{Key: "axle_friction", Unit: "N.m.s", Doc: "viscous, between wheel and body, each side", Low: 0, High: 1e3, Default: constant(0)},
		{Key: "rolling_friction", Unit: "N.m.s", Doc: "viscous, between wheel and floor, each side", Low: 0, High: 1e3, Default: constant(0)},
		{Key: "static_friction", Unit: "N.m", Doc: "torque that starts it from rest, of each wheel's gear, between wheel and body", Low: 0, High: 1e6, Default: constant(0),
			Typical: "2 % to 10 % of the stall torque behind a small gear: common practice, no source"},
		{Key: "sliding_friction", Unit: "N.m", Doc: "torque that it costs while moving; default the static one", Low: 0, High: 1e6,
			Default: func(v Values) float64 { return v["static_friction"] }},
		backlash("at the wheel"),
		{Key: "imu_height", Unit: "m", Doc: "of the accelerometer above the axle", Low: -10, High: 100, Default: constant(0)},
		{Key: "push_height", Unit: "m", Doc: "where a push meets the body, above the axle; default the top: twice the centre's height", Low: -10, High: 200,
			Default: func(v Values) float64 { return 2 * v["axle_to_centre"] }},
		{Key: "floor_at", Unit: "rad", Sample: "70 deg", Doc: "lean at which the body lies on the floor", Low: 0.1, High: math.Pi / 2, Default: constant(70 * math.Pi / 180)},
		{Key: "gravity", Unit: "m/s^2", Doc: "default standard gravity", Low: 0.1, High: 100, Default: constant(si.Gravity)},
	},
	More:  []string{"equations: nonlinear, or linear"},
	Extra: func(m *fields.Map) any { return m.Word("equations", "nonlinear", "linear") == "linear" },
	Check: checkBacklash,
	Build: func(v Values, linear any) Model {
		free := newPendulum(v, false)
		plain := newMechanism(free, nil)
		if isLinear, _ := linear.(bool); isLinear {
			return Linearise(plain, plain.Start(nil), make([]float64, len(free.ports)))
		}
		joints := []joint{{at: 1, along: vector{0, 1}, width: v["floor_at"]}}
		if v["static_friction"] > 0 || v["sliding_friction"] > 0 {
			joints = append(joints, dry(Values{"static": 2 * v["static_friction"], "sliding": 2 * v["sliding_friction"]}, "static", "sliding", vector{1, -1}))
		}
		if play(v) == 0 {
			return &playing{newMechanism(free, joints), plain}
		}
		joints = append(joints, joint{at: 2, along: vector{0, 0, 1}, width: v["backlash"] / 2})
		return &playing{newMechanism(newPendulum(v, true), joints), plain}
	},
}

// pendulum is the bodies of the two-wheeled inverted pendulum. Its state is the wheels' angle over the floor, the body's lean
// forward, with play the angle by which the motors are ahead of the wheels, and the rates of them, in rad and rad/s.
type pendulum struct {
	*winding
	e11, e12, e22     float64 // mass matrix without the rotors: wheels, coupling at lean 0, body
	rotor             float64 // of both, behind the gear
	weight            float64 // M*g*L, N.m
	alpha, beta       float64 // of one wheel: torque per volt, damping by the back EMF
	axle, fw          float64 // viscous, of one wheel: to the body, to the floor
	rm, kb            float64
	radius, imu, lift float64
	slope             float64 // torque per sine of the floor's slope
	gravity, gear     float64
	play              bool
	ports, outputs    []Port
}

func newPendulum(v Values, play bool) *pendulum {
	m, r, jw, jm, n := v["wheel_mass"], v["wheel_radius"], v["wheel_inertia"], v["rotor_inertia"], v["gear"]
	mb, l := v["body_mass"], v["axle_to_centre"]
	p := &pendulum{
		e11: (2*m+mb)*r*r + 2*jw, e12: mb * l * r, e22: mb*l*l + v["body_inertia"], rotor: 2 * n * n * jm,
		weight: mb * v["gravity"] * l,
		alpha:  n * v["torque_constant"] / v["motor_resistance"],
		beta:   n * n * v["torque_constant"] * v["emf_constant"] / v["motor_resistance"], axle: v["axle_friction"],
		fw: v["rolling_friction"], rm: v["motor_resistance"], kb: n * v["emf_constant"],
		radius: r, imu: v["imu_height"], lift: v["push_height"], slope: (2*m + mb) * v["gravity"] * r,
		gravity: v["gravity"], gear: n, play: play,
	}
	p.winding = &winding{resistance: p.rm, motors: 2, emf: func(_ int, x []float64) float64 { return p.kb * p.turning(x) }}
	p.ports = []Port{
		{Name: "voltage", Unit: "V", Doc: "at both motors, positive forward"},
		{Name: "push", Unit: "N", Load: true, Doc: "on the body at push_height, positive forward"},
		{Name: "slope", Unit: "rad", Load: true, Doc: "of the floor, positive uphill; small"},
	}
	p.outputs = []Port{
		{Name: "pitch", Unit: "rad", Doc: "of the body, positive nose up: leaning back"},
		{Name: "pitch_rate", Unit: "rad/s", Doc: "as a gyroscope on the body reads it, positive nose up", Axial: true},
		{Name: "travel", Unit: "m", Doc: "of the axle over the floor, positive forward"},
		{Name: "speed", Unit: "m/s", Doc: "of the axle over the floor"},
		{Name: "wheel_angle", Unit: "rad", Doc: "of the wheels against the body, as an encoder reads it"},
		{Name: "accel_forward", Unit: "m/s^2", Doc: "as an accelerometer on the body reads it along its forward axis: minus the sine of the lean at rest",
			Axial: true, Across: "accel_up", Sign: 1},
		{Name: "accel_up", Unit: "m/s^2", Doc: "the same along the body's up axis: plus gravity when upright at rest", Axial: true, Across: "accel_forward", Sign: -1},
		{Name: "current", Unit: "A", Doc: "through each motor"},
	}
	return p
}

func (p *pendulum) Inputs() []Port     { return p.ports }
func (p *pendulum) Quantities() []Port { return p.outputs }
func (p *pendulum) Settable() []string { return []string{"pitch", "pitch_rate", "travel", "speed"} }
func (p *pendulum) others() int        { return 0 }

func (p *pendulum) coordinates() int {
	if p.play {
		return 3
	}
	return 2
}

// turning is the speed of the motors against the body, behind the gear.
func (p *pendulum) turning(x []float64) float64 {
	if p.play {
		return x[3] - x[4] + x[5]
	}
	return x[2] - x[3]
}

func (p *pendulum) start(of map[string]float64) []float64 {
	n := p.coordinates()
	x := make([]float64, 2*n)
	x[0], x[1], x[n], x[n+1] = of["travel"]/p.radius, -of["pitch"], of["speed"]/p.radius, -of["pitch_rate"]
	return x
}

// pair is the mass matrix of wheels and body, and the forces on them.
func (p *pendulum) pair(x, u []float64) (wheels, both, body, onWheels, onBody float64) {
	n := p.coordinates()
	turn, lean := x[n], x[n+1]
	sin, cos := math.Sincos(x[1])
	e12 := p.e12 * cos
	inner := p.drive(x, u) - 2*p.axle*(turn-lean)
	onWheels = inner - 2*p.fw*turn + p.e12*sin*lean*lean + u[1]*p.radius
	if u[2] != 0 {
		onWheels -= p.slope * math.Sin(u[2])
	}
	onBody = -inner + p.weight*sin + u[1]*p.lift*cos
	return p.e11 + p.rotor, e12 - p.rotor, p.e22 + p.rotor, onWheels, onBody
}

// drive is the torque of both motors, behind the gear.
func (p *pendulum) drive(x, u []float64) float64 { return 2 * (p.alpha*u[0] - p.beta*p.turning(x)) }

func (p *pendulum) push(x, u []float64) (out pushed) {
	out.mass[0][0], out.mass[0][1], out.mass[1][1], out.force[0], out.force[1] = p.pair(x, u)
	out.mass[1][0] = out.mass[0][1]
	if p.play {
		out.mass[0][2], out.mass[1][2], out.mass[2][2] = p.rotor, -p.rotor, p.rotor
		out.mass[2][0], out.mass[2][1] = p.rotor, -p.rotor
		out.force[2] = p.drive(x, u)
	}
	return out
}

func (p *pendulum) flow(_, _, _ []float64) {}

func (p *pendulum) Observe(q, x, dx, u []float64) {
	n := p.coordinates()
	sin, cos := math.Sincos(x[1])
	// Acceleration of the sensor at (R*theta + d*sin(lean), d*cos(lean)), and gravity, in the body's axes.
	ax := p.radius*dx[n] + p.imu*(dx[n+1]*cos-x[n+1]*x[n+1]*sin)
	az := p.gravity - p.imu*(dx[n+1]*sin+x[n+1]*x[n+1]*cos)
	q[0], q[1] = -x[1], -x[n+1]
	q[2], q[3] = p.radius*x[0], p.radius*x[n]
	q[4] = x[0] - x[1]
	q[5] = ax*cos - az*sin
	q[6] = ax*sin + az*cos
	q[7] = (u[0] - p.kb*p.turning(x)) / p.rm
}

// Rotors: both motors turn alike and count as one.
func (p *pendulum) Rotors() int { return 1 }

func (p *pendulum) Rotor(_ int, x []float64) (angle, speed float64) {
	angle = x[0] - x[1]
	if p.play {
		angle += x[2]
	}
	return p.gear * angle, p.gear * p.turning(x)
}
