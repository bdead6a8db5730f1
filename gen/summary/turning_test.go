package summary

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"gainwright/model"
	"gainwright/model/simulate"
	"gainwright/templates"
)

// A gain turned to twice or half gives what a spec with that gain gives.
func TestTurnedIsTheSpecWithThatGain(t *testing.T) {
	const was = "kp: 0.6, ki: 9"
	src := string(templates.Starter("spindle"))
	if !strings.Contains(src, was) {
		t.Fatalf("the spindle has no %s any more", was)
	}
	got, err := Turned(model.Compile("spindle.yaml", []byte(src)), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Gains) != 2 || got.Gains[0].Key != "push.kp" || got.Gains[1].Key != "push.ki" || got.Box == nil || got.Plane == nil {
		t.Fatalf("%+v", got)
	}
	for i, gains := range [2][3]string{{"kp: 0.3, ki: 9", was, "kp: 1.2, ki: 9"}, {"kp: 0.6, ki: 4.5", was, "kp: 0.6, ki: 18"}} {
		for k, g := range gains {
			u := model.Compile("spindle.yaml", []byte(strings.Replace(src, was, g, 1)))
			want := Simulation(u).Run(u.Scenario.Seed, nil).Loops[simulate.Reference]
			at := got.Gains[i].At[k]
			if d := cmp.Diff(want.Watch, at.Watch, cmpopts.IgnoreUnexported(simulate.Watched{})); d != "" {
				t.Errorf("%s: %s", g, d)
			}
			if d := cmp.Diff(want.Effort, at.Effort, cmpopts.IgnoreUnexported(simulate.Effort{})); d != "" {
				t.Errorf("%s: %s", g, d)
			}
			tuning, err := Loop(u).Tuning()
			if err != nil {
				t.Fatal(err)
			}
			if peak, err := tuning.Peak(got.Gains[i].Key, tuning.Now()); err != nil || peak != float64(at.Peak) {
				t.Errorf("%s: sensitivity peak %g, that of the spec %g, %v", g, at.Peak, peak, err)
			}
		}
	}
}

// What is not stable, falls or lies outside is said in the table.
func TestTurnedCells(t *testing.T) {
	at := TurnedAt{Value: 2, Peak: simulate.None, Fell: true, Watch: []simulate.Watched{{Overshoot: simulate.None, Swing: 0.25}}, Effort: []simulate.Effort{{RMS: 3}, {RMS: 4}}}
	if d := cmp.Diff([]string{"2 *", "not stable", "falls", "none", "0.25", "3, 4"}, at.Cells(0)); d != "" {
		t.Error(d)
	}
	g := Turning{Gains: []TurnedGain{{At: [3]TurnedAt{at, at, at}}}}
	if notes := g.notes(); len(notes) != 2 || !strings.HasPrefix(notes[1], "* outside") {
		t.Error(notes)
	}
}

// Names that are no live gains are refused, and so is a spec without any.
func TestTurnedOverWhat(t *testing.T) {
	u := model.Compile("spindle.yaml", templates.Starter("spindle"))
	for _, over := range [][]string{{"push.kp", "push.kd"}, {"push.kp", "push.kp"}} {
		if _, err := Turned(u, over); err == nil {
			t.Errorf("%v was taken", over)
		}
	}
	fixed := model.Compile("spindle.yaml", []byte(strings.Replace(string(templates.Starter("spindle")), "\ntuning:", "\n#", 1)))
	if _, err := Turned(fixed, nil); err == nil || !strings.Contains(err.Error(), "tuning") {
		t.Errorf("without live gains: %v", err)
	}
}
