package cert

import (
	"math/big"
	"testing"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/response"
)

// TestCoefReach: a live coefficient goes from the count of one end of its settings to that of the other, whichever is larger.
func TestCoefReach(t *testing.T) {
	for _, m := range []int64{6, -6} {
		got, want := reach(program.Setter{XLo: -10, XHi: 20, M: m, Shift: 1}), interval.Ints(-30, 60)
		if m < 0 {
			want = interval.Ints(-60, 30)
		}
		if got.Lo.Cmp(want.Lo) != 0 || got.Hi.Cmp(want.Hi) != 0 {
			t.Errorf("times %d: %s, %s is right", m, show(got), show(want))
		}
	}
}

// TestArctanSides: 65535 is the longest side that the division takes.
func TestArctanSides(t *testing.T) {
	p := &program.Fixed{Ops: []program.FixedOp{{Op: program.Op{Kind: program.Input}}, {Op: program.Op{Kind: program.Input}}, {Op: program.Op{Kind: program.Angle, Args: []program.ID{0, 1}}}}}
	for side, fits := range map[int64]bool{65535: true, 65536: false} {
		for _, r := range []interval.Range{interval.Ints(-side, 0), interval.Ints(0, side)} {
			for _, at := range []int{0, 1} {
				claims := []interval.Range{interval.Ints(0, 1), interval.Ints(0, 1), interval.Ints(0, 1)}
				claims[at] = r
				if err := checkInside(p, 2, claims); (err == nil) != fits {
					t.Errorf("argument %d in %s: %v", at+1, show(r), err)
				}
			}
		}
	}
}

// TestInputsBegin: an input that never is zero has not been there for ever: y' = y/2 + w with w in [1, 2] goes from 0 up to 4.
func TestInputsBegin(t *testing.T) {
	r := Recursion{Own: 1, Symbols: []int{0}, Next: []affine.Form{affine.Symbol(0).Scale(big.NewRat(1, 2)).Add(affine.Symbol(1))}, Start: []*big.Rat{new(big.Rat)}}
	out, _, err := r.bounds(func(int) interval.Range { return interval.Ints(1, 2) }, response.Sums, 200)
	if err != nil {
		t.Fatal(err)
	}
	if !out[0].Holds(interval.Ints(0, 4)) || !interval.Ints(-1, 5).Holds(out[0]) {
		t.Errorf("%s, [0, 4] is reached", show(out[0]))
	}
}

// TestUnlikeDecisions: where the two programs may decide differently about a reset or an enable, nothing is known of the state.
func TestUnlikeDecisions(t *testing.T) {
	at := func(enable, reset program.ID) *interval.Range {
		s := program.StateInfo{Next: 0, Enable: enable, Reset: reset, ResetTo: program.None}
		if reset != program.None {
			s.ResetTo = 0
		}
		gaps := []apart{equals(), {}, equals()}
		return after(&s, interval.Ints(0, 0), nil, func(id program.ID) apart { return gaps[id] })
	}
	if at(program.None, program.None) == nil || at(2, 2) == nil {
		t.Error("equal decisions are not known to be equal")
	}
	if at(1, program.None) != nil || at(program.None, 1) != nil {
		t.Error("decisions that may differ are taken as equal")
	}
}

// TestLimitedMayAgree: where a limit acts in both programs, what it limits no longer differs.
func TestLimitedMayAgree(t *testing.T) {
	g := limit(1, gap{apart: apart{known: true, r: interval.Ints(2, 3)}, form: affine.Symbol(0)}, 0)
	if !g.r.Holds(interval.Ints(0, 3)) || !g.bounds(func(int) interval.Range { return interval.Ints(2, 3) }).Holds(interval.Ints(0, 3)) {
		t.Errorf("the difference is said in %s", show(g.r))
	}
}
