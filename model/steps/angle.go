package steps

import (
	"math"
	"math/big"

	"gainwright/model/program"
)

var angleKind = &Kind{
	Name:     "angle",
	Doc:      "Direction of a vector: four-quadrant arctangent, 0 for the zero vector.",
	Equation: "y = atan2(of[0], of[1]), limited",
	Source:   "IEEE 754-2019 section 9.2 (atan2), but +0 at (0, 0) and no negative zero",
	Units:    "own = limits = deg; of = least_length",
	Params: []Param{
		{Key: "of", Form: Signals, Required: true, Doc: "[sine side, cosine side], in the same unit"},
		{Key: "least_length", Form: Quantity, Doc: "shortest vector for which the error is stated"},
		{Key: "limits", Form: Limits, Doc: "the angle is limited to [low, high]"},
	},
	Lower: func(l *Lowering) {
		of := l.arg("of").Value
		if len(of.Items) != 2 {
			l.fail(of.Pos, "of", "not-two", "of: [sine side, cosine side]", "%d signals are given, two are expected", len(of.Items))
			return
		}
		y, x := l.ref(of.Items[0].Text, of.Items[0].Pos, "of"), l.ref(of.Items[1].Text, of.Items[1].Pos, "of")
		l.sameUnit(x.unit, y.unit, of.Items[1].Pos, "of")
		least := l.Number("least_length", y.unit, big.NewRat(1, 1))
		if least.Sign() <= 0 {
			l.fail(l.argPos("least_length"), "least_length", "not-positive", "least_length: 0.3 "+y.unit, "a length above zero is expected")
			return
		}
		l.facts().Direction = &program.Direction{Sine: y.id, Cosine: x.id}
		if l.Has("least_length") {
			l.facts().Direction.Least = least
		}
		a := l.add(program.RealOp{Op: program.Op{Kind: program.Angle, Args: []program.ID{y.id, x.id}, Unit: "deg"}}, "arctangent", "direction of the vector")
		l.p.Ops[a].Within = l.resolution(of.Items[0].Text, least)
		turn := program.Turn("deg")
		l.Equation("%s = atan2(%s, %s)", l.step.Name, of.Items[0].Text, of.Items[1].Text)
		if lo, hi := l.Limits("limits", "deg"); lo != nil {
			l.Equation("%s = atan2(%s, %s), limited", l.step.Name, of.Items[0].Text, of.Items[1].Text)
			a = l.limited(a, lo, hi)
			turn = nil
		}
		l.Publish(a, "", turn)
	},
}

// resolution is the angle that one count of the named input makes across a vector of the given length, in degrees.
func (l *Lowering) resolution(name string, length *big.Rat) *big.Rat {
	for _, in := range l.p.Inputs {
		if in.Name == name {
			r := new(big.Rat).Quo(in.LSB, length)
			return r.Mul(r, new(big.Rat).SetFloat64(180/math.Pi))
		}
	}
	return nil
}
