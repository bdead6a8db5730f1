package plant

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Machines with numbers anywhere within their limits, all effects on: steps and events stay bounded, and nothing breaks. Such a machine may run away.
func TestExtremeMachines(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	strained, wild := 0, 0
	const machines = 300
	for range machines {
		k := []*Kind{motorKind, pendulumKind, differentialKind, heaterKind}[r.IntN(4)]
		v := Values{}
		for _, q := range k.Params {
			v[q.Key] = anywhere(r, max(q.Low, q.High*1e-15), q.High)
			if q.Low == 0 && r.IntN(3) == 0 {
				v[q.Key] = 0
			}
			if q.Default != nil && r.IntN(3) == 0 {
				v[q.Key] = q.Default(v)
			}
		}
		p := &Plant{Kind: k, Model: k.Build(v, false), tolerance: stepTolerance, longest: math.Inf(1)}
		w := &powered{model: p.Model, base: p.rest(), u: p.rest()}
		for i, in := range p.Model.Inputs() {
			if in.Name == "loss_factor" {
				continue
			}
			w.base[i] += anywhere(r, 1e-9, 1e6) * float64(r.IntN(3)-1)
		}
		copy(w.u, w.base)
		x := p.Model.Start(nil)
		w.states = len(x)
		if s, ok := p.Model.(Switching); ok {
			w.switching, w.modes, w.guards = s, s.Modes(), s.Modes()
		}
		s, evaluations := newSolver(w, stepTolerance, math.Inf(1)), 0
		s.explicit.flow = func(dx, x []float64) { evaluations++; w.rate(dx, x) }
		s.spare.flow = s.explicit.flow
		for range 3 {
			s.begin(x)
			h := anywhere(r, 1e-6, 10)
			s.run(x, h, h, func([]float64, float64, float64) {})
		}
		if s.strained > 0 {
			strained++
		}
		if evaluations > 300_000 {
			t.Errorf("%d evaluations in three pieces of a %s: %v under %v", evaluations, k.Name, v, w.base)
		}
		if slices.ContainsFunc(x, func(v float64) bool { return math.IsNaN(v) || math.Abs(v) > 1e12 }) {
			wild++
		}
	}
	if strained > machines/10 {
		t.Errorf("%d of %d machines took too many steps", strained, machines)
	}
	t.Logf("of %d machines %d took too many steps, %d ran away", machines, strained, wild)
}

func anywhere(r *rand.Rand, lo, hi float64) float64 {
	return math.Exp(math.Log(lo) + r.Float64()*(math.Log(hi)-math.Log(lo)))
}
