package plant

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// Losses in bursts by a chain of two states (Gilbert, Capacity of a burst-noise channel, Bell System Technical Journal 39, 1960; from
// memory): with the probability 1/burst to leave, lengths are geometric with that mean, and the share of the time spent in loss is dropped.
func TestLossesInBursts(t *testing.T) {
	for _, c := range []struct{ dropped, burst float64 }{{0.1, 8}, {0.02, 20}, {0.5, 2}, {0.3, 1}} {
		p := readPlant(t, fmt.Sprintf(ramp, "", fmt.Sprintf(", dropped: %g, burst: %g", c.dropped, c.burst), "0 s"))
		n, lost, runs, long, was := p.NewNoise(3), 0.0, 0.0, 0.0, false
		const ticks = 400_000
		for range ticks {
			now := n.Next().Dropped[0]
			if now {
				lost++
			}
			if now && !was {
				runs++
			}
			was = now
		}
		if runs > 0 {
			long = lost / runs
		}
		burst := c.burst
		if burst == 1 {
			burst = 1 / (1 - c.dropped) // ticks on their own
		}
		// Standard deviations: a mean of k geometric lengths is off by burst*sqrt(1-1/burst)/sqrt(k), the share by about sqrt(2*burst*share/ticks).
		if off := 5 * burst / math.Sqrt(runs); math.Abs(long-burst) > off {
			t.Errorf("dropped %g, burst %g: a loss lasts %.3f ticks, expected %.3f to within %.3f", c.dropped, c.burst, long, burst, off)
		}
		if off := 5 * math.Sqrt(2*burst*c.dropped/ticks); math.Abs(lost/ticks-c.dropped) > off {
			t.Errorf("dropped %g, burst %g: a share of %.4f is lost, to within %.4f", c.dropped, c.burst, lost/ticks, off)
		}
	}
}

// A bias that walks: its variance grows with the time, and its Allan variance over groups of m ticks is K^2*m*h/3 with K = bias_walk/sqrt(walk_time)
// (IEEE Std 952-1997, annex C, rate random walk; from memory), here with the term for whole ticks, (2*m^2+1)/(6*m).
func TestBiasWalks(t *testing.T) {
	p := readPlant(t, fmt.Sprintf(ramp, "", ", bias_walk: 60 mV, walk_time: 9 s", "0 s"))
	const h, m, groups = 0.01, 50, 8000
	step := 0.06 * math.Sqrt(h/9)
	n, means := p.NewNoise(5), make([]float64, groups)
	for g := range means {
		for range m {
			means[g] += n.Next().Walked[0] / m
		}
	}
	allan := 0.0
	for g := range groups - 1 {
		d := means[g+1] - means[g]
		allan += d * d / 2 / (groups - 1)
	}
	if want := step * step * (2*m*m + 1) / (6 * m); math.Abs(allan-want) > 0.08*want {
		t.Errorf("Allan variance %.4g over %d ticks, expected %.4g", allan, m, want)
	}
	sum := 0.0
	const runs = 2000
	for seed := range uint64(runs) {
		n, last := p.NewNoise(seed), 0.0
		for range 100 {
			last = n.Next().Walked[0]
		}
		sum += last * last / runs
	}
	if want := 0.06 * 0.06 / 9; math.Abs(sum-want) > 5*want*math.Sqrt(2./runs) {
		t.Errorf("variance %.4g V^2 after 1 s, expected %.4g", sum, want)
	}
	if got := p.Sensors[0].Count(1, 0, 0, 0.25); got != 1250 {
		t.Errorf("1 V and a walk of 0.25 V: %d counts, expected 1250", got)
	}
}

// Effects draw from streams of their own: what they add leaves the noise as it was, and the same seed gives the same.
func TestEffectsLeaveTheNoiseAlone(t *testing.T) {
	draw := func(sensor string) (out []float64) {
		n := readPlant(t, fmt.Sprintf(ramp, "", ", noise: 50 mV, late: 0"+sensor, "1 ms")).NewNoise(11)
		for range 50 {
			c := n.Next()
			out = append(out, c.Gauss[0], c.Jitter)
		}
		return out
	}
	plain, with := draw(""), draw(", dropped: 10 %, burst: 5, bias_walk: 1 mV, walk_time: 1 s")
	for i := range plain {
		if plain[i] != with[i] {
			t.Fatalf("number %d: %g and %g", i, plain[i], with[i])
		}
	}
}

