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
		"with a push on the body and the readings of an accelerometer added here",
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
		{Key: "imu_height", Unit: "m", Doc: "of the accelerometer above the axle", Low: -10, High: 100, Default: constant(0)},
		{Key: "push_height", Unit: "m", Doc: "where a push meets the body, above the axle; default the top: twice the centre's height", Low: -10, High: 200,
			Default: func(v Values) float64 { return 2 * v["axle_to_centre"] }},
		{Key: "floor_at", Unit: "rad", Sample: "70 deg", Doc: "lean at which the body lies on the floor", Low: 0.1, High: math.Pi / 2, Default: constant(70 * math.Pi / 180)},
		{Key: "gravity", Unit: "m/s^2", Doc: "default standard gravity", Low: 0.1, High: 100, Default: constant(si.Gravity)},
	},
	More:  []string{"equations: nonlinear, or linear"},
	Extra: func(m *fields.Map) any { return m.Word("equations", "nonlinear", "linear") == "linear" },
	Build: func(v Values, linear any) Model {
		p := newPendulum(v)
		if isLinear, _ := linear.(bool); isLinear {
			u := make([]float64, len(p.Inputs()))
			return Linearise(p, p.Start(nil), u)
		}
		return p
	},
}

// Pendulum is the two-wheeled inverted pendulum. Its state is the wheels' angle over the floor, the body's lean
// forward, and the rates of both, in rad and rad/s.
type Pendulum struct {
	e11, e12, e22     float64 // mass matrix: wheels, coupling at lean 0, body
	rotor             float64 // part of e12 that does not turn with the lean
	weight            float64 // M*g*L, N.m
	alpha, beta, fw   float64 // of one wheel: torque per volt, damping to the body, damping to the floor
	kb, rm, gear      float64
	radius, imu, push float64
	slope             float64 // torque per sine of the floor's slope
	floor, gravity    float64
	inputs, outputs   []Port
}

func newPendulum(v Values) *Pendulum {
	m, r, jw, jm, n := v["wheel_mass"], v["wheel_radius"], v["wheel_inertia"], v["rotor_inertia"], v["gear"]
	mb, l := v["body_mass"], v["axle_to_centre"]
	rotor := 2 * n * n * jm
	p := &Pendulum{
		e11: (2*m+mb)*r*r + 2*jw + rotor, e12: mb * l * r, e22: mb*l*l + v["body_inertia"] + rotor, rotor: rotor,
		weight: mb * v["gravity"] * l,
		alpha:  n * v["torque_constant"] / v["motor_resistance"],
		beta:   n*n*v["torque_constant"]*v["emf_constant"]/v["motor_resistance"] + v["axle_friction"],
		fw:     v["rolling_friction"], kb: v["emf_constant"], rm: v["motor_resistance"], gear: n,
		radius: r, imu: v["imu_height"], push: v["push_height"], slope: (2*m + mb) * v["gravity"] * r,
		floor: v["floor_at"], gravity: v["gravity"],
	}
	p.inputs = []Port{
		{Name: "voltage", Unit: "V", Doc: "at both motors, positive forward"},
		{Name: "push", Unit: "N", Load: true, Doc: "on the body at push_height, positive forward"},
		{Name: "slope", Unit: "rad", Load: true, Doc: "of the floor, positive uphill; small"},
	}
	p.outputs = []Port{
		{Name: "pitch", Unit: "rad", Doc: "of the body, positive nose up: leaning back"},
		{Name: "pitch_rate", Unit: "rad/s", Doc: "as a gyroscope on the body reads it, positive nose up"},
		{Name: "travel", Unit: "m", Doc: "of the axle over the floor, positive forward"},
		{Name: "speed", Unit: "m/s", Doc: "of the axle over the floor"},
		{Name: "wheel_angle", Unit: "rad", Doc: "of the wheels against the body, as an encoder reads it"},
		{Name: "accel_forward", Unit: "m/s^2", Doc: "as an accelerometer on the body reads it along its forward axis: minus the sine of the lean at rest"},
		{Name: "accel_up", Unit: "m/s^2", Doc: "the same along the body's up axis: plus gravity when upright at rest"},
		{Name: "current", Unit: "A", Doc: "through each motor"},
	}
	return p
}

func (p *Pendulum) Inputs() []Port     { return p.inputs }
func (p *Pendulum) Quantities() []Port { return p.outputs }
func (p *Pendulum) Settable() []string { return []string{"pitch", "pitch_rate", "travel", "speed"} }

func (p *Pendulum) Start(of map[string]float64) []float64 {
	return []float64{of["travel"] / p.radius, -of["pitch"], of["speed"] / p.radius, -of["pitch_rate"]}
}

func (p *Pendulum) Flow(dx, x, u []float64) {
	sin, cos := math.Sincos(x[1])
	e12 := p.e12*cos - p.rotor
	drive := 2 * p.alpha * u[0]
	rub := 2 * p.beta * (x[2] - x[3])
	onWheels := drive - rub - 2*p.fw*x[2] + p.e12*sin*x[3]*x[3] + u[1]*p.radius
	if u[2] != 0 {
		onWheels -= p.slope * math.Sin(u[2])
	}
	onBody := -drive + rub + p.weight*sin + u[1]*p.push*cos
	dx[0], dx[1] = x[2], x[3]
	if x[1] >= p.floor && onBody >= 0 && x[3] >= 0 || x[1] <= -p.floor && onBody <= 0 && x[3] <= 0 {
		dx[1], dx[2], dx[3] = 0, (onWheels)/p.e11, 0 // the body lies on the floor
		return
	}
	det := p.e11*p.e22 - e12*e12
	dx[2] = (p.e22*onWheels - e12*onBody) / det
	dx[3] = (p.e11*onBody - e12*onWheels) / det
}

// Settle lays the body on the floor without a bounce.
func (p *Pendulum) Settle(x, _ []float64) {
	switch {
	case x[1] > p.floor:
		x[1], x[3] = p.floor, math.Min(x[3], 0)
	case x[1] < -p.floor:
		x[1], x[3] = -p.floor, math.Max(x[3], 0)
	}
}

func (p *Pendulum) Observe(q, x, dx, u []float64) {
	sin, cos := math.Sincos(x[1])
	// Acceleration of the sensor at (R*theta + d*sin(lean), d*cos(lean)), and gravity, in the body's axes.
	ax := p.radius*dx[2] + p.imu*(dx[3]*cos-x[3]*x[3]*sin)
	az := p.gravity - p.imu*(dx[3]*sin+x[3]*x[3]*cos)
	q[0], q[1] = -x[1], -x[3]
	q[2], q[3] = p.radius*x[0], p.radius*x[2]
	q[4] = x[0] - x[1]
	q[5] = ax*cos - az*sin
	q[6] = ax*sin + az*cos
	q[7] = p.current(x, u[0])
}

func (p *Pendulum) current(x []float64, volts float64) float64 {
	return (volts - p.kb*p.gear*(x[2]-x[3])) / p.rm
}

// Draw is the current of both motors.
func (p *Pendulum) Draw(_ int, x, u []float64) float64 { return 2 * p.current(x, u[0]) }
