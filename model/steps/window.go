package steps

import (
	"fmt"
	"math/big"

	"gainwright/model/program"
)

var windowKind = &Kind{
	Name:     "window",
	IsSwitch: true,
	Doc:      "A switch that is on while a signal stays inside limits; with release limits it comes on only inside those.",
	Equation: "on' = when and low <= x <= high and (on or x inside release)",
	Source:   "window comparator with hysteresis, common practice, no source",
	Units:    "of = limits = release",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the signal"},
		{Key: "limits", Form: Limits, Required: true, Doc: "[low, high]: outside the switch is off"},
		{Key: "release", Form: Limits, Doc: "[low, high]: the switch comes on inside these"},
		{Key: "when", Form: Condition, Doc: "the switch is off while this is off"},
	},
	Lower: func(l *Lowering) {
		x := l.Signal("of")
		inside := func(key, role string) program.ID {
			lo, hi := l.Limits(key, x.unit)
			above := l.Logic(program.LessEqual, role+"_above", "not below the low end", l.Const(lo, x.unit, role+"_low"), x.id)
			below := l.Logic(program.LessEqual, role+"_below", "not above the high end", x.id, l.Const(hi, x.unit, role+"_high"))
			return l.Logic(program.And, role, "inside", above, below)
		}
		on := inside("limits", "inside")
		if l.Has("release") {
			l.checkRelease()
			n, before := l.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Purpose: program.Counter}, Like: program.None}, "on", "the switch")
			start := l.Logic(program.Or, "may", "on already, or may come on", before, inside("release", "released"))
			on = l.Logic(program.And, "stays", "inside the limits and on", on, start)
			on = l.when(on)
			l.Update(n, on)
		} else {
			on = l.when(on)
		}
		l.Publish(on, "", nil)
	},
}

// checkRelease warns where the switch comes on anywhere inside its limits, so that release changes nothing.
func (l *Lowering) checkRelease() {
	before := len(*l.findings)
	lo, hi := l.Limits("limits", "")
	a, b := l.Limits("release", "")
	*l.findings = (*l.findings)[:before] // read again where they count
	if a.Cmp(lo) <= 0 && b.Cmp(hi) >= 0 {
		l.warn(l.argPos("release"), "release", "release-outside", fmt.Sprintf("release: [%s, %s]", decimal(middle(lo, hi, 1, 4)), decimal(middle(lo, hi, 3, 4))),
			"the switch comes on anywhere inside its limits: release, [%s, %s], holds all of [%s, %s]", decimal(a), decimal(b), decimal(lo), decimal(hi))
	}
}

// middle lies n of d parts of the way from lo to hi.
func middle(lo, hi *big.Rat, n, d int64) *big.Rat {
	x := new(big.Rat).Sub(hi, lo)
	return x.Add(x.Mul(x, big.NewRat(n, d)), lo)
}
