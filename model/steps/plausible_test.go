package steps_test

import (
	"math/rand/v2"
	"strings"
	"testing"
)

// believer is the contract of a plausible step in plain words, on counts. It shares nothing with the lowering.
type believer struct {
	lo, hi       int
	back, frozen int // ticks; frozen 0: not looked for
	step         int // counts in a tick; 0: not looked for

	last       int
	any        bool // some reading was in range
	good, away int  // ticks in a row in range, or out of it
	left       bool // it left the range in a jump
	same       int
	tripped    bool
	was        bool // the reset at the last tick
}

func (b *believer) tick(x int, reset, when bool) (on bool) {
	if reset && !b.was {
		b.tripped = false
	}
	b.was = reset
	far := func(n int) bool { return x-b.last > n*b.step || b.last-x > n*b.step }
	if x < b.lo || x > b.hi {
		if b.good > 0 {
			b.left = b.step > 0 && far(1)
		}
		b.good, b.same = 0, 0
		b.away++
		if b.left && (b.away >= b.back && b.back > 1 || b.away == b.back) { // a reset while it is away is no use, but for what need not come back
			b.tripped = true
		}
		return false
	}
	switch {
	case b.step == 0 || !b.any:
	case b.good > 0:
		b.tripped = b.tripped || far(1)
	case b.back > 1: // back in range
		b.tripped = b.tripped || far(b.back)
	}
	if b.same++; x != b.last {
		b.same = 0
	}
	if b.frozen > 0 && b.same >= b.frozen {
		b.tripped = true
	}
	b.last, b.any, b.left, b.away = x, true, false, 0
	b.good++
	return b.good >= b.back && !b.tripped && when
}

// probe is a spec whose step s is on where a pid drives.
func probe(keys string) string {
	return controller("10 Hz", "  s: {kind: plausible, of: a, range: [-5, 50]"+keys+"}\n  y: {kind: pid, target: b, measured: a, enable: s, unit: m, kp: -1, limits: [-9, 9]}")
}

// TestPlausible runs the step beside its contract in plain words, on walks, jumps, dropouts, dead wires and stuck bits.
func TestPlausible(t *testing.T) {
	for _, c := range []struct {
		keys string
		of   believer
	}{
		{"", believer{back: 1}},
		{", back_after: 5 ticks", believer{back: 5}},
		{", fastest: 20 m/s, reset: back", believer{back: 1, step: 200}},
		{", fastest: 20 m/s, back_after: 4 ticks, reset: back", believer{back: 4, step: 200}},
		{", fastest: 19.97 m/s, back_after: 1 s, frozen_after: 6 ticks, reset: back, when: on", believer{back: 10, step: 199, frozen: 6}},
		{", frozen_after: 2 ticks, reset: back rises", believer{back: 1, frozen: 2}},
		{", frozen_after: 300 ms, back_after: 2 ticks", believer{back: 2, frozen: 3}},
	} {
		rng := rand.New(rand.NewPCG(7, 7))
		c.of.lo, c.of.hi = -500, 5000
		on, tripped, ticks := 0, 0, 20_000
		text := probe(c.keys)
		text = strings.Replace(text, "outputs:", "  seen: {kind: hold, of: b, when: s.tripped}\noutputs:", 1)
		text = strings.Replace(text, "o: {from: y", "p: {from: seen, raw: int32, unit: m}\n  o: {from: y", 1)
		r, w := newReference(lower(t, text)), newTwin(t, text)
		b := c.of
		x, mode, left, level := 1000, 0, 0, false
		for k := range ticks {
			if left--; left < 0 {
				mode, left = rng.IntN(7), rng.IntN(25)
			}
			if x += rng.IntN(61) - 30; x < -600 || x > 5100 || rng.IntN(400) == 0 {
				x = rng.IntN(5000)
			}
			raw := x
			switch mode {
			case 1:
				raw = -1 // a wire that broke; in range here
			case 2:
				raw = 32767
			case 3:
				raw = x | 1<<9
			case 4:
				raw = int(int16(x &^ 1 << 8))
			case 5:
				raw = b.last
			}
			level = level != (rng.IntN(40) == 0)
			when := !strings.Contains(c.keys, "when") || rng.IntN(9) > 0
			now := in{"a": float64(raw) / 100, "back": 0, "on": 0}
			reset := level && strings.Contains(c.keys, "reset")
			if level {
				now["back"] = 1
			}
			if when {
				now["on"] = 1
			}
			r.tick(now)
			w.tick(now)
			want := 0.0
			if b.tick(raw, reset, when) {
				want = 1
				on++
			}
			latched := 0.0
			if b.tripped {
				latched = 1
				tripped++
			}
			if r.get("s") != want || w.get("s") != want || r.get("s.tripped") != latched || w.get("s.tripped") != latched {
				t.Fatalf("%s, tick %d, reading %d: on %v, in whole numbers %v, want %v; tripped %v, %v, want %v", c.keys, k, raw, r.get("s"), w.get("s"), want, r.get("s.tripped"), w.get("s.tripped"), latched)
			}
		}
		looked := strings.Contains(c.keys, "fastest") || strings.Contains(c.keys, "frozen")
		if on == 0 || looked != (tripped > 0) {
			t.Errorf("%s: on in %d ticks of %d, tripped in %d", c.keys, on, ticks, tripped)
		}
	}
}

// TestPlausibleRange: the limits stand on whole counts inside what is declared, with a sensor mounted backwards and one with an offset.
func TestPlausibleRange(t *testing.T) {
	for _, c := range []struct {
		input     string
		counts    float64 // per unit, without the sign
		low, high int     // raw counts that are the outermost believed ones
	}{
		{"counts_per_unit: 100", 100, -150, 1000},
		{"counts_per_unit: 3", 3, -4, 30},
		{"counts_per_unit: -3", 3, 4, -30},
		{"counts_per_unit: 64, offset: 0.4", 64, -121, 614},
		{"counts_per_unit: 7, range: [-20, 20]", 7, -10, 70},
	} {
		text := strings.Replace(probe(""), "counts_per_unit: 100", c.input, 1)
		w := newTwin(t, strings.Replace(text, "[-5, 50]", "[-1.5, 10]", 1))
		out := 1
		if c.low > c.high {
			out = -1
		}
		for raw, want := range map[int]float64{c.low: 1, c.low - out: 0, c.high: 1, c.high + out: 0} {
			w.tick(in{"a": float64(raw) / c.counts})
			if got := w.get("s"); got != want {
				t.Errorf("%s: at %d counts on is %v", c.input, raw, got)
			}
		}
	}
}

// TestPlausibleCountsStay: however long a reading is good or frozen, the counts of it stay where they are.
func TestPlausibleCountsStay(t *testing.T) {
	w := newTwin(t, probe(", back_after: 32767 ticks, frozen_after: 32767 ticks"))
	for k := range 70_000 {
		w.tick(in{"a": 7})
		want := 0.0
		if k == 32_766 { // good for long enough, and frozen a tick later
			want = 1
		}
		if on := w.get("s"); on != want {
			t.Fatalf("tick %d: on is %v", k, on)
		}
	}
}
