package steps_test

import (
	"math"
	"testing"
)

// effort is a PID of a less b into an output limited to [-1, 1] by default.
func effort(keys, limits string) string {
	return controllerOf("100 Hz", "m", "100", ", counts_per_unit: 1000, limits: "+limits, "  y: {kind: pid, target: a, measured: b, "+keys+"}")
}

// TestBackCalculation holds to the numbers of K = 2, Ti = 0.5 s, Tt = sqrt(Ti*Td) = 0.158113883 s, h = 0.01 s, effort limits +-1 and
// a constant error of 1 (computed; the method: Astrom and Hagglund, from memory). Computed are, for an integral updated
// after use: the excess v - u settles at K*Tt*e/Ti = 0.632455532 with a pole at 1 - h/Tt, the integral at -0.367544468, its
// first values are -0.0232455532, -0.0450209285, -0.0654191082.
//
// Ours is updated before use, so what is added to kp*e is the integral with this tick's ki*h*e = 0.04: that sum follows the
// computed recursion, and so do the excess and the pole. Started at -0.04 it starts where the computed one does, and
// every value carries over. Started at 0 only the limit does, and the state kept between ticks lies 0.04 lower: it lacks
// the next tick's ki*h*e.
func TestBackCalculation(t *testing.T) {
	const keys = "kp: 2, ki: 4, tracking_time: 158.113883 ms, integral_limits: [-9, 9], limits: [-1, 1]"
	for _, start := range []float64{-0.04, 0} {
		text := effort(keys+map[float64]string{-0.04: ", start: -0.04", 0: ""}[start], "[-30, 30]")
		r, w := newReference(lower(t, text)), newTwin(t, text)
		var used []float64
		last := 0.0
		for tick := range 400 {
			y, z := r.tick(in{"a": 1}), w.tick(in{"a": 1})
			if y != 1 || math.Abs(z-1) > 0.002 {
				t.Fatalf("tick %d: the effort is %v, %v", tick, y, z)
			}
			last = r.value(t, "y_sum")
			used = append(used, last-2) // less kp*e
		}
		if start == -0.04 {
			for i, want := range []float64{0, -0.0232455532, -0.0450209285, -0.0654191082} {
				if math.Abs(used[i]-want) > 5.1e-11 {
					t.Errorf("integral in use at tick %d: %.11f, computed %.10f", i, used[i], want)
				}
			}
		}
		if got := last - 1; math.Abs(got-0.632455532) > 1e-9 {
			t.Errorf("the excess settles at %.10f, computed 0.632455532", got)
		}
		if got := r.State[0]; math.Abs(got-(-0.367544468-0.04)) > 1e-9 {
			t.Errorf("the state settles at %.10f", got)
		}
		if pole := (used[30] - used[399]) / (used[29] - used[399]); math.Abs(pole-0.9367544468) > 1e-9 {
			t.Errorf("the pole is %.11f, computed 0.9367544468", pole)
		}
	}
}

// value is that of a named operation of the real program.
func (r *reference) value(t *testing.T, name string) float64 {
	t.Helper()
	for i, op := range r.p.Ops {
		if op.Name == name {
			return r.Values[i]
		}
	}
	t.Fatalf("no value %s", name)
	return 0
}

// TestClampedIntegral: the integral stops at its limits, which are those of the effort, which are at most those of the output;
// a new error acts on the effort from the first tick on.
func TestClampedIntegral(t *testing.T) {
	for _, c := range []struct {
		keys, output string
		most, least  float64
	}{
		{"ki: 50", "[-1, 2]", 2, -1},
		{"ki: 50, limits: [-8, 1.5]", "[-1, 2]", 1.5, -1},
		{"ki: 50, integral_limits: [-0.25, 0.5]", "[-1, 2]", 0.5, -0.25},
	} {
		text := effort(c.keys, c.output)
		r, w := newReference(lower(t, text)), newTwin(t, text)
		run := func(e float64, ticks int) (y, z float64) {
			for range ticks {
				y, z = r.tick(in{"a": e}), w.tick(in{"a": e})
			}
			return y, z
		}
		for _, turn := range [][2]float64{{1, c.most}, {-1, c.least}} {
			e, want := turn[0], turn[1]
			if y, z := run(e, 500); y != want || math.Abs(z-want) > 0.001 {
				t.Errorf("%s: %v, %v after 500 ticks of %v, want %v", c.keys, y, z, e, want)
			}
			before := r.get("y")
			if y, _ := run(-e, 1); !close(y-before, -e*50*0.01) {
				t.Errorf("%s: turned round, the effort moves by %v in one tick, want %v: it is wound up", c.keys, y-before, -e*0.5)
			}
		}
	}
}

// TestEnable: off, the effort is 0 and the integral is back at its start, from where it goes on; reset puts it back while on.
func TestEnable(t *testing.T) {
	text := effort("kp: 0.5, ki: 10, start: 0.2, enable: on, reset: back", "[-9, 9]")
	// on: kp*e + start + n*ki*h*e
	ins := []in{{"a": 1}, {"a": 1, "on": 1}, {"a": 1, "on": 1}, {"a": 1, "on": 1, "back": 1}, {"a": 1, "on": 1}, {"a": 1}, {"a": 1, "on": 1}, {"a": -1, "on": 1}}
	want := []float64{0, 0.8, 0.9, 1, 0.8, 0, 0.8, -0.3}
	r, w := newReference(lower(t, text)), newTwin(t, text)
	for i, now := range ins {
		if y, z := r.tick(now), w.tick(now); math.Abs(y-want[i]) > 1e-12 || math.Abs(z-want[i]) > 0.001 {
			t.Errorf("tick %d: %v, in whole numbers %v, want %v", i, y, z, want[i])
		}
	}
}

// TestFinalLimit: the effort that the integral sees is limited by the output it feeds, not by its own wider limits alone.
func TestFinalLimit(t *testing.T) {
	wide, none := newReference(lower(t, effort("kp: 1, ki: 10, limits: [-100, 100]", "[-1, 1]"))), newReference(lower(t, effort("kp: 1, ki: 10", "[-1, 1]")))
	for tick := range 300 {
		e := 1.0
		if tick >= 150 {
			e = -0.5
		}
		if a, b := wide.tick(in{"a": e}), none.tick(in{"a": e}); a != b || math.Abs(a) > 1 {
			t.Fatalf("tick %d: %v with wider limits of its own, %v without", tick, a, b)
		}
	}
}
