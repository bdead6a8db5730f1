package loop

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

	"gainwright/model/plant"
	"gainwright/model/spec"
	"gainwright/model/steps"
	"gainwright/model/tier"
)

// tenth is one of the loops of testdata/ten_loops.json, with what testdata/ten_loops.py computes of it.
type tenth struct {
	Name        string    `json:"name"`
	Rate        float64   `json:"rate_hz"`
	Numerator   []float64 `json:"numerator"`
	Denominator []float64 `json:"denominator"`
	Delay       float64   `json:"delay_s"`
	KP          float64   `json:"kp"`
	KI          float64   `json:"ki"`
	KD          float64   `json:"kd"`
	Filter      float64   `json:"derivative_filter_s"`
	Computed    struct {
		Stable     bool        `json:"stable"`
		GainUp     float64     `json:"gain_up"`
		GainDown   float64     `json:"gain_down"`
		Phase      float64     `json:"phase_deg"`
		Crossover  float64     `json:"crossover_hz"`
		Delay      float64     `json:"delay_s"`
		Peak       float64     `json:"sensitivity_peak"`
		Bandwidth  float64     `json:"bandwidth_hz"`
		StableWith *[2]float64 `json:"stable_with"`
	} `json:"computed"`
}

func list(xs []float64) string { return strings.Join(strings.Fields(fmt.Sprint(xs)), ", ") }

// spec writes the loop as a spec whose numbers are as fine as any: only the loop itself is looked at.
func (l *tenth) spec() string {
	gains := fmt.Sprintf("kp: %g", l.KP)
	if l.KI != 0 {
		gains += fmt.Sprintf(", ki: %g", l.KI)
	}
	if l.KD != 0 {
		gains += fmt.Sprintf(", kd: %g, derivative_filter: %g s", l.KD, l.Filter)
	}
	return fmt.Sprintf(`controller: probe
rate: %g Hz
inputs:
  seen: {raw: int32, unit: V, counts_per_unit: 1000000}
steps:
  push: {kind: pid, target: 0, measured: seen, %s, unit: V, limits: [-1000, 1000]}
outputs:
  drive: {from: push, raw: int32, unit: V, counts_per_unit: 1000000, limits: [-1000, 1000]}
plant:
  kind: transfer_function
  inputs: {u: V}
  outputs: {y: V}
  numerator: %s
  denominator: %s
  actuators: {u: {from: drive, full: 1000 V, gives: 1000 V, delay: %g s}}
  sensors: {seen: {of: y}}
`, l.Rate, gains, list(l.Numerator), list(l.Denominator), l.Delay)
}

// look takes the loop from its spec and cuts it behind the PID and at the output.
func (l *tenth) look(t *testing.T) (bool, []Cut) {
	t.Helper()
	sp, found := spec.Read("probe.yaml", []byte(l.spec()))
	if found.Failed() {
		t.Fatal(found)
	}
	asked, found := steps.Lower(sp)
	if found.Failed() {
		t.Fatal(found)
	}
	p, found := plant.Read(sp)
	if found.Failed() {
		t.Fatal(found)
	}
	s := &System{Spec: sp, Asked: asked, Stored: asked, Plant: p}
	m := s.materials()
	c := s.controller(asked, m)
	now, err := s.sampled(m, 0)
	if err != nil {
		t.Fatal(err)
	}
	_, stable := closed(c, now)
	both := [2]bool{stable, stable}
	return stable, append(s.cutsAtPIDs([2]*controller{c, c}, m, now, both), s.cutsAtOutputs([2]*controller{c, c}, now, both)...)
}

func tenLoops(t *testing.T) (out []tenth) {
	t.Helper()
	text, err := os.ReadFile("testdata/ten_loops.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	if len(out) < 10 {
		t.Fatalf("%d loops", len(out))
	}
	return out
}

// Margins from a ten-thousandth of a hertz to 400 Hz are those that testdata/ten_loops.py computes with scipy in another formulation.
func TestMarginsOfTenLoops(t *testing.T) {
	const digits = 5e-5
	for _, l := range tenLoops(t) {
		t.Run(l.Name, func(t *testing.T) {
			stable, cuts := l.look(t)
			want := l.Computed
			if stable != want.Stable || len(cuts) != 2 {
				t.Fatalf("stable %v, want %v; %d cuts", stable, want.Stable, len(cuts))
			}
			for _, c := range cuts {
				got := c.Margins[0]
				close(t, "gain up", got.GainUp, want.GainUp, digits)
				close(t, "gain down", got.GainDown, want.GainDown, digits)
				close(t, "phase margin", got.Phase, want.Phase, digits)
				close(t, "crossover", got.Crossover, want.Crossover, digits)
				close(t, "delay margin", got.Delay, want.Delay, digits)
				close(t, "sensitivity peak", got.Peak, want.Peak, digits)
				close(t, "bandwidth", got.Bandwidth, want.Bandwidth, digits)
				if (got.Stable == nil) != (want.StableWith == nil) {
					t.Fatalf("stable with %v, want %v", got.Stable, want.StableWith)
				}
				if got.Stable != nil {
					for i := range got.Stable {
						close(t, "stable with", got.Stable[i], want.StableWith[i], digits)
					}
				}
			}
		})
	}
}

// The figures of the file are what scipy says today.
func TestTenLoopsAgainstScipy(t *testing.T) {
	python := tier.Scipy(t)
	tier.Slow(t)
	if out, err := exec.Command(python, "testdata/ten_loops.py", "--check").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
}
