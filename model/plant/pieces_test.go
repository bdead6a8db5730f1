package plant

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// replay gives a plant an output at each tick, with loads, and returns what a quantity was at the ticks, the start first.
func replay(t *testing.T, p *Plant, quantity string, outputs []float64, loads map[string]float64) []float64 {
	t.Helper()
	r, noise := p.NewRig(nil), p.NewNoise(1)
	acting, q := p.rest(), p.Quantity(quantity)
	for name, v := range loads {
		acting[p.Input(name)] = v
	}
	var seen []float64
	for _, v := range append(outputs, 0) {
		r.Sense(noise.Next(), make([]int64, 1))
		seen = append(seen, r.Quantities[q])
		r.Apply([]float64{v})
		r.Advance(0, acting)
	}
	if r.solver.strained > 0 {
		t.Errorf("%d pieces took too many steps", r.solver.strained)
	}
	return seen
}

func constantly(v float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// at50 is a plant below a controller at 50 Hz.
func at50(t *testing.T, section string) *Plant {
	t.Helper()
	p := readPlant(t, section)
	slow := *p.spec
	slow.Rate.SetInt64(50)
	p.spec = &slow
	return p
}

const dryMotor = `plant:
  kind: dc_motor
  inertia: 10 g.cm^2
  resistance: 2 Ohm
  torque_constant: 20 mN.m/A
  static_friction: 2 mN.m
  actuators: {voltage: {from: drive, full: 10 V, gives: 10 V}}
  sensors: {}
`

// A motor whose time constant is a quarter of the tick breaks away within the tick, and stops within it. Closed form: to (V - R*T/k)/k with the
// time constant J*R/k^2 = 5 ms while it turns, back to 0 with -R*T/k^2 as the goal, and there it stays.
func TestMotorBreaksAwayInsideATick(t *testing.T) {
	for _, volts := range []float64{3, 6, -6} {
		seen := replay(t, at50(t, dryMotor), "speed", append(constantly(volts, 5), constantly(0, 2)...), nil)
		goal := (volts - math.Copysign(0.2, volts)) / 0.02
		for k, got := range seen {
			want := goal * (1 - math.Exp(-4*float64(k)))
			if k > 5 {
				want = 0 // 20 ms are enough: ln((290+10)/10)*5 ms = 17 ms
			}
			if math.Abs(got-want) > 1e-6*math.Abs(goal) {
				t.Errorf("%g V, after %d ticks: %.9g rad/s, expected %.9g", volts, k, got, want)
			}
		}
		way := replay(t, at50(t, dryMotor), "angle", append(constantly(volts, 5), constantly(0, 2)...), nil)
		// Rising: goal*(t - tau + tau*exp(-t/tau)); falling from w: (w + 10)*tau - 10*(tau + T) over the time T = tau*ln((w + 10)/10).
		s, w := math.Abs(goal), math.Abs(goal)*(1-math.Exp(-20))
		want := s*(0.1-0.005*(1-math.Exp(-20))) + 0.005*w - 10*0.005*math.Log((w+10)/10)
		if got := math.Abs(way[7]); math.Abs(got-want) > 1e-6*want {
			t.Errorf("%g V: %.9g rad in all, expected %.9g", volts, got, want)
		}
	}
}

// A door that stands open makes a slow box fast: the pole in force decides, not that at rest. Closed form.
func TestHeaterWithDoorOpen(t *testing.T) {
	const box = `plant:
  kind: heater
  heat_capacity: 2.5 kJ/K
  heat_loss: 1.2 W/K
  ambient: 15 degC
  actuators: {heat: {from: drive, full: 10 V, gives: 60 W}}
  sensors: {}
`
	for _, factor := range []float64{1, 8, 20, 1e6, 1e9} {
		p := readPlant(t, box)
		slow := *p.spec
		slow.Rate.SetFloat64(1. / 512)
		p.spec = &slow
		seen := replay(t, p, "temperature", constantly(10, 6), map[string]float64{"loss_factor": factor})
		for k, got := range seen {
			want := 15 + 60/(1.2*factor)*(1-math.Exp(-1.2*factor/2500*512*float64(k)))
			if math.Abs(got-want) > 1e-6*(want-15)+1e-12*want {
				t.Errorf("loss factor %g, after %d ticks: %.12g degC, expected %.12g", factor, k, got, want)
			}
		}
	}
}

// The battery sags less and less as the motor picks up speed, within the tick. Closed form: the current is (s*E - k*w)/(R + s^2*Rb).
func TestBatterySagsInsideATick(t *testing.T) {
	text := strings.Replace(strings.Replace(dryMotor, "gives: 10 V", "gives: battery", 1), "  static_friction: 2 mN.m\n", "  battery: {voltage: 6 V, resistance: 1.5 Ohm}\n", 1)
	for _, share := range []float64{1, 0.6, -1} {
		seen := replay(t, at50(t, text), "speed", constantly(10*share, 6), nil)
		for k, got := range seen {
			rate := 0.02 * 0.02 / (2 + share*share*1.5) / 1e-6
			want := share * 6 / 0.02 * (1 - math.Exp(-rate*0.02*float64(k)))
			if math.Abs(got-want) > 1e-6*300 {
				t.Errorf("share %g, after %d ticks: %.9g rad/s, expected %.9g", share, k, got, want)
			}
		}
	}
}

// A winding a million times faster than the tick, under dry friction: it goes as without an inductance.
func TestFastWindingTakesNoForever(t *testing.T) {
	for _, inductance := range []string{"1e-3 H", "1e-6 H", "1e-9 H", "1e-12 H"} {
		text := strings.Replace(dryMotor, "static_friction", "inductance: "+inductance+"\n  static_friction", 1)
		p := at50(t, text)
		seen := replay(t, p, "speed", append(constantly(6, 5), constantly(0, 2)...), nil)
		if l := p.Values["inductance"]; l < 1e-5 {
			want := 290 * (1 - math.Exp(-4.))
			if math.Abs(seen[1]-want) > 290*(1e-6+l*300) { // the winding's time constant, L/R, beside 5 ms
				t.Errorf("%s: %.9g rad/s after a tick, expected %.9g", inductance, seen[1], want)
			}
		}
		if math.Abs(seen[5]-290) > 1e-3 || seen[7] != 0 {
			t.Errorf("%s: %g rad/s under 6 V, %g after that; expected 290 and 0", inductance, seen[5], seen[7])
		}
	}
}

// Motions that stick and slip many times a second neither hang nor break.
func TestManyEvents(t *testing.T) {
	p := at50(t, dryMotor)
	r, noise := p.NewRig(nil), p.NewNoise(1)
	for k := range 400 {
		r.Sense(noise.Next(), make([]int64, 1))
		r.Apply([]float64{0.201 * float64(k%3-1)}) // hardly above what it needs to break away
		r.Advance(0, p.rest())
	}
	for _, q := range r.Quantities {
		if math.IsNaN(q) || math.Abs(q) > 100 {
			t.Error(fmt.Sprint("ran away: ", r.Quantities))
		}
	}
}
