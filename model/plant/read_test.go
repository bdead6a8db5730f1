package plant

import (
	"strings"
	"testing"

	"gainwright/model/spec"
)

const goodMotor = `plant:
  kind: dc_motor
  inertia: 12 g.cm^2
  resistance: 2 Ohm
  torque_constant: 0.1 N.m/A
  battery: {voltage: 12 V, resistance: 0.5 Ohm}
  actuators: {voltage: {from: drive, full: 10 V, gives: battery}}
  sensors: {seen: {of: speed}}
`

// Each change of a good plant is told where it stands, what was expected, and what to write.
func TestBadPlants(t *testing.T) {
	// speed is no voltage: the good text reads the level of a transfer function instead.
	good := strings.Replace(goodMotor, "seen: {of: speed}", "", 1)
	if s, _ := spec.Read("probe.yaml", []byte(controllerText+good)); s.Plant == nil {
		t.Fatal("no plant")
	} else if _, found := Read(s); found.Failed() {
		t.Fatal(found)
	}
	ss := `plant:
  kind: state_space
  inputs: {drive: V}
  outputs: {level: V}
  a: [[-1]]
  b: [[1]]
  c: [[1]]
  actuators: {drive: {from: drive, full: 10 V, gives: 10 V}}
  sensors: {seen: {of: level}}
`
	for _, c := range []struct{ text, old, new, want string }{
		{good, "kind: dc_motor", "kind: dc_moter", `probe.yaml:10:9: error: plant.kind: "dc_moter" is no kind of plant`},
		{good, "kind: dc_motor", "about: x", "probe.yaml:9:1: error: plant.kind: a plant needs the key kind"},
		{good, "12 g.cm^2", "12 g.cm", "probe.yaml:11:12: error: plant.inertia: expected a number in kg.m^2 or a unit of the same kind, found the unit g.cm [wrong-unit]"},
		{good, "12 g.cm^2", "12", "probe.yaml:11:12: error: plant.inertia: expected a number in kg.m^2 or a unit of the same kind, found no unit [missing-unit]"},
		{good, "12 g.cm^2", "-12 g.cm^2", "probe.yaml:11:12: error: plant.inertia: expected a number above 0"},
		{good, "12 g.cm^2", "heavy", `probe.yaml:11:12: error: plant.inertia: expected a number in kg.m^2 or a unit of the same kind, found "heavy"`},
		{good, "12 g.cm^2", "1e9 kg.m^2", "probe.yaml:11:12: error: plant.inertia: expected at most 1e+06 kg.m^2, found 1e+09 kg.m^2: of the load, behind the gear [out-of-range]"},
		{good, "  resistance: 2 Ohm\n", "", "plant.resistance: a plant needs the key resistance"},
		{good, "  resistance: 2", "  resistence: 2", "probe.yaml:12:3: error: plant.resistence: unknown key; a plant has"},
		{good, "voltage: {from", "volts: {from", `probe.yaml:15:15: error: plant.actuators.volts: a dc_motor has no input "volts" for an actuator`},
		{good, "voltage: {from", "load_torque: {from", `no input "load_torque" for an actuator`},
		{good, "from: drive", "from: drift", "probe.yaml:15:31: error: plant.actuators.voltage.from: the controller has no output drift"},
		{good, "full: 10 V", "full: 10 duty", "plant.actuators.voltage.full: expected a number in V or a unit of the same kind, found the unit duty"},
		{good, "gives: battery", "gives: battery, dead_band: 9.5 V", "plant.actuators.voltage.dead_band: expected at most 9 V, found 9.5 V: less than what is full"},
		{good, "gives: battery", "gives: 5 A", "plant.actuators.voltage.gives: expected a number in V or a unit of the same kind, found the unit A"},
		{good, "gives: battery", "gives: battery, delay: 9 h", "plant.actuators.voltage.delay: a delay of 32400 s in all; expected at most 100000 ticks, 1000 s"},
		{good, "voltage: 12 V", "voltage: 12 V, empty: 9 V", "plant.battery.capacity: a battery that runs empty needs the key capacity"},
		{good, "  battery: {voltage: 12 V, resistance: 0.5 Ohm}\n", "", "the plant has no battery"},
		{good, "sensors: {}", "sensors: {sean: {of: speed}}", `plant.sensors.sean: the controller has no input "sean"`},
		{good, "sensors: {}", "sensors: {seen: {of: sped}}", "plant.sensors.seen.of: dc_motor has no quantity sped [unknown-quantity]\n    write   speed"},
		{good, "sensors: {}", "sensors: {seen: {of: speed}}", "plant.sensors.seen.of: speed is in rad/s, the input seen in V"},
		{good, "sensors: {}", "sensors: [seen]", "probe.yaml:16:12: error: plant.sensors: expected a map, found a list"},
		{good, "sensors: {}", "sensors: {}\n  timing: {jitter: 6 ms}", "plant.timing.jitter: expected at most 0.005 s, found 0.006 s: half a tick at most"},
		{good, "sensors: {}", "sensors: {}\n  static_friction: 1 mN.m\n  inductance: 1 nH", "plant.inductance: expected a number in H"},
		{good, "sensors: {}", "sensors: {}\n  backlash: 2 deg", "probe.yaml:17:13: error: plant.backlash: within the play of its gear a motor turns alone: backlash needs rotor_inertia above 0 [missing-key]"},
		{good, "sensors: {}", "sensors: {}\n  rotor_inertia: 1 g.cm^2\n  backlash: 4 rad", "plant.backlash: expected at most 3 rad, found 4 rad"},
		{good, "gives: battery", "gives: battery, current_limit: -1 A", "plant.actuators.voltage.current_limit: expected at least 0 A"},
		{ss, "gives: 10 V", "gives: 10 V, current_limit: 1 A", "plant.actuators.drive.current_limit: of a state_space nothing is known about the current at drive [no-motor]"},
		{ss, "a: [[-1]]", "a: [[-1, 2]]", "probe.yaml:13:6: error: plant.a: expected a square matrix"},
		{ss, "b: [[1]]", "b: [[1, 2]]", "probe.yaml:14:6: error: plant.b: expected 1 rows of 1"},
		{ss, "c: [[1]]", "c: [[1], [1, 2]]", "probe.yaml:15:12: error: plant.c: a row of 2 numbers below one of 1"},
		{ss, "a: [[-1]]", "a: [[-1 V]]", "probe.yaml:13:8: error: plant.a: expected a number without a unit"},
		{ss, "inputs: {drive: V}", "inputs: {drive: [V]}", "plant.inputs.drive: expected a unit, found a list"},
		{ss, "of: level", "of: level, saturates: [3 V, 1 V]", "plant.sensors.seen.saturates: the low end 3 V is not below the high end 1 V"},
		{ss, "of: level", "of: level, noise: 1 A", "plant.sensors.seen.noise: expected a number in V"},
		{ss, "of: level", "of: level, dropped: 150 %", "plant.sensors.seen.dropped: expected at most 1, found 1.5: a share"},
	} {
		if !strings.Contains(c.text, c.old) {
			t.Errorf("nothing to replace: %q", c.old)
			continue
		}
		s, found := spec.Read("probe.yaml", []byte(controllerText+strings.Replace(c.text, c.old, c.new, 1)))
		if found.Failed() {
			t.Errorf("%q: the reader of specs refuses it: %v", c.new, found)
			continue
		}
		p, found := Read(s)
		var said strings.Builder
		for _, f := range found {
			said.WriteString(f.String() + "\n")
			if f.Pos.Line == 0 || f.Remedy == "" {
				t.Errorf("%q: no place or no remedy: %v", c.new, f)
			}
		}
		if p != nil || !strings.Contains(said.String(), c.want) {
			t.Errorf("%q:\n%s expected %s", c.new, said.String(), c.want)
		}
	}
}

func TestParametersInTheirUnits(t *testing.T) {
	p := readPlant(t, strings.Replace(goodMotor, "seen: {of: speed}", "", 1))
	for path, want := range (Values{"inertia": 12e-7, "emf_constant": 0.1, "battery.voltage": 12, "actuators.voltage.full": 10, "gear": 1}) {
		if got := p.Values[path]; got < want*(1-1e-12) || got > want*(1+1e-12) {
			t.Errorf("%s is %g, expected %g", path, got, want)
		}
	}
	q := p.With(Values{"inertia": 24e-7, "battery.voltage": 11})
	if a, b := p.Linear().A.At(1, 1), q.Linear().A.At(1, 1); a/b < 1.999 || a/b > 2.001 || p.Battery.Voltage != 12 || q.Battery.Voltage != 11 {
		t.Errorf("another inertia: %g and %g; batteries %g V and %g V", a, b, p.Battery.Voltage, q.Battery.Voltage)
	}
}
