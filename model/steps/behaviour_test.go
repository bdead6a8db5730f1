package steps_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// rows runs a step on rows of inputs, on the real and the integer program, and returns y of both. Inputs are multiples of
// a count, so both see the same.
func rows(t *testing.T, text string, ins []in) (real, whole []float64) {
	t.Helper()
	r, w := newReference(lower(t, text)), newTwin(t, text)
	for _, now := range ins {
		real = append(real, r.tick(now))
		whole = append(whole, w.tick(now))
	}
	return real, whole
}

// near holds both to the values wanted; whole within half a count of 0.01.
func near(t *testing.T, what string, real, whole, want []float64) {
	t.Helper()
	for i := range want {
		if math.Abs(real[i]-want[i]) > 1e-9 || math.Abs(whole[i]-want[i]) > 0.0051 {
			t.Errorf("%s, tick %d: %v, in whole numbers %v, want %v", what, i, real[i], whole[i], want[i])
		}
	}
}

// TestHold: the value of the tick at which the condition rises is kept while it stays, falls, and until it rises again.
func TestHold(t *testing.T) {
	ins := []in{{"a": 5}, {"a": 6, "on": 1}, {"a": 7, "on": 1}, {"a": 8}, {"a": 9}, {"a": 90, "on": 1}, {"a": -90}, {"a": -80, "on": 1}}
	real, whole := rows(t, controller("100 Hz", "  y: {kind: hold, of: a, when: on rises, limits: [-50, 50], start: 1}"), ins)
	near(t, "rises", real, whole, []float64{1, 6, 6, 6, 6, 50, 50, -50})
	real, whole = rows(t, controller("100 Hz", "  y: {kind: hold, of: a, when: on falls}"), ins)
	near(t, "falls", real, whole, []float64{0, 0, 0, 8, 8, 8, -90, -90})
	real, whole = rows(t, controller("100 Hz", "  y: {kind: hold, of: a, when: not on}"), ins)
	near(t, "not", real, whole, []float64{5, 5, 5, 8, 9, 9, -90, -90})
}

// TestWindow: on only from inside the release limits, off only outside the limits, off while not armed.
func TestWindow(t *testing.T) {
	var ins []in
	for _, a := range []float64{30, 9, 6, 20, 24, 24.01, 20, 6.01, -6, -24, -24.01, -9, 0} {
		ins = append(ins, in{"a": a, "on": 1})
	}
	ins = append(ins, in{"a": 0}, in{"a": 20, "on": 1}, in{"a": 3, "on": 1})
	text := controller("100 Hz", `  up: {kind: window, of: a, limits: [-24, 24], release: [-6, 6], when: on}
  y: {kind: pid, target: b, measured: a, unit: m, kp: 0, ki: 0, enable: up, limits: [-9, 9]}`)
	text = strings.Replace(text, "kp: 0, ki: 0", "kp: -1", 1)
	want := []float64{0, 0, 1, 1, 1, 0, 0, 0, 1, 1, 0, 0, 1, 0, 0, 1}
	r, w := newReference(lower(t, text)), newTwin(t, text)
	var real, whole []float64
	for _, now := range ins {
		r.tick(now)
		w.tick(now)
		real, whole = append(real, r.get("up")), append(whole, w.get("up"))
	}
	if d := cmp.Diff([][]float64{want, want}, [][]float64{real, whole}); d != "" {
		t.Error(d)
	}
}

// TestBiasAtRest: the mean of the ticks wanted in a row is taken off exactly, motion starts it over, and after that
// it stands whatever comes.
func TestBiasAtRest(t *testing.T) {
	text := controllerOf("100 Hz", "m", "131", ", counts_per_unit: 131", `  r: {kind: bias_at_rest, of: a, limit: 2, average: 8 ticks}
  kept: {kind: hold, of: r, when: r.ready}
  y: {kind: sum, of: {r: 1, kept: 0.5}}`)
	count := func(n float64) in { return in{"a": n / 131} }
	r, w := newReference(lower(t, text)), newTwin(t, text)
	tick := func(n float64) (float64, float64, float64) {
		r.tick(count(n))
		w.tick(count(n))
		return r.get("r"), w.get("r"), w.get("r.ready")
	}
	for range 7 {
		tick(100)
	}
	tick(500) // 3.8 m: motion, the seven ticks are lost
	for i := range 8 {
		if y, z, ready := tick(float64(20 + i)); math.Abs(y-float64(20+i)/131) > 1e-12 || math.Abs(z-y) > 1e-12 || ready != 0 {
			t.Fatalf("tick %d of the mean: %v %v, ready %v", i, y, z, ready)
		}
	}
	for _, n := range []float64{23, 0, 3000, -3000, 24} { // the mean of 20 to 27 is 23.5 counts
		y, z, ready := tick(n)
		if math.Abs(y-(n-23.5)/131) > 1e-12 || ready != 1 {
			t.Errorf("%v counts less the mean is %v, want %v counts, ready %v", n, y*131, n-23.5, ready)
		}
		if math.Abs(z-y) > 0.5/131+1e-9 {
			t.Errorf("in whole numbers %v, want %v", z, y)
		}
	}
}

