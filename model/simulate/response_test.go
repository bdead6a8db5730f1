package simulate

import (
	"math"
	"testing"
)

// The direction of a change is that of the set-point: a start a thousandth to one side or the other decides nothing.
func TestOvershootHangsOnNoStart(t *testing.T) {
	const text = `controller: probe
rate: 100 Hz
inputs:
  seen: {raw: int32, unit: V, counts_per_unit: 1000, range: [-200, 200]}
  wanted: {raw: int32, unit: V, counts_per_unit: 1000, range: [-200, 200]}
steps:
  push: {kind: pid, target: wanted, measured: seen, kp: 4, ki: 6, limits: [-1000, 1000]}
outputs:
  drive: {from: push, raw: int32, unit: V, counts_per_unit: 1000, limits: [-1000, 1000]}
plant:
  kind: first_order
  inputs: {u: V}
  outputs: {y: V}
  gain: 1
  time_constant: 1 s
  actuators: {u: {from: drive, full: 1000 V, gives: 1000 V}}
  sensors: {seen: {of: y}}
scenario:
  duration: 20 s
  start: {y: 0.001 V}
  set_points:
    wanted: {0 s: 0 V, 1 s: 0 V, 6 s: ramp to 100 V}
  watch: {y: {target: wanted, band: 0.5 V, settles_in: 5 s, overshoot: 100 V, follows_within: 100 V}}
`
	var over, along [2]float64
	for i, start := range []string{"y: 0.001 V", "y: -0.001 V"} {
		o := system(t, edit(t, text, "y: 0.001 V", start)).twice(1)
		if o.Findings.Failed() {
			t.Fatal(o.Findings)
		}
		over[i], along[i] = float64(o.Loops[0].Watch[0].Overshoot), float64(o.Loops[0].Watch[0].Following)
	}
	if math.Abs(over[0]-over[1]) > 1e-3 || over[0] <= 0 || over[0] > along[0] {
		t.Errorf("overshoot %g from one side, %g from the other", over[0], over[1])
	}
	// Behind a ramp of 20 V/s the loop of type 1 lags by 20/ki.
	if want := 20.0 / 6; math.Abs(along[0]-want) > 0.3*want || math.Abs(along[0]-along[1]) > 0.01 {
		t.Errorf("errors along the ramp %g and %g, about %g expected", along[0], along[1], want)
	}
}

// The figures of the spindle are those of its own trace.
func TestOvershootIsThatOfTheTrace(t *testing.T) {
	s := system(t, edited(t, "spindle"))
	tr := &Trace{}
	o := s.run([2]controller{newReal(s.Asked, s.Spec), newReal(s.Asked, s.Spec)}, 1, tr)
	beyond, behind := 0.0, 0.0
	for _, row := range tr.Rows {
		at, target, speed := row[0], row[3], row[4]
		if at >= 0.2 && at < 2 {
			beyond = math.Max(beyond, speed-500)
			if at < 0.7 {
				behind = math.Max(behind, math.Abs(speed-target))
			}
		}
	}
	w := o.Loops[Reference].Watch[0]
	if got := float64(w.Overshoot); beyond < 19 || math.Abs(got-beyond) > 0.1 { // the final value is off the target by noise
		t.Errorf("overshoot %g, the trace shows %g", got, beyond)
	}
	if got := float64(w.Following); math.Abs(got-behind) > 1e-9 {
		t.Errorf("along the ramp %g, the trace shows %g", got, behind)
	}
}
