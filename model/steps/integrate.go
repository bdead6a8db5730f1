package steps

import (
	"math/big"
	"strings"

	"gainwright/model/program"
)

var integrateKind = &Kind{
	Name:     "integrate",
	Doc:      "Sums a rate over time, without rounding: an angle from its rate. The sum is wrapped or limited.",
	Equation: "y += period * x, then wrapped or limited",
	Source:   "backward Euler rule, Astrom and Wittenmark, Computer-Controlled Systems (from memory)",
	Units:    "own = start = limits; of = own/s",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the rate, in unit/s"},
		{Key: "around", Form: Word, Choices: []string{"line", "circle"}, Doc: "circle: the sum is an angle and is wrapped"},
		{Key: "limits", Form: Limits, Doc: "[low, high], needed on a line"},
		{Key: "start", Form: Quantity, Doc: "value at start, default 0"},
		{Key: "reset", Form: Condition, Doc: "back to start where this holds"},
	},
	Lower: func(l *Lowering) {
		x := l.Signal("of")
		unit, ok := perSecond(x.unit)
		if !ok {
			l.fail(l.argPos("of"), "of", "no-rate", "a signal in deg/s, say", "the unit is %s, a unit per second is expected", orNone(x.unit))
		}
		start := l.Number("start", unit, new(big.Rat))
		n, before := l.State(program.RealState{StateInfo: program.StateInfo{Unit: unit, Start: start, Purpose: program.Accumulator}, Like: program.None}, "sum", "sum over time")
		step := l.Scale(l.Period(), x.id, unit, "step", "what this tick adds")
		sum := l.Add(before, step, "next", "sum with this tick")
		var turn *big.Rat
		var limits [2]*big.Rat
		if l.Word("around") == "circle" {
			turn = l.turn(unit, "of")
			if l.Has("limits") {
				l.fail(l.argPos("limits"), "limits", "limits-on-circle", "leave limits out", "an angle on a circle is wrapped, not limited")
			}
			if half := new(big.Rat).Quo(turn, big.NewRat(2, 1)); start.Cmp(half) >= 0 || start.Cmp(new(big.Rat).Neg(half)) < 0 {
				l.fail(l.argPos("start"), "start", "start-outside-limits", "start: 0", "the start %s lies outside half a turn", decimal(start))
			}
			sum = l.Wrap(sum, turn, "wrapped", "whole turns taken off")
		} else {
			lo, hi := l.Limits("limits", unit)
			if lo == nil {
				l.fail(l.step.Pos, "", "integral-without-limit", l.limitOfSum(unit), "the sum has no limit and would overflow")
				return
			}
			if start.Cmp(lo) < 0 || start.Cmp(hi) > 0 {
				l.fail(l.argPos("start"), "start", "start-outside-limits", "start: "+decimal(lo), "the start %s lies outside the limits [%s, %s]", decimal(start), decimal(lo), decimal(hi))
			}
			limits = [2]*big.Rat{lo, hi}
			sum = l.limited(sum, lo, hi)
		}
		l.Exact(step, sum)
		l.Update(n, sum)
		r := l.Condition("reset") // which may add states of its own
		l.facts().Integral = &program.Integral{State: before, Of: x.id, Gain: big.NewRat(1, 1), Lo: limits[0], Hi: limits[1], Reset: r}
		if r != program.None {
			s := &l.p.States[n]
			s.Reset, s.ResetTo = r, l.Const(start, unit, "start")
		}
		l.Publish(sum, "", turn)
	},
}

// limitOfSum says how a sum over time is kept from overflowing.
func (l *Lowering) limitOfSum(unit string) string {
	if program.Turn(unit) != nil {
		return "around: circle, or limits: [low, high]"
	}
	return "limits: [-1000, 1000], or whatever the sum may reach"
}

// perSecond takes "/s" off a unit.
func perSecond(unit string) (string, bool) {
	of, ok := strings.CutSuffix(unit, "/s")
	return of, ok || isUnknown(unit)
}
