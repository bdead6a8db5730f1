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
		plain := newMechanism(newPendulum(v, false), nil)
		if isLinear, _ := linear.(bool); isLinear {
			return Linearise(plain, plain.Start(nil), make([]float64, len(pendulumIn)))
		}
		return newPendulum(v, play(v) > 0).joined(v, plain, joint{at: 1, along: vector{0, 1}, width: v["floor_at"]})
	},
}

// pendulum is the bodies of the two-wheeled inverted pendulum: the wheels' angle over the floor and the body's lean forward, in rad.
type pendulum struct {
	e11, e12, e22     float64 // mass matrix without the rotors: wheels, coupling at lean 0, body
	weight            float64 // M*g*L, N.m
	axle, fw          float64 // viscous, of one wheel: to the body, to the floor
	radius, imu, lift float64
	slope             float64 // torque per sine of the floor's slope
	gravity           float64
}

func newPendulum(v Values, play bool) *drivetrain {
	m, r, jw := v["wheel_mass"], v["wheel_radius"], v["wheel_inertia"]
	mb, l := v["body_mass"], v["axle_to_centre"]
	p := &pendulum{
		e11: (2*m+mb)*r*r + 2*jw, e12: mb * l * r, e22: mb*l*l + v["body_inertia"],
		weight: mb * v["gravity"] * l, axle: v["axle_friction"], fw: v["rolling_friction"],
		radius: r, imu: v["imu_height"], lift: v["push_height"], slope: (2*m + mb) * v["gravity"] * r, gravity: v["gravity"],
	}
	return newDrivetrain(p, 2, v["motor_resistance"], 2, play, v, vector{1, -1})
}

var pendulumIn = []Port{
	{Name: "voltage", Unit: "V", Doc: "at both motors, positive forward"},
	{Name: "push", Unit: "N", Load: true, Doc: "on the body at push_height, positive forward"},
	{Name: "slope", Unit: "rad", Load: true, Doc: "of the floor, positive uphill; small"},
}

var pendulumOut = []Port{
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

func (p *pendulum) Inputs() []Port     { return pendulumIn }
func (p *pendulum) Quantities() []Port { return pendulumOut }
func (p *pendulum) Settable() []string { return []string{"pitch", "pitch_rate", "travel", "speed"} }

func (p *pendulum) place(of map[string]float64) (q, v vector) {
	return vector{of["travel"] / p.radius, -of["pitch"]}, vector{of["speed"] / p.radius, -of["pitch_rate"]}
}

func (p *pendulum) push(out pushed, q, v, u []float64) pushed {
	turn, lean := v[0], v[1]
	sin, cos := math.Sincos(q[1])
	rubs := 2 * p.axle * (turn - lean)
	out.mass[0][0] += p.e11
	out.mass[0][1] += p.e12 * cos
	out.mass[1][0] += p.e12 * cos
	out.mass[1][1] += p.e22
	out.force[0] = out.force[0] - rubs - 2*p.fw*turn + p.e12*sin*lean*lean + u[1]*p.radius
	if u[2] != 0 {
		out.force[0] -= p.slope * math.Sin(u[2])
	}
	out.force[1] = out.force[1] + rubs + p.weight*sin + u[1]*p.lift*cos
	return out
}

func (p *pendulum) observe(out, q, v, a []float64, amperes float64) {
	sin, cos := math.Sincos(q[1])
	// Acceleration of the sensor at (R*theta + d*sin(lean), d*cos(lean)), and gravity, in the body's axes.
	ax := p.radius*a[0] + p.imu*(a[1]*cos-v[1]*v[1]*sin)
	az := p.gravity - p.imu*(a[1]*sin+v[1]*v[1]*cos)
	out[0], out[1] = -q[1], -v[1]
	out[2], out[3] = p.radius*q[0], p.radius*v[0]
	out[4] = q[0] - q[1]
	out[5] = ax*cos - az*sin
	out[6] = ax*sin + az*cos
	out[7] = amperes
}
