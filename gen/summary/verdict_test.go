package summary

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/templates"
)

// tank is a first-order machine with dead time under a PI. Its own scenario tests it, and it is good.
const tank = `controller: tank
rate: 50 Hz
inputs:
  seen: {raw: int32, unit: V, counts_per_unit: 1000, range: [-100, 100]}
  wanted: {raw: int32, unit: V, counts_per_unit: 1000, range: [-50, 50]}
  run: {raw: bool}
steps:
  push: {kind: pid, target: wanted, measured: seen, enable: run, kp: 4, ki: 4, limits: [-60, 60]}
outputs:
  drive: {from: push, raw: int32, unit: V, counts_per_unit: 1000, limits: [-60, 60]}
plant:
  kind: first_order
  inputs: {u: V}
  outputs: {y: V}
  gain: 1
  time_constant: 1 s
  dead_time: 40 ms
  actuators: {u: {from: drive, full: 60 V, gives: 60 V}}
  sensors: {seen: {of: y, noise: 5 mV}}
scenario:
  duration: 20 s
  set_points:
    run: {0 s: off, 1 s: on}
    wanted: {0 s: 0 V, 2 s: 10 V, 12 s: 10 V, 14 s: ramp to 0 V}
  disturbances:
    - {at: 7 s, for: 1 s, load: 4 V, about: a load}
  faults:
    - {at: 10 s, for: 40 ms, sensor: seen, reads: frozen}
  watch:
    y: {target: wanted, band: 0.5 V, settles_in: 3 s, recovers_in: 3 s, overshoot: 3 V, follows_within: 3 V, steady_error: 0.2 V, swing: 0.1 V, stays: [-5 V, 20 V]}
`

// Lines of it that the cases below change.
const (
	sets    = "wanted: {0 s: 0 V, 2 s: 10 V, 12 s: 10 V, 14 s: ramp to 0 V}"
	all     = "settles_in: 3 s, recovers_in: 3 s, overshoot: 3 V, follows_within: 3 V, steady_error: 0.2 V, swing: 0.1 V, stays: [-5 V, 20 V]"
	load    = "  disturbances:\n    - {at: 7 s, for: 1 s, load: 4 V, about: a load}\n"
	fault   = "  faults:\n    - {at: 10 s, for: 40 ms, sensor: seen, reads: frozen}\n"
	machine = "  kind: first_order\n  inputs: {u: V}\n  outputs: {y: V}\n  gain: 1\n  time_constant: 1 s\n  dead_time: 40 ms\n"
)

func fraction(num, den string) string {
	return fmt.Sprintf("  kind: transfer_function\n  inputs: {u: V}\n  outputs: {y: V}\n  numerator: [%s]\n  denominator: [%s]\n", num, den)
}

type scene struct {
	name    string
	rule    string // one of the findings must have it
	base    string // a starter; empty: the tank
	changes []string
}

