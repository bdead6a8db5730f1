package selection

import (
	"testing"

	"gainwright/model/program"
)

// TestOneAngleOfTwo holds that an angle which is taken twice, with tables of the same content, is computed once; where a right angle has another number of counts it is not.
func TestOneAngleOfTwo(t *testing.T) {
	table := func(quarter int64) *program.Arctan {
		return &program.Arctan{QuotientBits: 4, LogEntries: 1, Quarter: quarter, Entries: []int64{0, 30, 45, 45}}
	}
	angle := func(t *program.Arctan) program.FixedOp {
		return program.FixedOp{Op: program.Op{Kind: program.Angle, Args: []program.ID{0, 1}}, Arctan: t, Type: program.I16, Lo: -200, Hi: 200}
	}
	raw := program.FixedOp{Op: program.Op{Kind: program.Input}, Type: program.I16, Lo: -1 << 15, Hi: 1<<15 - 1}
	second := raw
	second.Index = 1
	p := &program.Fixed{Frame: program.Frame{Inputs: []program.InputInfo{{Type: program.I16}, {Type: program.I16}}},
		Ops: []program.FixedOp{raw, second, angle(table(90)), angle(table(90)), angle(table(96))}}
	_, same := simplify(p)
	if same[3] != 2 || same[4] != 4 {
		t.Errorf("the second and the third angle are those of operations %d and %d, want 2 and 4", same[3], same[4])
	}
}
