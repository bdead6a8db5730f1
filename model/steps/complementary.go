package steps

import (
	"math/big"

	"gainwright/model/program"
)

var complementaryKind = &Kind{
	Name:     "complementary",
	Doc:      "Complementary filter: an angle that follows its rate at once and the measured angle in the long run.",
	Equation: "y' = blend*(y + period*rate) + (1 - blend)*angle",
	Source:   "common practice; blend = tau/(tau + period) gives unit gain from the angle and gain tau from the rate",
	Units:    "own = angle = start; rate = own/s",
	Params: []Param{
		{Key: "angle", Form: Signal, Required: true, Doc: "the measured angle"},
		{Key: "rate", Form: Signal, Required: true, Doc: "its rate, in unit/s"},
		{Key: "time_constant", Form: Duration, Doc: "tau; one of time_constant, cutoff, blend"},
		{Key: "cutoff", Form: Frequency, Doc: "corner frequency, tau = 1/(2*pi*cutoff)"},
		{Key: "blend", Form: Number, Doc: "share of the rate's path, such as 0.97"},
		{Key: "start", Form: SignalOrNumber, Doc: "value at start, default the first angle"},
	},
	Lower: func(l *Lowering) {
		angle, rate := l.Signal("angle"), l.Signal("rate")
		if angle.unit == rate.unit+"/s" {
			l.fail(l.argPos("rate"), "rate", "swapped", "the two names exchanged: angle: "+l.arg("rate").Value.Text+", rate: "+l.arg("angle").Value.Text, "the angle is in %s and its rate in %s", angle.unit, rate.unit)
			l.Publish(rate.id, "", nil)
			return
		}
		l.sameUnit(rate.unit, angle.unit+"/s", l.argPos("rate"), "rate")
		if angle.angular != nil {
			l.fail(l.argPos("angle"), "angle", "average-on-circle", "give the angle step limits: [-90, 90]", "an angle on a circle cannot be averaged: 179 and -179 would give 0")
		}
		a := l.share()
		start := angle.id
		if l.Has("start") {
			start = l.SignalOrNumber("start", angle.unit, "start")
		}
		lead := new(big.Rat).Sub(big.NewRat(1, 1), a)
		lead.Mul(lead, l.Period())
		led := l.Scale(lead, rate.id, angle.unit, "lead", "blend * period * rate")
		l.Equation("%[1]s' = %[2]s*(%[1]s + %[3]s s*%[4]s) + %[5]s*%[6]s", l.step.Name, decimal(new(big.Rat).Sub(big.NewRat(1, 1), a)), decimal(l.Period()),
			l.arg("rate").Value.Text, decimal(a), l.arg("angle").Value.Text)
		l.facts().Fusion = &program.Fusion{Angle: angle.id, Rate: rate.id}
		l.Publish(l.firstOrder(angle.id, a, start, led, "state"), "", nil)
	},
}