// untested are scenarios that test nothing, or not what they ask.
var untested = []scene{
	{"the controller is switched off throughout", "switched-off", "", []string{"run: {0 s: off, 1 s: on}", "run: off", sets, "wanted: {0 s: 0 V, 2 s: 0.6 V}", load, "", fault, "", all, "stays: [-5 V, 20 V]"}},
	{"it is switched off, and a feed-forward does the work", "switched-off", "spindle", []string{"run: {0 s: off, 100 ms: on}", "run: off", "settles_in: 0.8 s, recovers_in: 0.4 s, overshoot: 25 rad/s, follows_within: 20 rad/s, steady_error: 3 rad/s", "stays: [-900 rad/s, 900 rad/s]"}},
	{"a set-point after the end", "after-the-end", "", []string{"14 s: ramp to 0 V", "21 s: 0 V"}},
	{"a ramp that ends after the end", "after-the-end", "", []string{"14 s: ramp to 0 V", "24 s: ramp to 0 V"}},
	{"a set-point at the end", "after-the-end", "", []string{"14 s: ramp to 0 V", "20 s: 0 V"}},
	{"a switch after the end", "after-the-end", "", []string{"1 s: on", "30 s: on"}},
	{"a fault at the end", "after-the-end", "", []string{"at: 10 s, for: 40 ms", "at: 20 s"}},
	{"a disturbance at the end", "after-the-end", "", []string{"at: 7 s, for: 1 s", "at: 20 s, for: 1 s"}},
	{"a disturbance that outlasts the run", "outlasts", "", []string{"at: 7 s, for: 1 s", "at: 7 s, for: 13 s"}},
	{"a fault that outlasts the run", "outlasts", "", []string{"at: 10 s, for: 40 ms", "at: 10 s, for: 1 h"}},
	{"nothing to recover from", "judged-on-nothing", "", []string{load, "", fault, ""}},
	{"the target never stands still undisturbed", "judged-on-nothing", "", []string{"at: 7 s, for: 1 s", "at: 0 s, for: 19 s", fault, ""}},
	{"no ramp to follow", "judged-on-nothing", "", []string{"14 s: ramp to 0 V", "14 s: 0 V"}},
	{"the target moves up to the end", "judged-on-nothing", "", []string{sets, "wanted: {0 s: 0 V, 19.9 s: ramp to 10 V}", load, "", fault, "", all, "steady_error: 1 V", "duration: 20 s", "duration: 19.92 s"}},
	{"a step smaller than the band", "judged-on-nothing", "", []string{sets, "wanted: {0 s: 0 V, 2 s: 0.4 V}", all, "settles_in: 3 s"}},
	{"no change to overshoot behind", "judged-on-nothing", "", []string{sets, "wanted: 0 V", all, "overshoot: 3 V"}},
	{"too short a run to see a swing", "judged-on-nothing", "", []string{sets, "wanted: {0 s: 0 V, 19 s: 1 V}", load, "", fault, "", all, "swing: 3 V"}},
	{"an effort that never comes", "no-effort", "", []string{sets, "wanted: 0 V", load, "", fault, "", ", noise: 5 mV", "", all, "stays: [-5 V, 20 V]"}},
	{"an output that has nothing to do", "no-effort", "", []string{"\noutputs:", "\n  pull: {kind: clamp, of: push, limits: [-60, 0]}\noutputs:\n  brake: {from: pull, raw: int32, unit: V, counts_per_unit: 1000, limits: [-60, 0]}",
		"actuators: {u", "actuators: {v: {from: brake, full: 60 V, gives: 1 V}, u", "inputs: {u: V}", "inputs: {u: V, v: V}", "first_order", "state_space", "  gain: 1\n  time_constant: 1 s\n  dead_time: 40 ms\n", "  a: [[-1]]\n  b: [[1, 1]]\n  c: [[1]]\n",
		"ki: 4, ", "", sets, "wanted: {0 s: 5 V, 4 s: 10 V}", load, "", fault, "", all, "stays: [-5 V, 20 V]", "band: 0.5 V", "band: 5 V", "0 s: off, 1 s: on", "0 s: on"}},
	{"held still until the end", "tests-nothing", "cart", []string{"held_until: 2 s", "held_until: 605 s"}},
	{"a disturbance of nothing", "tests-nothing", "", []string{"load: 4 V", "load: 0 V"}},
	{"a door that stays closed", "tests-nothing", "incubator", []string{"loss_factor: 8", "loss_factor: 1"}},
	{"a push while the machine is held", "tests-nothing", "cart", []string{"at: 60 s, for: 100 ms", "at: 1 s, for: 100 ms"}},
	{"a set-point that is back before the machine moves", "judged-on-nothing", "", []string{sets, "wanted: {0 s: 0 V, 2 s: 10 V, 2.02 s: 0 V}", load, "", fault, "", all, "settles_in: 3 s", "kp: 4, ki: 4", "kp: 0.01, ki: 0.01"}},
	{"overshoot of a rise that is cut short", "judged-on-nothing", "", []string{sets, "wanted: {0 s: 0 V, 2 s: 10 V}", "at: 7 s, for: 1 s, load: 4 V", "at: 2.25 s, for: 10 s, load: 0.01 V", fault, "", all, "overshoot: 3 V", "kp: 4, ki: 4", "kp: 1, ki: 12"}},
	{"a set-point between two ticks", "between-ticks", "", []string{sets, "wanted: {0 s: 0 V, 2.001 s: 10 V, 2.019 s: 0 V}"}},
	{"a load between two ticks", "between-ticks", "", []string{"at: 7 s, for: 1 s", "at: 7.001 s, for: 10 ms"}},
	{"a fault between two ticks", "between-ticks", "", []string{"at: 10 s, for: 40 ms", "at: 10.001 s, for: 10 ms"}},
	{"switched on for one tick", "switched-off", "", []string{"1 s: on", "1 s: on, 1.02 s: off", sets, "wanted: 0 V", fault, "", all, "recovers_in: 3 s"}},
	{"switched on only while it is held", "switched-off", "", []string{"duration: 20 s", "duration: 20 s\n  held_until: 5 s", "1 s: on", "1 s: on, 5 s: off", sets, "wanted: 0 V", fault, "", all, "recovers_in: 3 s"}},
	{"a load that moves nothing", "judged-on-nothing", "", []string{"load: 4 V", "load: 0.001 V", fault, "", sets, "wanted: 0 V", all, "recovers_in: 3 s"}},
	{"a band that no change of the target leaves", "band-too-wide", "", []string{"kp: 4, ki: 4", "kp: -0.5", "band: 0.5 V", "band: 70 V", all, "recovers_in: 3 s"}},
	{"a band as wide as the machine's range, and only stays is asked", "tests-nothing", "", []string{"kp: 4, ki: 4", "kp: 0.01", "band: 0.5 V", "band: 1000 V", all, "stays: [-100 V, 100 V]"}},
	{"a regulator at rest that nothing disturbs", "tests-nothing", "", []string{sets, "wanted: 0 V", load, "", fault, "", all, "steady_error: 1 V, swing: 1 V", "kp: 4, ki: 4", "kp: 0.0001"}},
	{"a ramp up to the end of which nothing is asked", "ends-on-a-ramp", "", []string{sets, "wanted: {0 s: 0 V, 2 s: 1 V, 12 s: 1 V, 19.9 s: ramp to 50 V}", all, "settles_in: 5 s", "kp: 4, ki: 4", "kp: 4, ki: 0.4"}},
	{"a tolerance of nothing", "tests-nothing", "", []string{"  watch:\n", "  vary: {gain: 0 %}\n  watch:\n"}},
	{"a share of a start at 0", "tests-nothing", "", []string{"  watch:\n", "  vary: {start.y: 10 %}\n  watch:\n"}},
	{"no tolerance at all", "missing-value", "", []string{"  watch:\n", "  vary: {}\n  watch:\n"}},
	{"a fall deeper than the floor", "tests-nothing", "cart", []string{"falls: {pitch: 45 deg}", "falls: {pitch: 75 deg}"}},
	{"only a band", "nothing-asked", "", []string{", " + all, ""}},
}

