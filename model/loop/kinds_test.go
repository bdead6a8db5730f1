package loop

import (
	"math/big"
	"testing"

	"gainwright/model/program"
)

// TestEveryOperationHasADerivative: each is followed by the view of a loop.
func TestEveryOperationHasADerivative(t *testing.T) {
	frame := program.Frame{Sections: make([]program.Section, 1), Inputs: make([]program.InputInfo, 3), Gains: make([]program.Gain, 1)}
	state := program.StateInfo{Enable: program.None, Reset: program.None}
	for k := range program.Kinds {
		real := &program.Real{Frame: frame, Coefs: make([]program.CoefInfo, 1), States: []program.RealState{{StateInfo: state}}}
		for i := range 3 {
			real.Ops = append(real.Ops, program.RealOp{Op: program.Op{Kind: program.Input, Index: i}})
		}
		row := k.Of()
		op := program.Op{Kind: k, Args: []program.ID{0, 1, 2}[:row.Arity], K: big.NewRat(2, 1), Unit: "deg", Bool: row.Truth}
		real.Ops = append(real.Ops, program.RealOp{Op: op, Points: []program.Point{{X: new(big.Rat), Y: new(big.Rat)}, {X: big.NewRat(2, 1), Y: big.NewRat(3, 1)}}})
		linearise(real, []float64{1, 1, 1, 1}, program.None) // panics where it knows none
	}
}
