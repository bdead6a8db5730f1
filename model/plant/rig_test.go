package plant

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gainwright/model/spec"
)

// controllerText is a controller with one number in and one out, on which plants are tried.
const controllerText = `controller: probe
rate: 100 Hz
inputs:
  seen: {raw: int16, unit: V, counts_per_unit: 1000}
steps:
  effort: {kind: sum, of: {seen: 1}}
outputs:
  drive: {from: effort, raw: int16, unit: V, counts_per_unit: 100}
`

func readPlant(t *testing.T, section string) *Plant {
	t.Helper()
	s, found := spec.Read("probe.yaml", []byte(controllerText+section))
	if found.Failed() {
		t.Fatal(found)
	}
	p, found := Read(s)
	if found.Failed() || p == nil {
		t.Fatalf("plant not read: %v", found)
	}
	return p
}

// ramp is a plant whose output grows by 1 V each second under 1 V at its input.
const ramp = `plant:
  kind: transfer_function
  inputs: {drive: V}
  outputs: {level: V}
  numerator: [1]
  denominator: [1, 0]
  actuators: {drive: {from: drive, full: 10 V, gives: 10 V%s}}
  sensors: {seen: {of: level%s}}
  timing: {jitter: %s}
`

func runRamp(t *testing.T, actuator, sensor, jitter string, ticks int) []int64 {
	t.Helper()
	p := readPlant(t, fmt.Sprintf(ramp, actuator, sensor, jitter))
	r, noise := p.NewRig(nil), p.NewNoise(7)
	raw, out := make([]int64, 1), []int64{}
	for range ticks {
		c := noise.Next()
		r.Sense(c, raw)
		out = append(out, raw[0])
		r.Apply([]float64{1})
		r.Advance(c.Jitter, nil)
	}
	return out
}

func TestDelaysAreExact(t *testing.T) {
	for _, c := range []struct {
		actuator, sensor string
		late             float64 // ms of both together
	}{
		{"", "", 0},
		{", delay: 4 ms", "", 4},
		{"", ", delay: 4 ms", 4},
		{"", ", delay: 34 ms", 34},
		{", delay: 27 ms", ", delay: 13 ms", 40},
		{", delay: 10 ms", "", 10},
		{"", ", delay: 10 ms", 10},
	} {
		for k, got := range runRamp(t, c.actuator, c.sensor, "0 s", 12) {
			if want := int64(math.Round(math.Max(0, float64(k)*10-c.late))); got != want {
				t.Errorf("actuator %q sensor %q, tick %d: %d counts, expected %d", c.actuator, c.sensor, k, got, want)
			}
		}
	}
}

func TestJitterMovesTicks(t *testing.T) {
	moved := 0
	for k, got := range runRamp(t, "", "", "3 ms", 400) {
		off := got - 10*int64(k)
		if off > 3 || off < -3 {
			t.Errorf("tick %d came %d ms off its time", k, off)
		}
		if off != 0 {
			moved++
		}
	}
	if moved < 200 {
		t.Errorf("%d of 400 ticks came off their time", moved)
	}
	runRamp(t, "", ", delay: 1 ms", "4 ms", 400) // ticks earlier than their samples
}

func TestSensorSaysWhatItShould(t *testing.T) {
	for _, c := range []struct {
		sensor string
		volts  float64
		at     float64
		want   int64
	}{
		{"", 1.2344, 0, 1234},
		{"", -1.2346, 0, -1235},
		{", bias: 20 mV", 1, 5, 1020},
		{", drift: 1 mV/s", 1, 5, 1005},
		{", gain_error: 2 %", 1, 5, 1020},
		{", saturates: [-2 V, 2.5 V]", 9, 5, 2500},
		{", saturates: [-2 V, 2.5 V]", -9, 5, -2000},
		{"", 99, 0, 32767},
		{"", -99, 0, -32768},
	} {
		p := readPlant(t, fmt.Sprintf(ramp, "", c.sensor, "0 s"))
		if got := p.Sensors[0].Count(c.volts, c.at, 0, 0); got != c.want {
			t.Errorf("%q at %g V after %g s: %d, expected %d", c.sensor, c.volts, c.at, got, c.want)
		}
	}
}

func TestLostAndLateSamples(t *testing.T) {
	repeats, olds := 0, 0
	got := runRamp(t, "", ", dropped: 20 %", "0 s", 2000)
	for k := 1; k < len(got); k++ {
		if got[k] == got[k-1] {
			repeats++
		} else if got[k] != 10*int64(k) {
			t.Fatalf("tick %d: %d counts", k, got[k])
		}
	}
	for k, v := range runRamp(t, "", ", late: 20 %", "0 s", 2000) {
		if v == 10*int64(k)-10 {
			olds++
		} else if v != 10*int64(k) {
			t.Fatalf("tick %d: %d counts", k, v)
		}
	}
	if repeats < 340 || repeats > 460 || olds < 340 || olds > 460 {
		t.Errorf("%d samples dropped, %d late, of 2000; expected some 400 each", repeats, olds)
	}
}