// Delays and jitter on a plant that is stepped with a watch on its error: steps run on over ticks at which nothing changes, and samples are taken
// inside them. Against steps of a hundredth of a tick, and a tolerance 32 times as strict.
func TestDelaysInsideSteps(t *testing.T) {
	text := fmt.Sprintf(cartText, "  backlash: 1 deg\n  static_friction: 3 mN.m\n  battery: {voltage: 7.7 V, empty: 6.2 V, capacity: 9 A.s, resistance: 0.35 Ohm, load: 0.12 A}\n", "battery, delay: %s") +
		`  sensors:
    forward: {of: accel_forward, delay: %s}
    up: {of: accel_up, delay: 7 ms}
    rate: {of: pitch_rate}
  timing: {jitter: %s}
`
	for _, c := range [][]any{{"1 ms", "3 ms", "50 us"}, {"6 ms", "0.4 ms", "0 s"}, {"0 s", "5 ms", "1 ms"}, {"5 ms", "0 s", "0 s"}, {"0.2 ms", "4.9 ms", "2 ms"}} {
		run := func(fine bool) (seen [][]float64) {
			p := readPlantAt(t, "200", fmt.Sprintf(text, c...))
			if fine {
				p.longest, p.tolerance = 5e-5, p.tolerance/32
			}
			r, noise, raw := p.NewRig(map[string]float64{"pitch": 0.06}), p.NewNoise(1), make([]int64, 4)
			loads := p.rest()
			for k := range 150 {
				chance := noise.Next()
				r.Sense(chance, raw)
				seen = append(seen, []float64{float64(raw[0]), float64(raw[1]), float64(raw[2]), r.Quantities[0], r.Quantities[2], r.Volts})
				r.Apply([]float64{float64(k/7%5)*2 - 4.5, 0})
				if k == 60 || k == 64 {
					loads[1] = 1 - loads[1] // a push that begins and ends
				}
				r.Advance(chance.Jitter, loads)
			}
			return seen
		}
		a, b := run(false), run(true)
		for _, s := range [][][]float64{a, b} { // the lowest voltage is seen at the ends of steps alone
			for k := range s {
				s[k] = s[k][:5]
			}
		}
		if off, column, row := apart(a, b); off > 1e-6 {
			t.Errorf("%v: column %d at tick %d is off by %.2g of the largest value", c, column, row, off)
		}
	}
}

// Ticks of seconds, in which a machine does a great deal: many steps, whose error still is what holds them down.
func TestSlowTicks(t *testing.T) {
	p := readPlantAt(t, "1/8", fmt.Sprintf(cartText, "  backlash: 2 deg\n  static_friction: 6 mN.m\n", "10 V"))
	run := func(p *Plant) [][]float64 {
		_, rows := readTable(t, "pendulum_falls")
		columns := []string{"tick", "out drive", "load push", "pitch", "pitch_rate", "travel", "speed"}
		for k := range rows {
			rows[k] = rows[k][:len(columns)]
		}
		return follow(t, p, map[string]float64{"pitch": 0.02}, columns, rows[:30])
	}
	strict := *p
	strict.tolerance /= 32
	if off, column, row := apart(run(p), run(&strict)); off > 1e-6 {
		t.Errorf("column %d at tick %d moves by %.2g of the largest value", column, row, off)
	}
}

// What does not go together is told.
func TestBadEffects(t *testing.T) {
	cart := fmt.Sprintf(cartText, "", "10 V")
	for _, c := range []struct{ sensor, want string }{
		{"rate: {of: pitch_rate, cross_axis: 2 %}", "plant.sensors.rate.cross_axis: of a two_wheel_pendulum nothing is known at right angles to pitch_rate [no-axis]"},
		{"forward: {of: accel_forward, cross_axis: 200 %}", "plant.sensors.forward.cross_axis: expected at most 1"},
		{"forward: {of: accel_forward, mounting_angle: 200 deg}", "plant.sensors.forward.mounting_angle: expected at most"},
		{"forward: {of: accel_forward, vibration: 1 m/s^2}", "plant.sensors.forward.vibration: vibration needs vibration_speed"},
		{"rate: {of: pitch_rate, bias_walk: 0.01 rad/s}", "plant.sensors.rate.bias_walk: bias_walk needs walk_time"},
		{"rate: {of: pitch_rate, bias_walk: 0.01 rad/s, walk_time: 0 s}", "plant.sensors.rate.walk_time: expected a number above 0"},
		{"rate: {of: pitch_rate, burst: 5}", "plant.sensors.rate.burst: burst needs dropped"},
		{"rate: {of: pitch_rate, burst: 0.5, dropped: 1 %}", "plant.sensors.rate.burst: a loss lasts a tick at least, found 0.5"},
		{"rate: {of: pitch_rate, burst: 2, dropped: 80 %}", "with losses of 2 ticks and a tick between them at least, at most 0.667 can be dropped"},
	} {
		said := findings(t, cart+"  sensors: {"+c.sensor+"}\n")
		if !strings.Contains(said, c.want) {
			t.Errorf("%s:\n%s expected %s", c.sensor, said, c.want)
		}
	}
	for _, c := range []struct{ plant, want string }{
		{fmt.Sprintf(ramp, "", ", mounting_angle: 1 deg", "0 s"), "plant.sensors.seen.mounting_angle: level is read alike however the sensor sits [no-axis]"},
		{fmt.Sprintf(ramp, "", ", vibration: 1 V, vibration_speed: 1 rad/s", "0 s"), "plant.sensors.seen.vibration: no motor of a transfer_function is known that could shake anything [no-motor]"},
	} {
		if said := findings(t, strings.TrimPrefix(c.plant, "plant:\n")); !strings.Contains(said, c.want) {
			t.Errorf("%s:\n%s expected %s", c.plant, said, c.want)
		}
	}
}