// TestSumClamp mixes: factors, an offset, limits, a factor of 0 and a change of unit.
func TestSumClamp(t *testing.T) {
	ins := []in{{"a": 1, "b": 2}, {"a": -30, "b": 40}, {"a": 90, "b": -90}}
	real, whole := rows(t, controller("100 Hz", "  y: {kind: sum, of: {a: 1, b: -0.5, w: 0}, unit: m, offset: 3, limits: [-40, 100]}"), ins)
	near(t, "sum", real, whole, []float64{3, -40, 100})
	real, whole = rows(t, controller("100 Hz", "  y: {kind: clamp, of: a, limits: [-5.5, 60]}"), ins)
	near(t, "clamp", real, whole, []float64{1, -5.5, 60})
}

// TestWrap goes through the seam both ways: a half turn is the low end, and a heading summed over it jumps by a turn.
func TestWrap(t *testing.T) {
	text := controllerOf("100 Hz", "deg", "50", ", counts_per_unit: 50", "  y: {kind: wrap, of: a}")
	real, whole := rows(t, text, []in{{"a": 179.98}, {"a": 180}, {"a": -180}, {"a": -180.02}, {"a": 540}, {"a": -600}, {"a": 359.98}})
	near(t, "wrap", real, whole, []float64{179.98, -180, -180, 179.98, -180, 120, -0.02})

	text = controllerOf("10 Hz", "deg", "100", ", counts_per_unit: 100", "  y: {kind: integrate, of: w, around: circle, start: 170, reset: back}")
	real, whole = rows(t, text, []in{{"w": 90}, {"w": 10}, {"w": 90}, {"w": -90}, {"w": -90}, {"back": 1}, {}, {"w": -1e9}})
	near(t, "heading", real[:7], whole[:7], []float64{179, -180, -171, -180, 171, 171, 170})
}

// TestErrorOnCircle: from 179 to -179 is 2 the short way, not -358.
func TestErrorOnCircle(t *testing.T) {
	text := controllerOf("100 Hz", "deg", "100", "", "  y: {kind: pid, target: a, measured: b, unit: deg, around: circle, kp: 1, limits: [-180, 180]}")
	real, whole := rows(t, text, []in{{"a": -179, "b": 179}, {"a": 179, "b": -179}, {"a": 90, "b": -90}, {"a": 10, "b": 4}})
	near(t, "error", real, whole, []float64{2, -2, -180, 6})
}

// TestAngle: the four quadrants, the axes, the zero vector, and limits.
func TestAngle(t *testing.T) {
	text := strings.ReplaceAll(controllerOf("100 Hz", "g", "1000", "", "  y: {kind: angle, of: [a, b], least_length: 0.3, limits: [-90, 90]}"), "raw: int32, unit: g", "raw: int32, unit: deg, counts_per_unit: 100")
	r, w := newReference(lower(t, text)), newTwin(t, text)
	for _, c := range [][3]float64{{0, 1, 0}, {1, 1, 45}, {1, 0, 90}, {1, -1, 90}, {0, -1, 90}, {-1, -1, -90}, {-1, 0, -90}, {-1, 1, -45}, {0, 0, 0}, {0.5, 0.866, 30}} {
		y, z := r.tick(in{"a": c[0], "b": c[1]}), w.tick(in{"a": c[0], "b": c[1]})
		if math.Abs(y-c[2]) > 1e-3 || math.Abs(z-y) > 0.06 {
			t.Errorf("angle of (%v, %v): %v, in whole numbers %v, want %v", c[0], c[1], y, z, c[2])
		}
	}
}

// TestLeastEffort: nothing below half a count; above, the least effort and a share of the rest; the limit stays the limit.
func TestLeastEffort(t *testing.T) {
	text := controllerOf("100 Hz", "m", "100", ", limits: [-100, 200], least_effort: 20", "  y: {kind: clamp, of: a, limits: [-300, 300]}")
	want := func(x float64) float64 {
		switch {
		case x >= 0.5:
			return math.Min(200, 20+x*180/200)
		case x <= -0.5:
			return math.Max(-100, -20+x*80/100)
		}
		return 0
	}
	r, w := newReference(lower(t, text)), newTwin(t, text)
	for _, x := range []float64{0, 0.49, -0.49, 0.5, -0.5, 1, -1, 50, -50, 199, 200, 250, -99, -100, -250} {
		r.tick(in{"a": x})
		w.tick(in{"a": x})
		if y := r.get("o"); math.Abs(y-want(x)) > 1e-9 || math.Abs(w.get("o")-want(x)) > 0.51 {
			t.Errorf("%v drives %v, in whole numbers %v, want %v", x, y, w.get("o"), want(x))
		}
	}
}

// TestEveryKindKeepsItsBound: every kind keeps its bound under hard inputs.
func TestEveryKindKeepsItsBound(t *testing.T) {
	for _, step := range []string{
		"low_pass, of: a, time_constant: 0.7 s", "low_pass, of: a, blend: 0.75, start: 3", "hold, of: a, when: on rises",
		"integrate, of: w, limits: [-100, 80], reset: back", "complementary, angle: a, rate: w, blend: 0.97", "clamp, of: a, limits: [-7, 8]",
		"sum, of: {a: 0.37, b: -1.21}", "bias_at_rest, of: a, limit: 30, average: 30 ticks",
	} {
		w := newTwin(t, controller("50 Hz", fmt.Sprintf("  y: {kind: %s}", step)))
		w.hammer(3000)
		if bound := local(w, "y"); bound > 0 && w.worst["y"] < 0.3 {
			t.Errorf("%s: %.2f of the bound %v was seen", step, w.worst["y"], bound)
		}
	}
}
