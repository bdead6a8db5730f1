package selection_test

import (
	"math/big"
	"testing"

	"gainwright/model/program"
	"gainwright/model/selection"
	"gainwright/model/target"
)

// TestRoundingsOfTwoClocks: two roundings are one where they are made at the same ticks, and stay two where the first is held.
func TestRoundingsOfTwoClocks(t *testing.T) {
	for _, clock := range []program.Clock{{}, {Every: 4}} {
		op := func(kind program.Kind, section int, most int64, args ...program.ID) program.FixedOp {
			o := program.FixedOp{Op: program.Op{Kind: kind, Args: args, Section: section}, Type: program.Holding(-most, most), Lo: -most, Hi: most, LSB: big.NewRat(1, 1)}
			if kind == program.Round {
				o.Shift = 4
			}
			return o
		}
		p := &program.Fixed{
			Frame: program.Frame{Inputs: []program.InputInfo{{Name: "x", Type: program.I32}}, Sections: []program.Section{{Name: "in"}, {Name: "slow", Clock: clock}, {Name: "out"}},
				Outputs: []program.Output{{Name: "y", Type: program.I16, Value: 2}}},
			Ops: []program.FixedOp{op(program.Input, 0, 1<<20), op(program.Round, 1, 1<<16, 0), op(program.Round, 2, 1<<12, 1)},
		}
		s := selection.Select(p, target.Named("cortex-m0"), selection.Speed)
		if merged := s.Program.Ops[2].Shift == 8; merged != (clock == program.Clock{}) {
			t.Errorf("%v: merged %v", clock, merged)
		}
		run(t, s)
		held := 0
		for _, r := range s.Runs() {
			held += len(r.Held)
		}
		if want := len(s.Runs()) / 3; held != want || clock.Every != 0 && held != 1 {
			t.Errorf("%v: %d values are held", clock, held)
		}
	}
}
