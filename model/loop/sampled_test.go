package loop

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gainwright/model/plant"
	"gainwright/model/spec"
)

// The matrices of a sampled plant do what the rig does step by step, whatever its delays are.
func TestSampledPlantFollowsTheRig(t *testing.T) {
	const text = `controller: probe
rate: 100 Hz
inputs:
  here: {raw: int16, unit: V, counts_per_unit: -1000}
  there: {raw: int16, unit: V, counts_per_unit: 500, offset: 2}
steps:
  sum: {kind: sum, of: {here: 1, there: 1}}
outputs:
  left: {from: sum, raw: int16, unit: V, counts_per_unit: 100}
  right: {from: sum, raw: int16, unit: V, counts_per_unit: 100}
plant:
  kind: state_space
  inputs: {a: V, b: V}
  outputs: {p: V, q: V}
  a: [[0, 1, 0], [-400, -3, 7], [0, 0, -30]]
  b: [[0, 1], [5, 2], [30, 0]]
  c: [[1, 0, 2], [0, 0.1, 0]]
  d: [[0.3, 0], [0, 0.2]]
  actuators: {a: {from: left, full: 10 V, gives: 12 V, delay: %s}, b: {from: right, full: 10 V, gives: -7 V, delay: %s}}
  sensors: {here: {of: p, delay: %s}, there: {of: q, delay: %s, gain_error: 0.1}}
`
	for _, d := range [][4]string{{"0 s", "0 s", "0 s", "0 s"}, {"3 ms", "13 ms", "0 s", "4 ms"}, {"10 ms", "20 ms", "10 ms", "25.5 ms"}, {"0 s", "4 ms", "6 ms", "6 ms"}} {
		s, found := spec.Read("probe.yaml", fmt.Appendf(nil, text, d[0], d[1], d[2], d[3]))
		if found.Failed() {
			t.Fatal(found)
		}
		p, found := plant.Read(s)
		if found.Failed() {
			t.Fatal(found)
		}
		units := []float64{1. / 1000, 1. / 500}
		m, err := sample(p, p.Linear(), 0.01, 2, units, 2, []int{0, 1}, 0)
		if err != nil {
			t.Fatal(err)
		}
		rig, noise, r := p.NewRig(nil), p.NewNoise(1), rand.New(rand.NewPCG(1, 2))
		z, raw := make([]float64, len(m.p)), make([]int64, 2)
		moved := 0.0
		for k := range 200 {
			rig.Sense(noise.Next(), raw)
			for i := range 2 {
				want := 0.0
				for j, v := range m.q[i] {
					want += v * z[j]
				}
				if math.Abs(rig.Quantities[i]-want) > 1e-9 {
					t.Fatalf("%v, tick %d: quantity %d is %g, the matrices say %g", d, k, i, rig.Quantities[i], want)
				}
				sensed := 0.0
				for j, v := range m.y[i] {
					sensed += v * z[j] / units[i]
				}
				if i == 1 {
					sensed -= 2 * 500 // the reading at 0
				}
				if math.Abs(float64(raw[i])-sensed) > 0.5+1e-6 {
					t.Fatalf("%v, tick %d: input %d reads %d, the matrices say %g", d, k, i, raw[i], sensed)
				}
				moved = math.Max(moved, math.Abs(sensed))
			}
			out := []float64{2*r.Float64() - 1, 2*r.Float64() - 1}
			rig.Apply(out)
			rig.Advance(0, nil)
			next := make([]float64, len(z))
			for i := range next {
				for j, v := range m.p[i] {
					next[i] += v * z[j]
				}
				for j, v := range m.g[i] {
					next[i] += v * out[j]
				}
			}
			z = next
		}
		if moved < 100 {
			t.Errorf("%v: hardly anything moved", d)
		}
	}
}

// A dead time of more ticks than are followed is refused, not computed for ever.
func TestTooLongADelay(t *testing.T) {
	if _, err := New(system(t, motor, "gives: 300 V, delay: 0 s", "gives: 300 V, delay: 60 s")); err == nil {
		t.Error("1200 ticks of delay are followed")
	}
}