func TestNoise(t *testing.T) {
	p := readPlant(t, fmt.Sprintf(ramp, "", ", noise: 50 mV", "0 s"))
	draw := func(seed uint64) (sum, squares float64) {
		n := p.NewNoise(seed)
		for range 20000 {
			g := n.Next().Gauss[0]
			sum, squares = sum+g, squares+g*g
		}
		return sum, squares
	}
	sum, squares := draw(1)
	if math.Abs(sum) > 4*math.Sqrt(20000) || math.Abs(squares-20000) > 4*math.Sqrt(2*20000) {
		t.Errorf("mean %g, square %g of 20000 normal numbers", sum/20000, squares/20000)
	}
	if again, _ := draw(1); again != sum {
		t.Error("the same seed gives other noise")
	}
	if other, _ := draw(2); other == sum {
		t.Error("another seed gives the same noise")
	}
	if got := p.Sensors[0].Count(1, 0, 2, 0); got != 1100 {
		t.Errorf("two standard deviations above 1 V: %d counts, expected 1100", got)
	}
}

func TestFrozenSensor(t *testing.T) {
	p := readPlant(t, fmt.Sprintf(ramp, "", "", "0 s"))
	r, noise, raw := p.NewRig(map[string]float64{"level": 3}), p.NewNoise(1), make([]int64, 1)
	for k := range 6 {
		r.Freeze(0, k == 2 || k == 3)
		r.Sense(noise.Next(), raw)
		want := map[int]int64{2: 3010, 3: 3010}[k]
		if want == 0 {
			want = 3000 + 10*int64(k)
		}
		if raw[0] != want {
			t.Errorf("tick %d: %d counts, expected %d", k, raw[0], want)
		}
		r.Apply([]float64{1})
		r.Advance(0, nil)
	}
}

func TestActuator(t *testing.T) {
	a := Actuator{Full: 320, DeadBand: 18, Resolution: 2, Most: 200}
	for out, want := range map[float64]float64{0: 0, 18: 0, -18.9: 0, 19: 2, 118: 100, -118.7: -100, 200: 182, 320: 182, -999: -182} {
		if got := a.Share(out) * 320; math.Abs(got-want) > 1e-12 {
			t.Errorf("output %g moves as %g, expected %g", out, got, want)
		}
	}
}

func TestHeldMachineStandsStill(t *testing.T) {
	p := readPlant(t, fmt.Sprintf(ramp, "", "", "0 s"))
	r, noise, raw := p.NewRig(map[string]float64{"level": 3}), p.NewNoise(1), make([]int64, 1)
	r.Still = true
	for range 5 {
		r.Sense(noise.Next(), raw)
		r.Apply([]float64{1})
		r.Advance(0, nil)
	}
	if raw[0] != 3000 || r.Seconds() != 0.05 {
		t.Errorf("%d counts at %g s", raw[0], r.Seconds())
	}
}

const batteryPlant = `plant:
  kind: dc_motor
  inertia: 1 kg.m^2
  resistance: 2 Ohm
  torque_constant: 0.1 N.m/A
  battery: {voltage: 12 V, empty: 9 V, capacity: 50 A.s, resistance: 0.5 Ohm, load: 1 A, brown_out: 9 V}
  actuators: {voltage: {from: drive, full: 10 V, gives: battery}}
  sensors: {seen: {of: current}}
`

// The battery's voltage solves volts = open - R*(share*amperes + load) with amperes = share*volts/2 at rest.
func TestBatterySags(t *testing.T) {
	text := strings.Replace(batteryPlant, "seen: {of: current}", "", 1)
	p := readPlant(t, text+"\n")
	r, noise := p.NewRig(nil), p.NewNoise(1)
	tick := func(out float64) {
		r.Sense(noise.Next(), nil)
		r.Apply([]float64{out})
		r.Advance(0, nil)
	}
	tick(5)
	full := (12 - 0.5) / (1 + 0.5*0.5*0.5/2)
	drawn := (1 + 0.5*0.5*full/2) * 0.01                                             // A.s in the tick, at the end of which the voltage is lowest
	if want := full - 3./50*drawn/(1+0.5*0.5*0.5/2); math.Abs(r.Volts-want) > 1e-4 { // the motor hardly turns yet
		t.Errorf("%.9g V at half duty, expected %.9g", r.Volts, want)
	}
	if r.BrownOut() {
		t.Error("brown-out at half duty")
	}
	for range 1500 { // 15 s at full duty take some 5.7 A each second: more than is in it
		tick(10)
	}
	if want := (9 - 0.5) / (1 + 0.5/2); r.Volts < want-0.01 || r.Volts > 9 {
		t.Errorf("%g V from the empty battery, expected some %g", r.Volts, want)
	}
	if !r.BrownOut() {
		t.Error("no brown-out of an empty battery")
	}
}
