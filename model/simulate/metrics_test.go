package simulate

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestSettle(t *testing.T) {
	for _, c := range []struct {
		e    []float64
		want int
	}{
		{[]float64{5, 3, 0.5, 0.2}, 2},
		{[]float64{5, 0.5, -3, 0.2, 1}, 3},
		{[]float64{0.1, 0.1}, 0},
		{[]float64{0.1, 2}, -1},
		// It comes in for the last moment of a stretch only: it may leave again.
		{append(slices.Repeat([]float64{2}, 19), 0.5), -1},
		{append(slices.Repeat([]float64{2}, 18), 0.5, 0.5), 18},
	} {
		if got := settle(c.e, 1); got != c.want {
			t.Errorf("%v settles at %d, expected %d", c.e, got, c.want)
		}
	}
}

func TestOvershoot(t *testing.T) {
	for _, c := range []struct {
		y             []float64
		final, change float64
		want          float64
	}{
		{[]float64{0, 5, 12, 9, 10}, 10, 10, 2},
		{[]float64{0, 5, 9, 10}, 10, 10, 0},
		{[]float64{-0.001, 5, 12, 9, 10}, 10, 10, 2},
		{[]float64{0.001, -30, 12, 9, 10}, 10, 10, 2}, // against the direction of the change: no overshoot
		{[]float64{10, 4, -3, 1, 0}, 0, -10, 3},
		{nil, 0, 1, 0},
	} {
		if got := overshoot(c.y, c.final, c.change); got != c.want {
			t.Errorf("%v overshoots %g by %g, expected %g", c.y, c.final, got, c.want)
		}
	}
}

func TestErrorAroundTheCircle(t *testing.T) {
	w := Watch{Turn: 360}
	for _, c := range [][3]float64{{179, -179, -2}, {-179, 179, 2}, {361, 0, 1}, {90, 0, 90}, {725, -355, 0}} {
		if got := w.Error(c[0], c[1]); got != c[2] {
			t.Errorf("%g against %g: error %g, expected %g", c[0], c[1], got, c[2])
		}
	}
	if got := (&Watch{}).Error(361, 0); got != 361 {
		t.Errorf("on a line: %g", got)
	}
}

func TestStretches(t *testing.T) {
	s := system(t, edited(t, "heading"))
	half := math.Pi / 2
	// Ticks of 20 ms: released at 4 s, turned at 6, disturbed from 10 to 10.2, turned at 14, 22, 30, end at 38.
	want := []stretch{{200, 200, 300, false, 0}, {300, 300, 500, false, half}, {510, 510, 700, true, 0}, {700, 700, 1100, false, half}, {1100, 1100, 1500, false, half}, {1500, 1500, 1901, false, half}}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })
	got := s.Scenario.stretches(&s.Scenario.Watch[0], 1901, 0.02)
	if d := cmp.Diff(want, got, cmp.AllowUnexported(stretch{}), near); d != "" {
		t.Errorf("stretches differ (-want +got):\n%s", d)
	}
	// A loop that fell at 12 s has none after it.
	if got := s.Scenario.stretches(&s.Scenario.Watch[0], 600, 0.02); len(got) != 3 || got[2].to != 600 {
		t.Errorf("stretches of a short run: %v", got)
	}
	// Ramps: one belongs to the stretch that begins with it; a point that repeats a value begins none; where a ramp ends the target may jump.
	for _, c := range []struct {
		points string
		want   []stretch
	}{
		{"{0 s: 0 deg, 6 s: 0 deg, 8 s: ramp to 20 deg}", []stretch{{200, 200, 300, false, 0}, {300, 400, 500, false, 20}, {510, 510, 1901, true, 0}}},
		{"{0 s: 0 deg, 6 s: ramp to 20 deg}", []stretch{{200, 300, 500, false, 0}, {510, 510, 1901, true, 0}}},
		{"{0 s: 0 deg, 9 s: 0 deg, 11 s: ramp to 20 deg}", []stretch{{200, 200, 450, false, 0}, {450, 500, 500, false, 20}, {510, 550, 1901, true, 0}}},
		{"{0 s: 0 deg, 14 s: 0 deg, 16 s: ramp to 20 deg, 18 s: ramp to 20 deg, 20 s: ramp to 5 deg}", []stretch{{200, 200, 500, false, 0}, {510, 510, 700, true, 0}, {700, 800, 900, false, 20}, {900, 1000, 1901, false, -15}}},
		{"{0 s: 0 deg, 14 s: 0 deg, 16 s: ramp to 20 deg, 16000 ms: 0 deg}", []stretch{{200, 200, 500, false, 0}, {510, 510, 700, true, 0}, {700, 800, 800, false, 20}, {800, 800, 1901, false, -20}}},
	} {
		s := system(t, edited(t, "heading", "{0 s: 0 deg, 6 s: 90 deg, 14 s: 180 deg, 22 s: -90 deg, 30 s: 0 deg}", c.points))
		for i := range c.want {
			c.want[i].change *= math.Pi / 180
		}
		if d := cmp.Diff(c.want, s.Scenario.stretches(&s.Scenario.Watch[0], 1901, 0.02), cmp.AllowUnexported(stretch{}), near); d != "" {
			t.Errorf("%s: stretches differ (-want +got):\n%s", c.points, d)
		}
	}
}

