package loop

import (
	"gainwright/model/tier"
	"math"
	"strings"
	"testing"
)

// On the linear plants the proven bound is above what both loops show side by side, and not more than 20 times as large.
func TestClosedLoopRoundingBound(t *testing.T) {
	tier.Slow(t)
	short := []string{"duration: 605 s", "duration: 110 s", "at: 60 s", "at: 20 s", "at: 120 s, for: 20 s", "at: 30 s, for: 10 s"}
	for name, changes := range map[string][]string{"spindle": nil, "pan": nil, "cart": short} {
		for seed := uint64(1); seed <= 2; seed++ {
			s := starter(t, name, changes...)
			s.Scenario.Seed = seed
			v := view(t, s)
			spoke := false
			for i, d := range v.Deviation {
				largest := 0.0
				for _, r := range v.Runs {
					if r.Speaks {
						spoke, largest = true, math.Max(largest, r.Largest[i])
					}
				}
				t.Logf("%s, seed %d: %s %.4g, bound %.4g %s, ratio %.1f; without the bend seen %.4g", name, seed, d.Name, largest, d.Bound, d.Unit, d.Bound/largest, d.Wider)
				if d.Why != "" || !(d.Bound >= largest) {
					t.Errorf("%s: %s was %g apart, the bound is %g: %s", name, d.Name, largest, d.Bound, d.Why)
				}
				if !(d.Bound <= 20*largest) {
					t.Errorf("%s: the bound %g of %s is more than 20 times the %g seen", name, d.Bound, d.Name, largest)
				}
				if sum := d.Arithmetic + d.Sensors + d.Actuators + d.Start + d.Bend; math.Abs(sum-d.Bound) > 1e-12*sum {
					t.Errorf("%s: the shares make %g, the bound is %g", name, sum, d.Bound)
				}
				if d.Wider != 0 && d.Wider < d.Bound {
					t.Errorf("%s: %g with any bend, %g with that seen", name, d.Wider, d.Bound)
				}
			}
			if !spoke {
				t.Errorf("%s: the bound speaks for no run: %+v", name, v.Runs)
			}
		}
	}
}

// One rounding alone, worked out by hand: a proportional controller of a first-order plant, x' = p*x + (1-p)*u, u = round(-k*x):
// half a count of the output gives (1-p)/2/(1-|p-(1-p)*k|) counts of it in x, and one of the sensor k*2 times as much in its unit.
func TestBoundByHand(t *testing.T) {
	const text = `controller: hand
rate: 10 Hz
inputs:
  level: {raw: int16, unit: V, counts_per_unit: 100, range: [-10, 10]}
steps:
  push: {kind: sum, of: {level: -0.5}, limits: [-5, 5]}
outputs:
  drive: {from: push, raw: int16, unit: V, counts_per_unit: 10, limits: [-5, 5]}
plant:
  kind: first_order
  inputs: {drive: V}
  outputs: {level: V}
  gain: 1
  time_constant: 0.5 s
  actuators: {drive: {from: drive, full: 5 V, gives: 5 V}}
  sensors: {level: {of: level, noise: 0.3 V}}
scenario:
  duration: 200 s
  watch: {level: {target: 0 V, band: 1 V}}
`
	s := system(t, text)
	v := view(t, s)
	d := v.Deviation[0]
	c := near(s.Integer, []int64{0})
	p, k := math.Exp(-0.2), -c.d[0][0]
	close(t, "gain", k, 0.5, 1e-4)
	per := (1 - p) / (1 - math.Abs(p-(1-p)*k)) // V of the level for each V that enters at the output
	close(t, "sensor's share", d.Sensors, k*0.01*per, 1e-6)
	roundings := 0.0
	for _, r := range c.residues {
		roundings += r.most
	}
	close(t, "roundings' share", d.Arithmetic, roundings*per, 1e-6)
	if roundings < 0.05 {
		t.Errorf("roundings of %g V in all: half a count of the output is 0.05 V", roundings)
	}
	if !v.Runs[0].Speaks || v.Runs[0].Largest[0] == 0 || v.Runs[0].Largest[0] > d.Bound {
		t.Errorf("%+v beside %+v", v.Runs[0], d)
	}
}

// A limit that acts is seen, and the bound does not speak.
func TestALimitActs(t *testing.T) {
	s := starter(t, "spindle", "enable: turning", "enable: run", "enable: turning", "enable: run", "ramp to 500 rad/s", "ramp to 980 rad/s", "load_torque: 50 mN.m", "load_torque: 500 mN.m")
	v := view(t, s)
	if r := v.Runs[1]; r.Speaks || r.Acted < 200 || !strings.Contains(r.ActedBy, "limited") && !strings.Contains(r.ActedBy, "limit") {
		t.Errorf("%+v", r)
	}
	if r := v.Runs[0]; !r.Speaks {
		t.Errorf("at rest no limit acts: %+v", r)
	}
}

// What is only summed up, never measured, has no bound: the heading is the sum of a gyroscope's counts.
func TestNoBoundForASum(t *testing.T) {
	v := view(t, starter(t, "heading"))
	if d := v.Deviation[0]; d.Why == "" || d.Bound != 0 {
		t.Errorf("%+v", d)
	}
	if len(v.Cuts) != 3 || !v.Stable[1] {
		t.Errorf("%d cuts, stable %v", len(v.Cuts), v.Stable)
	}
}
