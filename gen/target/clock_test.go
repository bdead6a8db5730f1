package target

import (
	"context"
	"math/rand/v2"
	"regexp"
	"slices"
	"testing"

	"gainwright/model"
	"gainwright/model/tier"
)

// threeLoops are three controllers of one kind, each of another machine.
const threeLoops = `controller: three
rate: 1 kHz
target: avr8
inputs:
  speed: {raw: int16, unit: rpm, counts_per_unit: 8, range: [-3000, 3000]}
  warmth: {raw: int16, unit: degC, counts_per_unit: 64, range: [-20, 120]}
  depth: {raw: int16, unit: cm, counts_per_unit: 64, range: [0, 100]}
steps:
  spin: {kind: pid, target: 1000, measured: speed, kp: 0.1, ki: 0.5, kd: 0.001, derivative_filter: 20 ms, unit: duty, limits: [-255, 255]}
  heat: {kind: pid, target: 60, measured: warmth, kp: 2, ki: 0.5, kd: 0.05, derivative_filter: 20 ms, unit: duty, limits: [0, 255], every: 4 ticks}
  fill: {kind: pid, target: 40, measured: depth, kp: 2, ki: 0.5, kd: 0.05, derivative_filter: 20 ms, unit: duty, limits: [0, 255], every: 4 ticks, phase: 2 ticks}
outputs:
  motor: {from: spin, raw: int16, unit: duty, limits: [-255, 255]}
  heater: {from: heat, raw: int16, unit: duty, limits: [0, 255]}
  pump: {from: fill, raw: int16, unit: duty, limits: [0, 255]}
`

// TestSlowLoopsCostLess: of one loop of 1 kHz and two of 250 Hz in different phases, no tick after the first takes more than three quarters of what the worst takes
// where all three run at 1 kHz.
func TestSlowLoopsCostLess(t *testing.T) {
	tier.Slow(t)
	costs := func(text string) (costs []int) {
		u := model.Compile("three.yaml", []byte(text))
		if !u.OK() {
			t.Fatal(u.Findings)
		}
		s := onPart(t, "avr8", func(ctx context.Context) (*Simulated, error) { return NewSimulated(ctx, "avr8", u) })
		s.noted = func(cost int) { costs = append(costs, cost) }
		var records []int64
		rng := rand.New(rand.NewPCG(7, 7))
		for range 8000 {
			for range u.Integer.Inputs {
				records = append(records, int64(rng.IntN(1<<16))-1<<15)
			}
			records = append(records, 0)
		}
		everything(t, s, records)
		return costs
	}
	slow := costs(threeLoops)
	each := costs(regexp.MustCompile(`, every: 4 ticks(, phase: 2 ticks)?`).ReplaceAllString(threeLoops, ""))
	worst, all := slices.Max(slow[1:]), slices.Max(each)
	t.Logf("first tick %d, worst later tick %d of %d cycles at 1 kHz: %.3f", slow[0], worst, all, float64(worst)/float64(all))
	if float64(worst) > 0.75*float64(all) {
		t.Errorf("the worst later tick takes %d cycles, where all loops run at each tick it is %d", worst, all)
	}
}