func TestSetPointOverTime(t *testing.T) {
	p := SetPoint{Points: []Point{{At: 0, Value: 1}, {At: 2, Value: 5}, {At: 6, Value: 9, Ramp: true}, {At: 8, Value: 0}}}
	for at, want := range map[float64]float64{0: 1, 1.99: 1, 2: 5, 3: 6, 5: 8, 6: 9, 7: 9, 8: 0, 100: 0} {
		if got := p.At(at); math.Abs(got-want) > 1e-12 {
			t.Errorf("at %g s: %g, expected %g", at, got, want)
		}
	}
}

// tone is a sine of amplitude 2 and 0.5 s period in ticks of 10 ms, times a factor that changes.
func tone(factor func(k int) float64) []float64 {
	out := make([]float64, 4096)
	for k := range out {
		out[k] = 2 * math.Sin(2*math.Pi*float64(k)/50) * factor(k)
	}
	return out
}

func TestOscillation(t *testing.T) {
	noise := uint64(1)
	random := func() float64 { // xorshift, evenly distributed around 0
		noise ^= noise << 13
		noise ^= noise >> 7
		noise ^= noise << 17
		return float64(noise>>11)/(1<<53) - 0.5
	}
	steady := oscillation(tone(func(int) float64 { return 1 }), 0.01, 1e-3)
	if !steady.Cycle || math.Abs(steady.Size-2) > 0.05 || math.Abs(steady.Period-0.5) > 0.01 || math.Abs(steady.Cross-0.5) > 0.001 {
		t.Errorf("a steady tone: %+v", steady)
	}
	square := tone(func(int) float64 { return 1 })
	for k, v := range square {
		square[k] = math.Copysign(3, v) + 7 + 0.001*float64(k) // on a slope
	}
	if o := oscillation(square, 0.01, 1e-3); !o.Cycle || math.Abs(o.Size-3) > 0.1 || math.Abs(o.Period-0.5) > 0.01 {
		t.Errorf("a square wave on a slope: %+v", o)
	}
	if o := oscillation(tone(func(k int) float64 { return math.Exp(-float64(k) / 1000) }), 0.01, 1e-3); o.Cycle {
		t.Errorf("a dying tone is called a limit cycle: %+v", o)
	}
	white := make([]float64, 4096)
	for k := range white {
		white[k] = random()
	}
	if o := oscillation(white, 0.01, 1e-3); o.Cycle || o.Size < 0.4 {
		t.Errorf("noise: %+v", o)
	}
	if o := oscillation(tone(func(int) float64 { return 1e-6 }), 0.01, 1e-3); o.Cycle || o.Period != 0 {
		t.Errorf("a tone below what counts: %+v", o)
	}
	if o := oscillation(make([]float64, 10), 0.01, 1e-3); o != (Oscillation{}) {
		t.Errorf("too few samples: %+v", o)
	}
}

// A motor with stiction under an integral hunts around its target for ever; without stiction it comes to rest.
func TestStictionHunts(t *testing.T) {
	text := `controller: aim
rate: 200 Hz
inputs:
  angle: {raw: int32, unit: deg, counts_per_unit: 10000, range: [-90, 90]}
steps:
  effort: {kind: pid, target: 20, measured: angle, kp: 0.25, ki: 0.5, kd: 0.002, derivative_filter: 20 ms, limits: [-12, 12]}
outputs:
  volts: {from: effort, raw: int32, unit: V, counts_per_unit: 10000, limits: [-12, 12]}
plant:
  kind: dc_motor
  inertia: 50 g.cm^2
  resistance: 2 Ohm
  torque_constant: 20 mN.m/A
  viscous_friction: 1 mN.m.s
  static_friction: 10 mN.m
  sliding_friction: 6 mN.m
  actuators: {voltage: {from: volts, full: 12 V, gives: 12 V}}
  sensors: {angle: {of: angle}}
scenario:
  duration: 120 s
  watch: {angle: {target: 20 deg, band: 0.5 deg}}
`
	o := system(t, text).twice(1).Loops[Reference].Watch[0].Residual
	if !o.Cycle || o.Size < 0.05 || o.Period < 0.2 {
		t.Errorf("with stiction: %+v", o)
	}
	smooth := edit(t, text, "  static_friction: 10 mN.m\n", "", "  sliding_friction: 6 mN.m\n", "")
	// Without the viscous friction the motor swings by 61.5 deg at 25 Hz: computed apart from this code, in closed form from event to event.
	wild := system(t, edit(t, text, "  viscous_friction: 1 mN.m.s\n", "")).twice(1).Loops[Reference].Watch[0].Residual
	if !wild.Cycle || math.Abs(wild.Size-61.49) > 0.2 || math.Abs(wild.Period-0.04) > 1e-6 {
		t.Errorf("without viscous friction: %+v", wild)
	}
	if o := system(t, smooth).twice(1).Loops[Reference].Watch[0].Residual; o.Cycle || o.Size > 1e-3 {
		t.Errorf("without stiction: %+v", o)
	}
}
