package steps

import (
	"math/big"

	"gainwright/model/program"
)

var wrapKind = &Kind{
	Name:     "wrap",
	Doc:      "Brings an angle into half a turn either side of zero.",
	Equation: "y = x less whole turns, -turn/2 <= y < turn/2",
	Source:   "common practice, no source",
	Units:    "own = of",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the angle"},
	},
	Lower: func(l *Lowering) {
		x := l.Signal("of")
		turn := l.turn(x.unit, "of")
		l.Publish(l.Wrap(x.id, turn, "wrapped", "whole turns taken off"), "", turn)
	},
}

// turn is a full turn in the given unit of angle; another unit is reported.
func (l *Lowering) turn(unit, key string) *big.Rat {
	if t := program.Turn(unit); t != nil {
		return t
	}
	if isUnknown(unit) {
		return big.NewRat(360, 1)
	}
	l.fail(l.argPos(key), key, "no-angle", "a signal in deg or turn", "the unit is %s, an angle is expected", orNone(unit))
	return big.NewRat(360, 1)
}
