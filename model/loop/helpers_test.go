package loop

import (
	"math"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/templates"
)

// system compiles a spec's text, some of it replaced.
func system(t *testing.T, src string, changes ...string) *System {
	t.Helper()
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(src, changes[i]) {
			t.Fatalf("the spec does not contain %q", changes[i])
		}
		src = strings.Replace(src, changes[i], changes[i+1], 1)
	}
	return compiled(t, src)
}

func compiled(t testing.TB, src string) *System {
	t.Helper()
	u := model.Compile("probe.yaml", []byte(src))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	s := &System{Spec: u.Spec, Asked: u.Asked, Stored: u.Stored, Integer: u.Integer, Plant: u.Plant, Scenario: u.Scenario}
	return s.live()
}

func starter(t *testing.T, name string, changes ...string) *System {
	t.Helper()
	return system(t, string(templates.Starter(name)), changes...)
}

func view(t *testing.T, s *System) *View {
	t.Helper()
	v, err := New(s)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// close complains where got is more than tolerance, a share of want, away.
func close(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// motor is the speed of a DC motor under a proportional gain. Its numbers are those of a well-known university tutorial.
const motor = `controller: motor
rate: 20 Hz
inputs:
  speed: {raw: int16, unit: rad/s, counts_per_unit: 1000, range: [-30, 30]}
  wanted: {raw: int16, unit: rad/s, counts_per_unit: 1000, range: [-30, 30]}
steps:
  push: {kind: pid, target: wanted, measured: speed, kp: 100, unit: V, limits: [-300, 300]}
outputs:
  drive: {from: push, raw: int16, unit: V, counts_per_unit: 100, limits: [-300, 300]}
plant:
  kind: dc_motor
  inertia: 0.01 kg.m^2
  resistance: 1 Ohm
  inductance: 0.5 H
  torque_constant: 10 mN.m/A
  viscous_friction: 100 mN.m.s
  actuators: {voltage: {from: drive, full: 300 V, gives: 300 V, delay: 0 s}}
  sensors: {speed: {of: speed, delay: 0 s}}
`
