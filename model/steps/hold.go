package steps

import (
	"math/big"

	"gainwright/model/program"
)

var holdKind = &Kind{
	Name:     "hold",
	Doc:      "Keeps the value that a signal has at the tick where a condition holds.",
	Equation: "y = x where the condition holds, else y as before",
	Source:   "common practice, no source",
	Units:    "own = of = start = limits",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the signal"},
		{Key: "when", Form: Condition, Required: true, Doc: "the condition, such as `upright rises`"},
		{Key: "start", Form: Quantity, Doc: "the value before the first capture, default 0"},
		{Key: "limits", Form: Limits, Doc: "the captured value is limited to [low, high]"},
	},
	Lower: func(l *Lowering) {
		x := l.Signal("of")
		when := l.Condition("when")
		v := x.id
		start := l.Number("start", x.unit, new(big.Rat))
		if lo, hi := l.Limits("limits", x.unit); lo != nil {
			v = l.limited(v, lo, hi)
			if start.Cmp(lo) < 0 || start.Cmp(hi) > 0 {
				l.fail(l.argPos("start"), "start", "start-outside-limits", "start: "+decimal(lo), "the start %s lies outside the limits [%s, %s]", decimal(start), decimal(lo), decimal(hi))
			}
		}
		n, before := l.State(program.RealState{StateInfo: program.StateInfo{Unit: x.unit, Start: start, Purpose: program.Copy}, Like: x.id}, "held", "value held")
		now := l.Select(when, v, before, "now", "value held from this tick on")
		l.Update(n, now)
		l.facts().Level, l.facts().Passes = &x.id, true
		l.Publish(now, "", x.angular)
	},
}
