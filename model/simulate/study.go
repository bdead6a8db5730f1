package simulate

import (
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"gainwright/model/plant"
)

// Study is many runs with other plants and other noise.
type Study struct {
	Seed   uint64   `json:"seed"` // of the first run; the others count on
	Runs   int      `json:"runs"`
	Passed [2]int   `json:"passed"` // runs in which a loop held all that was asked for
	Stood  [2]int   `json:"stood"`  // runs in which it did not fall
	Spread []Spread `json:"spread"`
	Worst  []Worst  `json:"worst"`
}

// Spread is how a figure was distributed over the runs.
type Spread struct {
	Name   string     `json:"name"`
	Unit   string     `json:"unit"`
	Least  [2]Reached `json:"least"` // reference, integer
	Median [2]Reached `json:"median"`
	Most   [2]Reached `json:"most"`
}

// Worst is a run worth looking at.
type Worst struct {
	Why    string       `json:"why"`
	Seed   uint64       `json:"seed"`
	Value  float64      `json:"value"`
	Unit   string       `json:"unit"`
	Plant  plant.Values `json:"plant"` // the numbers that were moved
	Failed bool         `json:"failed"`
}

// Study makes n runs with the seeds from first on, on all cores. Its result does not depend on their
// number. done is called after each run, from any of them; it may be nil.
func (s *System) Study(n int, first uint64, done func(runs int)) *Study {
	return s.summarise(s.all(n, first, done, func(varied *System, seed uint64) *Outcome { return varied.Run(seed, nil) }), first)
}

// all makes the runs. An outcome holds no series, so that many can be kept.
func (s *System) all(n int, first uint64, done func(runs int), run func(varied *System, seed uint64) *Outcome) []*Outcome {
	outcomes := make([]*Outcome, n)
	var next, finished atomic.Int64
	var wait sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				seed := first + uint64(i)
				varied, _ := s.Varied(seed)
				outcomes[i] = run(varied, seed)
				if k := finished.Add(1); done != nil {
					done(int(k))
				}
			}
		})
	}
	wait.Wait()
	return outcomes
}

// figure is one number of a loop that runs are compared by; higher is worse.
type figure struct {
	name, unit string
	of         func(l *Loop) float64
}

func (s *System) figures() []figure {
	var out []figure
	if s.Scenario.Fall != nil {
		out = append(out, figure{"time down", "s", func(l *Loop) float64 { return s.Scenario.Duration - l.Upright }})
	}
	for i := range s.Scenario.Watch {
		w := &s.Scenario.Watch[i]
		at := func(f func(*Watched) float64) func(*Loop) float64 {
			return func(l *Loop) float64 { return f(&l.Watch[i]) }
		}
		time := func(reached bool, t Reached) float64 {
			if !reached {
				return s.Scenario.Duration
			}
			return float64(t)
		}
		out = append(out,
			figure{w.Name + " rms", w.Unit, at(func(w *Watched) float64 { return w.RMS })},
			figure{w.Name + " settling", "s", at(func(w *Watched) float64 { return time(w.Settled, w.Settling) })},
			figure{w.Name + " recovery", "s", at(func(w *Watched) float64 { return time(w.Recovered, w.Recovery) })},
			figure{w.Name + " overshoot", w.Unit, at(func(w *Watched) float64 { return float64(w.Overshoot) })},
			figure{w.Name + " following error", w.Unit, at(func(w *Watched) float64 { return float64(w.Following) })},
			figure{w.Name + " steady error", w.Unit, at(func(w *Watched) float64 { return max(w.SteadyError, -w.SteadyError) })},
			figure{w.Name + " residual", w.Unit, at(func(w *Watched) float64 { return w.Residual.Size })})
	}
	for i, o := range s.Spec.Outputs {
		out = append(out, figure{o.Name + " rms", o.Unit, func(l *Loop) float64 { return l.Effort[i].RMS }})
	}
	return out
}

func (s *System) summarise(outcomes []*Outcome, first uint64) *Study {
	st := &Study{Seed: first, Runs: len(outcomes)}
	failed := make([]bool, len(outcomes))
	for i, o := range outcomes {
		for l := range o.Loops {
			if !o.Loops[l].Fell {
				st.Stood[l]++
			}
			if len(s.findings(o, l)) == 0 {
				st.Passed[l]++
			} else {
				failed[i] = true
			}
		}
	}
	add := func(why, unit string, at int, value float64) {
		seed := first + uint64(at)
		_, chosen := s.Varied(seed)
		st.Worst = append(st.Worst, Worst{why, seed, value, unit, chosen, failed[at]})
	}
	for _, f := range s.figures() {
		sp := Spread{Name: f.name, Unit: f.unit}
		worst := 0
		for l := range sp.Least {
			all := make([]float64, len(outcomes))
			for i, o := range outcomes {
				all[i] = f.of(&o.Loops[l])
				if l == Integer && all[i] > all[worst] {
					worst = i
				}
			}
			value := all[worst]
			slices.Sort(all)
			sp.Least[l], sp.Median[l], sp.Most[l] = Reached(all[0]), Reached(all[len(all)/2]), Reached(all[len(all)-1])
			if l == Integer && value > 0 {
				add("largest "+f.name, f.unit, worst, value)
			}
		}
		st.Spread = append(st.Spread, sp)
	}
	return st
}
