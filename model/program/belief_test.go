package program

import "testing"

// A believed course stays in range, within a step, and never stands still where it must not, whatever is wanted.
func TestBelief(t *testing.T) {
	for _, b := range []Belief{{Lo: -5, Hi: 90}, {Lo: -5, Hi: 90, Step: 7}, {Lo: 10, Hi: 90, Step: 3, Moves: true}, {Lo: 0, Hi: 1, Moves: true}} {
		wants := []int64{0, 0, 0, 1 << 40, 1 << 40, 90, 90, 90, -1 << 40, -1 << 40, 10, 10, 40, 41, 41, 41}
		reached := map[int64]bool{}
		last := int64(0)
		for n := range 400 {
			v := b.Next(n == 0, last, wants[n/25%len(wants)])
			if v < b.Lo || v > b.Hi || n > 0 && (b.Moves && v == last || b.Step > 0 && (v-last > b.Step || last-v > b.Step)) {
				t.Fatalf("%+v, tick %d: %d after %d", b, n, v, last)
			}
			last = v
			reached[v] = true
		}
		if !reached[b.Lo] || !reached[b.Hi] {
			t.Errorf("%+v: an end was not reached", b)
		}
	}
	p := &Fixed{Frame: Frame{Beliefs: []Belief{{Input: 1, Lo: 3, Hi: 5}}}}
	raw := []int64{100, 100}
	if p.Believe(nil, raw); raw[0] != 100 || raw[1] != 5 {
		t.Error(raw)
	}
}