// bad are loops that must not pass.
var bad = []scene{
	{"wrong sign", "unstable", "", []string{"kp: 4, ki: 4", "kp: -4, ki: -4"}},
	{"wrong sign, and little is asked", "never-settles", "", []string{"kp: 4, ki: 4", "kp: -0.5, ki: -0.5", all, "stays: [-100 V, 100 V]"}},
	{"twice the gain that the dead time bears", "unstable", "", []string{"kp: 4, ki: 4", "kp: 60, ki: 4"}},
	{"it cycles between the limits, and only stays is asked", "cycles", "", []string{"kp: 4, ki: 4", "kp: 100, ki: 4", all, "stays: [-30 V, 30 V]"}},
	{"it cycles inside the band", "unstable", "", []string{"kp: 4, ki: 4", "kp: 100, ki: 4", all, "settles_in: 3 s", "band: 0.5 V", "band: 6 V"}},
	{"it swings more than is asked", "swings", "", []string{"kp: 4, ki: 4", "kp: 100, ki: 4", all, "swing: 1 V", "band: 0.5 V", "band: 6 V"}},
	{"proportional alone never arrives, and only stays is asked", "never-settles", "", []string{", ki: 4", "", sets, "wanted: {0 s: 0 V, 2 s: 10 V}", all, "stays: [-5 V, 20 V]"}},
	{"a steady error", "steady-error", "", []string{", ki: 4", "", "band: 0.5 V", "band: 3 V"}},
	{"too slow to settle", "settles-late", "", []string{"kp: 4, ki: 4", "kp: 0.1, ki: 0.2"}},
	{"too slow to recover", "recovers-late", "", []string{"kp: 4, ki: 4", "kp: 4, ki: 0.1"}},
	{"overshoot", "overshoots", "", []string{"kp: 4, ki: 4", "kp: 1, ki: 12"}},
	{"behind on the ramp", "follows-badly", "", []string{"kp: 4, ki: 4", "kp: 0.4, ki: 0.4"}},
	{"out of its range", "leaves-range", "", []string{"stays: [-5 V, 20 V]", "stays: [-5 V, 10 V]"}},
	{"in the band for the last moment only", "never-settles", "", []string{"kp: 4, ki: 4", "kp: 0.2, ki: 0.2", sets, "wanted: {0 s: 0 V, 2 s: 10 V}", load, "", fault, "", all, "stays: [-5 V, 20 V]", "duration: 20 s", "duration: 15.5 s"}},
	{"an unstable machine that nothing has pushed yet", "unstable", "", []string{machine, fraction("1", "1, -0.001"), "kp: 4, ki: 4", "kp: 0.0005", sets, "wanted: {0 s: 0 V, 2 s: 1 V}", load, "", fault, "", all, "stays: [-5 V, 20 V]", "band: 0.5 V", "band: 3 V"}},
	{"a slow instability that the run is too short to show", "unstable", "", []string{machine, fraction("1", "1, 0.01, 0.0001"), "kp: 4, ki: 4", "kp: 0.001, ki: 0.001", sets, "wanted: {0 s: 0 V, 2 s: 1 V}", load, "", fault, "", all, "stays: [-5 V, 20 V]", "band: 0.5 V", "band: 3 V"}},
	{"an unstable loop that is switched off before the end", "unstable", "", []string{"kp: 4, ki: 4", "kp: 60, ki: 4", "1 s: on", "1 s: on, 18 s: off", all, "stays: [-60 V, 60 V]", "band: 0.5 V", "band: 40 V"}},
	{"a sensor that is lost from the start", "settles-late", "", []string{"noise: 5 mV", "noise: 5 mV, dropped: 99 %, burst: 1000000"}},
	{"an unstable loop that is switched on for less than half of the run", "unstable", "", []string{"kp: 4, ki: 4", "kp: 100, ki: 4", "0 s: off, 1 s: on", "0 s: off, 10.5 s: on", sets, "wanted: {0 s: 0 V, 11 s: 10 V}", load, "", fault, "", all, "settles_in: 3 s", "band: 0.5 V", "band: 6 V"}},
	{"a second controller that is unstable, on for a while", "unstable", "", []string{"push: {kind", "first: {kind", "\noutputs:", "\n  second: {kind: pid, target: wanted, measured: seen, enable: other, kp: 100, limits: [-60, 60]}\n  push: {kind: sum, of: {first: 1, second: 1}, limits: [-60, 60]}\noutputs:",
		"  run: {raw: bool}", "  run: {raw: bool}\n  other: {raw: bool}", "    run: {0 s: off, 1 s: on}", "    run: {0 s: on, 16 s: off}\n    other: {0 s: off, 16 s: on, 18 s: off}", load, "", fault, "", all, "stays: [-60 V, 60 V]"}},
	{"a part of the machine that nobody measures runs away slowly", "unstable", "", []string{machine, "  kind: state_space\n  inputs: {u: V}\n  outputs: {y: V, z: V}\n  a: [[-1, 0], [1, 0.01]]\n  b: [[1], [0]]\n  c: [[1, 0], [0, 1]]\n"}},
	{"the wrong sign, switched on for one tick", "unstable", "", []string{machine, fraction("1", "1, 0"), "kp: 4, ki: 4", "kp: -4, ki: -4", "1 s: on", "1 s: on, 1.02 s: off", sets, "wanted: 0 V", load, "", fault, "", all, "steady_error: 1 V"}},
	{"it runs away", "runs-away", "", []string{machine, fraction("1", "1, -9"), "kp: 4, ki: 4", "kp: 0.5"}},
	{"a cart without gains falls", "falls", "cart", []string{"kp: 41, ki: 650, kd: 1.5", "kp: 2, ki: 5, kd: 0"}},
	{"a heading that is turned the wrong way", "unstable", "heading", []string{"turn: -1", "turn: 1", "right: {kind: sum, of: {drive: 1, turn: 1}}", "right: {kind: sum, of: {drive: 1, turn: -1}}"}},
	{"an incubator that cycles, and only overshoot is asked", "cycles", "incubator", []string{"kp: 12, ki: 0.02, kd: 60", "kp: 400, ki: 0.02, kd: 0", "settles_in: 40 min, recovers_in: 30 min, overshoot: 2 K, steady_error: 0.2 K", "overshoot: 10 K", "heat.kp: [0, 50]", "heat.kp: [0, 500]", "band: 0.5 K", "band: 0.2 K"}},
	{"an arm that sways ever more", "unstable", "pan", []string{"kp: 14, ki: 20, kd: 0.6", "kp: 280, ki: 400, kd: 12", "push.kp: [0, 40], push.ki: [0, 100], push.kd: [0, 2]", "push.kp: [0, 400], push.ki: [0, 1000], push.kd: [0, 20]"}},
	{"a spindle whose loop does nothing against the cutter", "recovers-late", "spindle", []string{"kp: 0.6, ki: 9", "kp: 0.01, ki: 0.05"}},
}

