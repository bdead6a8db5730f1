package plant

import (
	"gainwright/model/fields"
)

var motorKind = &Kind{
	Name: "dc_motor",
	Doc:  "DC motor with its load: inertia, viscous and dry friction, a gear with its play, and the winding's inductance where it matters.",
	Source: "Franklin, Powell, Emami-Naeini, Feedback Control of Dynamic Systems, section on DC motors; stiction as a held state, after Karnopp 1985; play with rigid teeth " +
		"and blows without a bounce, one of the models in Nordin and Gutman, Controlling mechanical systems with backlash, Automatica 38, 2002 (from memory)",
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
		{Key: "static_friction", Unit: "N.m", Doc: "torque that starts it from rest, behind the gear", Low: 0, High: 1e6, Default: constant(0),
			Typical: "2 % to 10 % of the stall torque behind a small gear: common practice, no source"},
		{Key: "sliding_friction", Unit: "N.m", Doc: "torque that it costs while moving; default the static one", Low: 0, High: 1e6,
			Default: func(v Values) float64 { return v["static_friction"] }},
		backlash("at the load"),
	},
	Check: checkBacklash,
	Build: func(v Values, _ any) Model { return newMotor(v, play(v) > 0).joined(v, linear(newMotor(v, false))) },
}

// load is what a motor turns.
type load struct{ inertia, viscous float64 }

func newMotor(v Values, play bool) *drivetrain {
	return newDrivetrain(&load{v["inertia"], v["viscous_friction"]}, 1, v["resistance"], 1, play, v, vector{1})
}

func (l *load) Inputs() []Port     { return motorIn }
func (l *load) Quantities() []Port { return motorOut }
func (l *load) Settable() []string { return []string{"angle", "speed"} }

func (l *load) push(p pushed, _, v, u []float64) pushed {
	p.mass[0][0] += l.inertia
	p.force[0] += -l.viscous*v[0] - u[1]
	return p
}

func (l *load) place(of map[string]float64) (q, v vector) {
	return vector{of["angle"]}, vector{of["speed"]}
}

func (l *load) observe(out, q, v, _ []float64, amperes float64) {
	out[0], out[1], out[2] = q[0], v[0], amperes
}

var motorIn = []Port{
	{Name: "voltage", Unit: "V", Doc: "at the motor"},
	{Name: "load_torque", Unit: "N.m", Load: true, Doc: "behind the gear, positive against turning forward"},
}

var motorOut = []Port{
	{Name: "angle", Unit: "rad", Doc: "of the load, whole turns counted"},
	{Name: "speed", Unit: "rad/s", Doc: "of the load"},
	{Name: "current", Unit: "A", Doc: "through the motor"},
}

// backlash is the key of a gear's play.
func backlash(where string) Param {
	return Param{Key: "backlash", Unit: "rad", Doc: "play of the gear, from one side to the other, " + where + "; needs rotor_inertia", Low: 0, High: 3,
		Typical: "1 deg to 3 deg for a small spur gear, 0.1 deg for a preloaded one: common practice, no source", Default: constant(0)}
}

// checkBacklash: with play the rotor is a body of its own.
func checkBacklash(m *fields.Map, v Values) {
	if v["backlash"] > 0 && v["rotor_inertia"] == 0 {
		m.Say(m.At("backlash"), "backlash", "missing-key", "rotor_inertia: 3 g.cm^2", "within the play of its gear a motor turns alone: backlash needs rotor_inertia above 0")
	}
}

// play is the width of the play; a rotor without inertia has none.
func play(v Values) float64 {
	if v["rotor_inertia"] == 0 {
		return 0
	}
	return v["backlash"]
}
