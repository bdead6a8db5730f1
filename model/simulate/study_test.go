package simulate

import (
	"math"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gainwright/model/plant"
)

// A study needs an integer program; here the reference stands for it.
func studied(t *testing.T, s *System, n int, seed uint64) (*Study, []*Outcome) {
	t.Helper()
	all := s.all(n, seed, nil, func(s *System, seed uint64) *Outcome { return s.twice(seed) })
	return s.summarise(all, seed), all
}

func TestStudyIsTheSameOnAnyNumberOfCores(t *testing.T) {
	s := system(t, edited(t, "incubator"))
	before := runtime.GOMAXPROCS(1)
	one, _ := studied(t, s, 12, 5)
	runtime.GOMAXPROCS(4)
	four, outcomes := studied(t, s, 12, 5)
	runtime.GOMAXPROCS(before)
	if d := cmp.Diff(one, four); d != "" {
		t.Errorf("one core and four differ:\n%s", d)
	}
	if one.Passed[Reference] != 12 || len(one.Worst) == 0 {
		t.Errorf("%+v", one)
	}
	// Runs are different, and each can be repeated by its seed alone.
	if outcomes[0].Loops[0].Watch[0].RMS == outcomes[1].Loops[0].Watch[0].RMS {
		t.Error("two runs are alike")
	}
	varied, _ := s.Varied(8)
	if again := varied.twice(8); again.Loops[0].Watch[0].RMS != outcomes[3].Loops[0].Watch[0].RMS {
		t.Error("a run cannot be repeated by its seed")
	}
}

func TestVariedStaysInsideTolerances(t *testing.T) {
	s := system(t, edited(t, "cart"))
	least, most := plant.Values{}, plant.Values{}
	for seed := range uint64(400) {
		v, chosen := s.Varied(seed)
		if len(chosen) != len(s.Scenario.Vary) {
			t.Fatalf("%d numbers were moved, expected %d", len(chosen), len(s.Scenario.Vary))
		}
		for k, x := range chosen {
			if _, ok := least[k]; !ok {
				least[k], most[k] = x, x
			}
			least[k], most[k] = min(least[k], x), max(most[k], x)
		}
		if v.Plant.Battery.Voltage != chosen["battery.voltage"] || v.Scenario.Start["pitch"] != chosen["start.pitch"] {
			t.Fatal("a number was chosen and not used")
		}
	}
	if s.Plant.Battery.Voltage != 7.7 || s.Scenario.Start["pitch"] != 5*math.Pi/180 {
		t.Error("the nominal plant was changed")
	}
	for _, tol := range s.Scenario.Vary {
		nominal, ok := s.Plant.Values[tol.Path]
		if !ok {
			nominal = s.Scenario.Start["pitch"]
		}
		if lo, hi := (nominal-least[tol.Path])/tol.Off, (most[tol.Path]-nominal)/tol.Off; lo < 0.9 || lo > 1+1e-9 || hi < 0.9 || hi > 1+1e-9 { // at a corner as far as float64 tells
			t.Errorf("%s moved by -%.3f to %.3f of its tolerance", tol.Path, lo, hi)
		}
	}
}

// Each effect of a plant can be varied from run to run, and a run with all of them is the same each time.
func TestEffectsVary(t *testing.T) {
	s := system(t, edited(t, "cart", "duration: 605 s", "duration: 8 s", "    - {at: 60 s, for: 100 ms, push: 2 N, about: a nudge}\n    - {at: 120 s, for: 20 s, slope: 2 deg, about: a ramp}\n",
		"    - {at: 5 s, for: 100 ms, push: 1 N}\n",
		"  imu_height: 40 mm\n", "  imu_height: 40 mm\n  static_friction: 4 mN.m\n  sliding_friction: 3 mN.m\n  backlash: 1 deg\n",
		"delay: 1 ms}", "delay: 1 ms, current_limit: 1 A}",
		"noise: 0.01 g, bias: 0.01 g, delay: 3 ms, dropped: 0.1 %", "noise: 0.01 g, bias: 0.01 g, delay: 3 ms, dropped: 1 %, burst: 4, mounting_angle: 1 deg, cross_axis: 2 %, vibration: 0.2 g, vibration_speed: 600 rad/s",
		"noise: 0.1 deg/s, bias: 1.5 deg/s, delay: 3 ms", "noise: 0.1 deg/s, bias: 1.5 deg/s, delay: 3 ms, bias_walk: 0.05 deg/s, walk_time: 10 s",
		"vary: {body_mass: 10 %,", "vary: {static_friction: 10 %, sliding_friction: 10 %, backlash: 50 %, actuators.voltage.current_limit: 20 %, sensors.accel_forward.burst: 20 %, "+
			"sensors.accel_forward.mounting_angle: 1 deg, sensors.accel_forward.cross_axis: 1 %, sensors.accel_forward.vibration: 50 %, sensors.accel_forward.vibration_speed: 10 %, "+
			"sensors.pitch_rate.bias_walk: 50 %, sensors.pitch_rate.walk_time: 10 %, body_mass: 10 %,"))
	one, moved := s.Varied(1)
	two, other := s.Varied(2)
	if len(moved) < 11 {
		t.Fatalf("%d numbers are varied", len(moved))
	}
	for path, v := range moved {
		if other[path] == v {
			t.Errorf("%s is %g in both runs", path, v)
		}
	}
	a, again, b := one.twice(1), one.twice(1), two.twice(2)
	if a.Loops[0].Watch[0].RMS != again.Loops[0].Watch[0].RMS || a.Loops[0].Watch[0].RMS == b.Loops[0].Watch[0].RMS {
		t.Errorf("rms deviations %g and %g of one run, %g of another", a.Loops[0].Watch[0].RMS, again.Loops[0].Watch[0].RMS, b.Loops[0].Watch[0].RMS)
	}
	if a.Loops[0].Fell {
		t.Error("the cart falls")
	}
}

// Motion that was not followed with a small error is not good, whatever it shows.
func TestInexactMotionIsNotGood(t *testing.T) {
	s := system(t, edited(t, "incubator"))
	o := s.twice(1)
	if o.Findings.Failed() || o.Loops[0].Inexact != 0 {
		t.Fatalf("%d, %v", o.Loops[0].Inexact, o.Findings)
	}
	o.Loops[0].Inexact = 3
	if found := s.findings(o, Reference, Integer); len(found) != 1 || found[0].Rule != "inexact" {
		t.Errorf("found %v", found)
	}
}