// verdict runs a scene as simulate does. Where the spec is refused, the findings are those of the check.
func (c *scene) verdict(t *testing.T) (said document.Sentence, rules []string) {
	t.Helper()
	text := tank
	if c.base != "" {
		text = string(templates.Starter(c.base))
	}
	for i := 0; i < len(c.changes); i += 2 {
		if !strings.Contains(text, c.changes[i]) {
			t.Fatalf("nothing to replace: %q", c.changes[i])
		}
		text = strings.Replace(text, c.changes[i], c.changes[i+1], 1)
	}
	u := model.Compile("probe.yaml", []byte(text))
	if !u.OK() {
		for _, f := range u.Findings {
			if !strings.HasPrefix(f.Key, "scenario") {
				t.Fatal(f)
			}
			if f.Pos.Line == 0 || f.Remedy == "" {
				t.Errorf("no place or no remedy: %v", f)
			}
			rules = append(rules, f.Rule)
		}
		return document.Judge(false, "Not good: refused."), rules
	}
	s := Simulation(u)
	o := s.Run(u.Scenario.Seed, nil)
	for _, f := range o.Findings {
		rules = append(rules, f.Rule)
		if f.Pos.Line == 0 {
			t.Errorf("no place: %v", f)
		}
	}
	return (&Run{Unit: u, System: s, Outcome: o}).Held(), rules
}

