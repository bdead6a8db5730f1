package simulate

import (
	"math"
	"strings"
	"testing"

	"gainwright/model/plant"
	"gainwright/model/spec"
	"gainwright/templates"
)

// Each change of a good scenario is told where it stands, what was expected, and what to write.
func TestBadScenarios(t *testing.T) {
	for _, c := range []struct{ starter, old, new, want string }{
		{"cart", "duration: 605 s", "duration: 605", "scenario.duration: expected a number in s or a unit of the same kind, found no unit"},
		{"cart", "duration: 605 s", "duration: 9e9 s", "scenario.duration: expected at most 25000 s"},
		{"cart", "duration: 605 s", "length: 605 s", "scenario.duration: a scenario needs the key duration"},
		{"cart", "start: {pitch: 5 deg}", "start: {pich: 5 deg}", `scenario.start.pich: a two_wheel_pendulum has no quantity "pich" [unknown-quantity]` + "\n    write   pitch"},
		{"cart", "start: {pitch: 5 deg}", "start: {accel_up: 1 g}", "scenario.start.accel_up: accel_up follows from the other quantities and cannot be given"},
		{"cart", "held_until: 2 s", "held_until: 20 min", "scenario.held_until: expected at most 605 s"},
		{"cart", "armed: {0 s: off, 2 s: on}", "{}", "scenario.set_points"},
		{"cart", "    armed: {0 s: off, 2 s: on}", "    travel: 0 cm", "the input travel is filled by a sensor of the plant"},
		{"cart", "    armed: {0 s: off, 2 s: on}", "    armd: on", `scenario.set_points.armd: the controller has no input "armd"`},
		{"cart", "    armed: {0 s: off, 2 s: on}", "    armd: on", "nothing fills the controller's input armed"},
		{"cart", "{0 s: off, 2 s: on}", "{0 s: off, 2 s: yes}", `expected on or off, found "yes"`},
		{"cart", "{0 s: off, 2 s: on}", "{1 s: off, 2 s: on}", "the first point is at 1 s; the value before it is not known"},
		{"cart", "{0 s: off, 2 s: on}", "{0 s: off, 2 s: on, 1 s: off}", "the point at 1 s does not come after the one before it"},
		{"cart", "push: 2 N", "shove: 2 N", "scenario.disturbances.shove: unknown key; a disturbance has"},
		{"cart", "push: 2 N", "push: 2 N, slope: 1 deg", "a disturbance has one load, this is the second"},
		{"cart", "push: 2 N", "push: 2 kg", "scenario.disturbances.push: expected a number in N"},
		{"cart", "at: 60 s, for", "at: 60 min, for", "scenario.disturbances.at: expected at most 605 s, found 3600 s: inside the scenario"},
		{"cart", "  watch:\n", "  faults: [{at: 1 s, sensor: pitch, reads: frozen}]\n  watch:\n", `scenario.faults.sensor: no sensor fills an input "pitch"`},
		{"cart", "  watch:\n", "  faults: [{at: 1 s}]\n  watch:\n", "a fault says one thing that breaks"},
		{"cart", "  watch:\n", "  faults: [{at: 1 s, output: drive, gives: 3 V}]\n  watch:\n", "scenario.faults.gives: expected a number in duty"},
		{"cart", "  watch:\n", "  faults: [{at: 1 s, sensor: pitch_rate, reads: 70000 count}]\n  watch:\n", "scenario.faults.reads: expected at most 32767 count, found 70000 count: pitch_rate is int16 and holds -32768 to 32767 counts [out-of-range]\n    write   32767 count"},
		{"cart", "  watch:\n", "  faults: [{at: 1 s, sensor: pitch_rate, reads: -32769 count}]\n  watch:\n", "scenario.faults.reads: expected at least -32768 count, found -32769 count"},
		{"cart", "  watch:\n", "  faults: [{at: 1 s, sensor: pitch_rate, reads: 12.5 count}]\n  watch:\n", "scenario.faults.reads: expected a whole number of counts, found 12.5 count [not-whole]"},
		{"cart", "  watch:\n", "  faults: [{at: 1 s, output: drive, gives: 40000 duty}]\n  watch:\n", "scenario.faults.gives: expected at most 32767 duty, found 40000 duty: drive is int16 and holds -32768 to 32767 counts"},
		{"cart", "target: 0 deg", "target: level", `scenario.watch.pitch.target: expected a number in rad or a set-point, found "level"`},
		{"cart", "target: 0 deg", "target: armed", "scenario.watch.pitch.target: pitch is in rad, the set-point armed in "},
		{"cart", "band: 3 deg, ", "", "scenario.watch.pitch.band: a watched quantity needs the key band"},
		{"cart", "steady_error: 0.5 deg", "steady_eror: 0.5 deg", "unknown key; a watched quantity has"},
		{"cart", "falls: {pitch: 45 deg}", "falls: {pitch: 45 deg, travel: 1 m}", "one quantity tells a fall"},
		{"cart", "body_mass: 10 %", "body_mas: 10 %", `scenario.vary.body_mas: the plant has no number "body_mas" [unknown-number]` + "\n    write   body_mass"},
		{"cart", "body_mass: 10 %", "body_mass: 200 %", "scenario.vary.body_mass: with this tolerance the number would leave what it may be"},
		{"cart", "body_mass: 10 %", "body_mass: 1 m", "scenario.vary.body_mass: expected a number in kg"},
		{"heading", "target: wanted, around: circle", "target: wanted, around: ring", "expected one of line, circle"},
		{"incubator", "temperature: 15 degC", "temperature: 288 K", "scenario.start.temperature: expected a number in degC"},
		{"incubator", "band: 0.5 K", "band: 0.5 K, around: circle", "temperature is no angle"},
	} {
		src := edited(t, c.starter, c.old, c.new)
		s, found := spec.Read("probe.yaml", []byte(src))
		if found.Failed() {
			t.Errorf("%q: the reader of specs refuses it: %v", c.new, found)
			continue
		}
		p, found := plant.Read(s)
		stop(t, found)
		sc, found := ReadScenario(s, p)
		var said strings.Builder
		for _, f := range found {
			said.WriteString(f.String() + "\n")
			if f.Pos.Line == 0 || f.Remedy == "" {
				t.Errorf("%q: no place or no remedy: %v", c.new, f)
			}
		}
		if sc != nil || !strings.Contains(said.String(), c.want) {
			t.Errorf("%q:\n%s expected %s", c.new, said.String(), c.want)
		}
	}
}

