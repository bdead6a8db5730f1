package program

import (
	"math/big"
	"testing"
)

// TestWrapAtTheSeam: half a turn is the other end of the circle, to the count.
func TestWrapAtTheSeam(t *testing.T) {
	m := NewFixedMachine(&Fixed{Frame: Frame{Sections: make([]Section, 1), Inputs: []InputInfo{{Type: I16}}}, Ops: []FixedOp{
		{Op: Op{Kind: Input}}, {Op: Op{Kind: Wrap, K: big.NewRat(360, 1), Args: []ID{0}}}}})
	for x, want := range map[int64]int64{179: 179, 180: -180, 181: -179, -180: -180, -181: 179, 0: 0, 539: 179, -540: -180} {
		m.Tick([]int64{x}, nil)
		if m.Values[1] != want {
			t.Errorf("%d is wrapped to %d, %d is right", x, m.Values[1], want)
		}
	}
}