func TestWhatTestsNothingIsNotGood(t *testing.T) { judge(t, untested, 20) }
func TestABadLoopIsNotGood(t *testing.T)         { judge(t, bad, 20) }

func judge(t *testing.T, scenes []scene, least int) {
	if len(scenes) < least {
		t.Fatalf("%d scenes", len(scenes))
	}
	for _, c := range scenes {
		t.Run(c.name, func(t *testing.T) {
			said, rules := c.verdict(t)
			if said.Tone != document.Bad || strings.HasPrefix(said.Text, "Good") {
				t.Error(said)
			}
			if !slices.Contains(rules, c.rule) {
				t.Errorf("findings %v, expected %s", rules, c.rule)
			}
		})
	}
}

// What the scenes are made of is good, so that each of them shows what its own change does.
func TestWhatIsTestedAndHeldIsGood(t *testing.T) {
	for _, c := range []scene{{name: "tank"}, {name: "heading", base: "heading"}, {name: "incubator", base: "incubator"}, {name: "pan", base: "pan"}, {name: "spindle", base: "spindle"}} {
		if said, rules := c.verdict(t); said.Tone != document.Good || !strings.HasPrefix(said.Text, "Good: ") || len(rules) > 0 {
			t.Errorf("%s: %v %v", c.name, said, rules)
		}
	}
	// Where one of several quantities has a band alone, that is said.
	c := scene{base: "cart", changes: []string{"duration: 605 s", "duration: 12 s", "at: 60 s", "at: 6 s", "    - {at: 120 s, for: 20 s, slope: 2 deg, about: a ramp}\n", "", "band: 30 cm, stays: [-150 cm, 150 cm]", "band: 30 cm"}}
	if said, _ := c.verdict(t); said.Tone != document.Good || !strings.HasPrefix(said.Text, "Good: ") || !strings.HasSuffix(said.Text, "Nothing was asked of travel: only a band is given.") {
		t.Error(said)
	}
}
