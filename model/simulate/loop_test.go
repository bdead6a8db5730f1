package simulate

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gainwright/model/finding"
)

func rules(found finding.List) string {
	var out []string
	for _, f := range found {
		out = append(out, f.Rule+"@"+f.Key)
	}
	return strings.Join(out, " ")
}

// shortCart is the starter for 20 s, with what a test changes.
func shortCart(t *testing.T, changes ...string) *System {
	return system(t, edited(t, "cart", append([]string{"duration: 605 s", "duration: 20 s", "at: 60 s", "at: 6 s", "at: 120 s, for: 20 s", "at: 10 s, for: 4 s"}, changes...)...))
}

func TestCartStartsAndStays(t *testing.T) {
	o := shortCart(t).twice(1)
	l := &o.Loops[Reference]
	if o.Findings.Failed() || l.Fell || l.Upright != 20 {
		t.Fatalf("the reference does not hold the cart: %v", o.Findings)
	}
	// Held until 2 s: nothing is driven and nothing wound up before, and the switches come on at that tick.
	if l.FirstEffort != 2 || l.WindUp != 0 || len(l.Switches) != 3 || slices.ContainsFunc(l.Switches, func(s Switch) bool { return s.Changes != 1 || s.Times[0] != 2 }) {
		t.Errorf("first effort at %g s, wind-up %g, switches %+v", l.FirstEffort, l.WindUp, l.Switches)
	}
	if d := o.Difference[0]; d.Largest != 0 || d.RMSRatio != 1 {
		t.Errorf("two equal loops differ: %+v", d)
	}
	if w := l.Watch[0]; w.Highest < 6 || w.Recovery <= 0 { // it starts at 5 deg
		t.Errorf("the nudge is not to be seen: %+v", w)
	}
}

func TestCartFallsAndIsCutOff(t *testing.T) {
	s := shortCart(t, "push: 2 N", "push: 9 N")
	o := s.twice(1)
	l := &o.Loops[Integer]
	if !l.Fell || l.Upright < 6 || l.Upright > 8 {
		t.Fatalf("a push of 9 N: fell %v at %g s", l.Fell, l.Upright)
	}
	if got := rules(o.Findings); !strings.Contains(got, "falls@scenario.falls") || !strings.Contains(got, "leaves-range@scenario.watch.pitch.stays") {
		t.Errorf("findings: %s", got)
	}
	for _, f := range o.Findings {
		if f.Pos.Line == 0 || !strings.Contains(f.Message, "controller") {
			t.Errorf("finding without a place or a name: %v", f)
		}
	}
	if l.Effort[0].Last != 0 || l.CutOff < 0 || l.CutOff > 0.2 {
		t.Errorf("cut off %g s after the fall, last effort %g", l.CutOff, l.Effort[0].Last)
	}
	// Without the cut-off the wheels go on.
	o = shortCart(t, "push: 2 N", "push: 9 N", "limits: [-24, 24], release: [-10, 10]", "limits: [-90, 90]").twice(1)
	if l := &o.Loops[Integer]; !l.Fell || l.CutOff != -1 {
		t.Errorf("no window: fell %v, cut off after %g s", l.Fell, l.CutOff)
	}
}

func TestFaults(t *testing.T) {
	with := func(fault string, more ...string) *Outcome {
		return shortCart(t, append([]string{"  falls:", "  faults: [" + fault + "]\n  falls:"}, more...)...).twice(1)
	}
	for _, c := range []struct {
		name, fault string
		falls       bool
	}{
		{"a gyroscope that freezes", "{at: 6.05 s, for: 2 s, sensor: pitch_rate, reads: frozen}", true},
		{"a gyroscope that reads nonsense", "{at: 3 s, for: 1 s, sensor: pitch_rate, reads: 9000 count}", true},
		{"a gyroscope that is silent for two ticks", "{at: 9 s, for: 10 ms, sensor: pitch_rate, reads: 0 count}", false},
		{"a bridge that is stuck", "{at: 9 s, for: 1 s, output: drive, gives: 250 duty}", true},
		{"a bridge that skips a beat", "{at: 9 s, for: 20 ms, output: drive, gives: 0 duty}", false},
		{"a restart for 10 ms", "{at: 9 s, for: 10 ms, controller: restarts}", false},
		{"a restart for 2 s", "{at: 9 s, for: 2 s, controller: restarts}", true},
	} {
		if l := &with(c.fault).Loops[Reference]; l.Fell != c.falls || c.falls && (l.Upright < 3 || l.Upright > 13) {
			t.Errorf("%s: fell %v at %g s", c.name, l.Fell, l.Upright)
		}
	}
	if o := with("{at: 9 s, for: 10 ms, controller: restarts}"); o.Loops[0].Restarts != 1 {
		t.Errorf("%d restarts", o.Loops[0].Restarts)
	}
	// A tired battery lets the controller down when it has to fight.
	o := shortCart(t, "brown_out: 4.5 V", "brown_out: 6.8 V", "resistance: 0.35 Ohm", "resistance: 1.5 Ohm").twice(1)
	if l := &o.Loops[0]; l.BrownOuts == 0 || l.LowestVolts > 6.8 {
		t.Errorf("%d brown-outs, lowest %g V", l.BrownOuts, l.LowestVolts)
	}
}

// An unstable plant without a fall runs away: the run ends, and says so.
func TestRunningAway(t *testing.T) {
	s := system(t, `controller: probe
rate: 100 Hz
inputs:
  seen: {raw: int16, unit: V, counts_per_unit: 1000}
steps:
  effort: {kind: sum, of: {seen: 1}}
outputs:
  drive: {from: effort, raw: int16, unit: V, counts_per_unit: 100}
plant:
  kind: transfer_function
  inputs: {drive: V}
  outputs: {level: V}
  numerator: [1]
  denominator: [1, -9]
  actuators: {drive: {from: drive, full: 10 V, gives: 10 V}}
  sensors: {seen: {of: level, noise: 1 mV}}
scenario:
  duration: 1000 s
  watch: {level: {target: 0 V, band: 1 V}}
`)
	o := s.twice(1)
	if l := &o.Loops[0]; !l.RanAway || l.Upright > 10 || math.IsNaN(l.Watch[0].RMS) || math.IsInf(l.Watch[0].RMS, 0) {
		t.Errorf("%+v", l)
	}
	if got := rules(o.Findings); got != "runs-away@scenario.duration runs-away@scenario.duration" {
		t.Errorf("findings %s", got)
	}
}

func TestTraceHoldsTheRun(t *testing.T) {
	s := shortCart(t)
	tr := &Trace{Most: 500}
	s.run([2]controller{newReal(s.Asked, s.Spec), newReal(s.Asked, s.Spec)}, 1, tr)
	lines := strings.Split(strings.TrimSpace(string(tr.CSV())), "\n")
	if want := "t,armed,target.pitch,target.travel,reference.pitch,reference.travel,reference.drive,reference.volts,integer.pitch,integer.travel,integer.drive,integer.volts"; lines[0] != want {
		t.Errorf("columns %s", lines[0])
	}
	if len(lines) < 400 || len(lines) > 501 {
		t.Errorf("%d rows", len(lines)-1)
	}
	if !strings.HasPrefix(lines[1], "0,0,0,0,5,0,0,") {
		t.Errorf("first row %s", lines[1])
	}
}
