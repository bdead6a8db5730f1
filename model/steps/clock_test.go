package steps_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestEveryNthTick holds filters and a PI that run every n ticks against scipy on the decimated input, tick by tick from the start, and what the integers do against that.
func TestEveryNthTick(t *testing.T) {
	kinds := map[string]string{"low_pass": "kind: low_pass, of: a, time_constant: 200 ms", "second_order": "kind: second_order, of: a, response: low_pass, frequency: 4 Hz, q: 0.8",
		"pid": "kind: pid, target: a, measured: zero, kp: 3, ki: 2, unit: m, limits: [-3000, 3000]"}
	type run struct {
		ref  *reference
		twin *twin
		most float64
	}
	runs := map[string]*run{}
	for _, row := range table(t, "decimated.csv") {
		name := fmt.Sprint(row["case"], row["every"], row["phase"])
		if runs[name] == nil {
			clock := fmt.Sprintf(", every: %s ticks, phase: %s ticks", row["every"], row["phase"])
			if row["every"] == "1" {
				clock = ""
			}
			text := controllerOf("100 Hz", "m", "100", ", counts_per_unit: 100000", fmt.Sprintf("  zero: {kind: sum, of: {b: 1}}\n  y: {%s%s}", kinds[row["case"]], clock))
			runs[name] = &run{newReference(lower(t, text)), newTwin(t, text), 0}
		}
		r, now, want := runs[name], in{"a": number(t, row["x"])}, number(t, row["y"])
		if got := r.ref.tick(now); math.Abs(got-want) > 1e-9*math.Max(1, math.Abs(want)) {
			t.Fatalf("%s, tick %s: %v, scipy says %v", name, row["k"], got, want)
		}
		r.most = max(r.most, math.Abs(r.twin.tick(now)-want))
	}
	if len(runs) != 18 {
		t.Errorf("%d runs", len(runs))
	}
	for name, r := range runs {
		if r.most > 0.5 || r.most == 0 { // of 300, with the constants that are stored
			t.Errorf("%s: the integers are %v off", name, r.most)
		}
	}
}

// slowly runs a controller of one step for some ticks, and gives what y is in each.
func slowly(t *testing.T, steps string, ticks int, at func(k int) in) (out []float64) {
	t.Helper()
	text := controllerOf("100 Hz", "m", "100", ", counts_per_unit: 1000", steps)
	ref, twin := newReference(lower(t, text)), newTwin(t, text)
	for k := range ticks {
		y := ref.tick(at(k))
		if z := twin.tick(at(k)); math.Abs(y-z) > 0.02 {
			t.Fatalf("tick %d: %v, in integers %v", k, y, z)
		}
		out = append(out, y)
	}
	return out
}

// TestEveryPulseResets: a reset of one tick, at whatever tick, resets a step that runs every 16 ticks once, at its next run; and so does one that comes on.
func TestEveryPulseResets(t *testing.T) {
	for _, reset := range []string{"on", "on rises", "(not on) falls", "on and not back", "a > 5 m"} {
		for _, phase := range []int{0, 5} {
			for pulse := 20; pulse < 36; pulse++ {
				y := slowly(t, fmt.Sprintf("  y: {kind: integrate, of: w, limits: [-100, 100], reset: %s, every: 16 ticks, phase: %d ticks}", reset, phase), 90, func(k int) in {
					now := in{"w": 1, "on": 0, "a": 0}
					if k == pulse {
						now["on"], now["a"] = 1, 9
					}
					return now
				})
				resets, at := 0, 0
				for k := 1; k < len(y); k++ {
					if y[k] < y[k-1] {
						resets, at = resets+1, k
					}
				}
				next := pulse
				for next%16 != phase {
					next++
				}
				if late := at - next; resets != 1 || late != 0 && late != 16 { // the sum of a run is what it was before it, or is not
					t.Errorf("%s, phase %d: a pulse at tick %d resets %d times, at %d", reset, phase, pulse, resets, at)
				}
			}
		}
	}
}

// TestPreviousOfSlow: what a signal was is what it was when its step last ran, before this tick; it may be that of a slower step or of a faster one.
func TestPreviousOfSlow(t *testing.T) {
	ramp := func(k int) in { return in{"a": float64(k)} }
	slow := slowly(t, "  s: {kind: sum, of: {a: 1}, every: 4 ticks, start: 0}\n  y: {kind: formula, value: previous s}", 14, ramp)
	fast := slowly(t, "  s: {kind: sum, of: {a: 1}, start: 0}\n  y: {kind: formula, value: previous s, every: 4 ticks}", 14, ramp)
	both := slowly(t, "  s: {kind: sum, of: {a: 1}, every: 4 ticks, start: 0}\n  y: {kind: formula, value: previous s, every: 4 ticks}", 14, ramp)
	for k := range 14 {
		last := 0.0 // the last run before this tick
		if k > 0 {
			last = float64((k - 1) / 4 * 4)
		}
		if slow[k] != last {
			t.Errorf("tick %d: a slower one was %v, %v is expected", k, slow[k], last)
		}
		if want := math.Max(0, float64(k/4*4-1)); fast[k] != want {
			t.Errorf("tick %d: a faster one was %v, %v is expected", k, fast[k], want)
		}
		if want := math.Max(0, float64(k/4*4-4)); both[k] != want {
			t.Errorf("tick %d: one of the same clock was %v, %v is expected", k, both[k], want)
		}
	}
}

// TestHeldBetweenRuns: between its runs nothing that a step is fed with shows, a switch no more than a number; and at the first tick each step runs, whatever its phase.
func TestHeldBetweenRuns(t *testing.T) {
	y := slowly(t, "  s: {kind: formula, value: on, every: 3 ticks, phase: 2 ticks}\n  y: {kind: formula, value: if s then 1 m else 0 m}", 12, func(k int) in {
		return in{"on": float64((k + 1) % 2)}
	})
	for k, want := range []float64{1, 1, 1, 1, 1, 0, 0, 0, 1, 1, 1, 0} {
		if y[k] != want {
			t.Errorf("tick %d: %v, %v is expected", k, y[k], want)
		}
	}
	first := slowly(t, "  y: {kind: delay, of: a, time: 4 ticks, every: 2 ticks, phase: 1 tick}", 9, func(k int) in { return in{"a": float64(k)} })
	for k, want := range []float64{0, 0, 0, 0, 0, 1, 1, 3, 3} { // runs at 0, 1, 3, 5, 7: two runs back
		if first[k] != want {
			t.Errorf("tick %d of a delay: %v, %v is expected", k, first[k], want)
		}
	}
}

// TestTimesOfSlowSteps: a time is a time, however often a step runs; a number of ticks is one of the controller's.
func TestTimesOfSlowSteps(t *testing.T) {
	one := lower(t, controllerOf("100 Hz", "m", "100", "", "  y: {kind: low_pass, of: a, time_constant: 12 ticks, every: 4 ticks}"))
	other := lower(t, controllerOf("25 Hz", "m", "100", "", "  y: {kind: low_pass, of: a, time_constant: 120 ms}"))
	for i := range one.Ops {
		if a, b := one.Ops[i].K, other.Ops[i].K; a != nil && a.Cmp(b) != 0 {
			t.Errorf("%s is %v, at a quarter of the rate %v", one.Ops[i].Name, a, b)
		}
	}
	if len(one.Ops) != len(other.Ops) || strings.Contains(one.Sections[1].Equation, "runs") {
		t.Error("they are other programs")
	}
}
