package plant

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

var motorKind = &Kind{
	Name:   "dc_motor",
	Doc:    "DC motor with its load: inertia, viscous and static friction, a gear, and the winding's inductance where it matters.",
	Source: "Franklin, Powell, Emami-Naeini, Feedback Control of Dynamic Systems, section on DC motors; stiction as a held state, after Karnopp 1985",
	Params: []Param{
		{Key: "inertia", Unit: "kg.m^2", Sample: "0.001 kg.m^2", Doc: "of the load, behind the gear", Low: tiny, High: 1e6},
		{Key: "rotor_inertia", Unit: "kg.m^2", Doc: "before the gear", Low: 0, High: 1e3, Default: constant(0)},
		{Key: "gear", Doc: "turns of the motor for one of the load", Low: 0.01, High: 1e5, Default: constant(1)},
		{Key: "resistance", Unit: "Ohm", Sample: "2 Ohm", Doc: "of the winding", Low: 1e-4, High: 1e5},
		{Key: "inductance", Unit: "H", Doc: "of the winding; default none: the current follows at once", Low: 0, High: 1e3, Default: constant(0)},
		{Key: "torque_constant", Unit: "N.m/A", Sample: "20 mN.m/A", Doc: "before the gear", Low: 1e-7, High: 1e3},
		{Key: "emf_constant", Unit: "V.s", Doc: "back EMF per speed; default the torque constant", Low: 1e-7, High: 1e3,
			Default: func(v Values) float64 { return v["torque_constant"] }},
		{Key: "viscous_friction", Unit: "N.m.s", Doc: "behind the gear", Low: 0, High: 1e4, Default: constant(0)},
		{Key: "static_friction", Unit: "N.m", Doc: "torque that starts it from rest, behind the gear", Low: 0, High: 1e6, Default: constant(0)},
		{Key: "sliding_friction", Unit: "N.m", Doc: "torque that it costs while moving; default the static one", Low: 0, High: 1e6,
			Default: func(v Values) float64 { return v["static_friction"] }},
	},
	Build: func(v Values, _ any) Model {
		l := linearMotor(v)
		if v["static_friction"] == 0 && v["sliding_friction"] == 0 {
			return l
		}
		return &stickingMotor{Linear: l, inertia: motorInertia(v), static: math.Max(v["static_friction"], v["sliding_friction"]), sliding: v["sliding_friction"]}
	},
}

func motorInertia(v Values) float64 {
	return v["inertia"] + v["gear"]*v["gear"]*v["rotor_inertia"]
}

// linearMotor has the state angle, speed and, with an inductance, current.
func linearMotor(v Values) *Linear {
	j, n, rm, li := motorInertia(v), v["gear"], v["resistance"], v["inductance"]
	kt, ke, b := n*v["torque_constant"], n*v["emf_constant"], v["viscous_friction"]
	l := &Linear{
		In: []Port{
			{Name: "voltage", Unit: "V", Doc: "at the motor"},
			{Name: "load_torque", Unit: "N.m", Load: true, Doc: "behind the gear, positive against turning forward"},
		},
		Out: []Port{
			{Name: "angle", Unit: "rad", Doc: "of the load, whole turns counted"},
			{Name: "speed", Unit: "rad/s", Doc: "of the load"},
			{Name: "current", Unit: "A", Doc: "through the motor"},
		},
	}
	if li > 0 {
		l.A = mat.NewDense(3, 3, []float64{0, 1, 0, 0, -b / j, kt / j, 0, -ke / li, -rm / li})
		l.B = mat.NewDense(3, 2, []float64{0, 0, 0, -1 / j, 1 / li, 0})
		l.C = mat.NewDense(3, 3, []float64{1, 0, 0, 0, 1, 0, 0, 0, 1})
		l.D = mat.NewDense(3, 2, nil)
		l.draw = func(_ int, x, _ []float64) float64 { return x[2] }
		return l
	}
	l.A = mat.NewDense(2, 2, []float64{0, 1, 0, -(b + kt*ke/rm) / j})
	l.B = mat.NewDense(2, 2, []float64{0, 0, kt / rm / j, -1 / j})
	l.C = mat.NewDense(3, 2, []float64{1, 0, 0, 1, 0, -ke / rm})
	l.D = mat.NewDense(3, 2, []float64{0, 0, 0, 0, 1 / rm, 0})
	l.draw = func(_ int, x, u []float64) float64 { return (u[0] - ke*x[1]) / rm }
	return l
}

// stickingMotor adds dry friction. The direction of motion is one more state that is constant within a step: +1, -1,
// or 0 while it sticks. At the end of a step a speed that has changed its sign is set to rest, and at rest
// the motor breaks away where the torque is above the static friction.
type stickingMotor struct {
	*Linear
	inertia, static, sliding float64
}

func (s *stickingMotor) Start(of map[string]float64) []float64 {
	x := append(s.Linear.Start(of), 0)
	x[len(x)-1] = sign(x[1])
	return x
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

func (s *stickingMotor) Flow(dx, x, u []float64) {
	n := len(x) - 1
	s.Linear.Flow(dx[:n], x[:n], u)
	dx[n] = 0
	if x[n] == 0 {
		dx[1] = 0
		return
	}
	dx[1] -= x[n] * s.sliding / s.inertia
}

func (s *stickingMotor) Observe(q, x, dx, u []float64) {
	s.Linear.Observe(q, x[:len(x)-1], dx, u)
}

func (s *stickingMotor) Settle(x, u []float64) {
	n := len(x) - 1
	if x[n]*x[1] < 0 {
		x[1], x[n] = 0, 0
	}
	if x[n] != 0 {
		return
	}
	dx := make([]float64, n)
	s.Linear.Flow(dx, x[:n], u)
	if torque := dx[1] * s.inertia; math.Abs(torque) > s.static {
		x[n] = sign(torque)
	}
}

func (s *stickingMotor) Draw(i int, x, u []float64) float64 { return s.Linear.Draw(i, x[:len(x)-1], u) }