func TestScenarioWithoutPlant(t *testing.T) {
	src := edited(t, "incubator")
	at := strings.Index(src, "plant:\n")
	end := strings.Index(src, "scenario:\n")
	s, found := spec.Read("probe.yaml", []byte(src[:at]+src[end:]))
	stop(t, found)
	if sc, found := ReadScenario(s, nil); sc != nil || len(found) != 1 || found[0].Rule != "no-plant" {
		t.Errorf("scenario %v, findings %v", sc, found)
	}
	s, _ = spec.Read("probe.yaml", []byte(src[:at]))
	if sc, found := ReadScenario(s, nil); sc != nil || len(found) > 0 {
		t.Errorf("a spec without both: scenario %v, findings %v", sc, found)
	}
}

func TestStarterScenarioIsUnderstood(t *testing.T) {
	sc := system(t, string(templates.Starter("cart"))).Scenario
	w := sc.Watch[0]
	if w.Name != "pitch" || w.Unit != "deg" || math.Abs(w.Band-3*math.Pi/180) > 1e-15 || !math.IsNaN(w.Overshoot) || w.SettlesIn != 3 {
		t.Errorf("watch %+v", w)
	}
	if math.Abs(sc.Start["pitch"]-5*math.Pi/180) > 1e-15 || sc.HeldUntil != 2 || sc.Fall.Beyond != math.Pi/4 {
		t.Errorf("start %v, held until %g, fall %+v", sc.Start, sc.HeldUntil, sc.Fall)
	}
	if w := system(t, string(templates.Starter("heading"))).Scenario.Watch[0]; w.Turn != 2*math.Pi || w.SetPoint < 0 {
		t.Errorf("heading: %+v", w)
	}
}

// What cannot be read begins no stretch: nothing is said to be judged on nothing because of it.
func TestDamageIsNoEmptyScenario(t *testing.T) {
	for _, c := range [][3]string{
		{"spindle", "    wanted: {0 s", "    wated: {0 s"},
		{"spindle", "speed: {target: wanted", "speed: {target: wnted"},
		{"spindle", "ramp to 500 rad/s", "ramp to 500 rad"},
		{"spindle", "at: 2 s", "at: 2"},
		{"spindle", "700 ms: ramp", "100 ms: ramp"},
		{"spindle", "duration: 5 s", "duration: 5"},
	} {
		s, found := spec.Read("probe.yaml", []byte(edited(t, c[0], c[1], c[2])))
		stop(t, found)
		p, found := plant.Read(s)
		stop(t, found)
		_, found = ReadScenario(s, p)
		for _, f := range found {
			if f.Rule == "judged-on-nothing" || f.Rule == "unknown-set-point" && !strings.Contains(c[2], "wnted") {
				t.Errorf("%s: %v", c[2], f)
			}
		}
		if !found.Failed() {
			t.Errorf("%s: nothing is said", c[2])
		}
	}
}
