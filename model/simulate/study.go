package simulate

import (
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"gonum.org/v1/gonum/stat"

	"gainwright/model/plant"
)

// Study is many runs with other plants and other noise.
type Study struct {
	Seed   uint64   `json:"seed"` // of the first run; the others count on
	Runs   int      `json:"runs"`
	Passed [2]int   `json:"passed"` // runs in which a loop held all that was asked for
	Stood  [2]int   `json:"stood"`  // runs in which it did not fall
	Spread []Spread `json:"spread"`
	// Influences says for each figure of Spread which tolerances it hangs on; none where there are too few runs to tell.
	Influences []Influence `json:"influences"`
	Worst      []Worst     `json:"worst"`
	Tolerances []string    `json:"tolerances"` // the numbers that were moved
	Table      []Drawn     `json:"table"`      // every run
}

// Spread is how a figure was distributed over the runs.
type Spread struct {
	Name   string     `json:"name"`
	Unit   string     `json:"unit"`
	Least  [2]Reached `json:"least"`      // reference, integer
	Low    [2]Reached `json:"percent_5"`  // 5 % of the runs are no higher
	Median [2]Reached `json:"median"`     // half of them
	High   [2]Reached `json:"percent_95"` // 95 %
	Most   [2]Reached `json:"most"`
}

// Drawn is one run: what it drew, and what came of it.
type Drawn struct {
	Seed    uint64       `json:"seed"`
	Corner  bool         `json:"corner"`  // each number at one end of its tolerance
	Held    [2]bool      `json:"held"`    // reference, integer
	Drew    []float64    `json:"drew"`    // as Tolerances lists them, in SI units
	Figures [2][]Reached `json:"figures"` // of each loop, as Spread lists them
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

// quantile is the smallest value that this share of the sorted ones does not exceed.
func quantile(share float64, sorted []float64) Reached {
	return Reached(stat.Quantile(share, stat.Empirical, sorted, nil))
}

func (s *System) summarise(outcomes []*Outcome, first uint64) *Study {
	st := &Study{Seed: first, Runs: len(outcomes), Spread: []Spread{}, Influences: []Influence{}, Worst: []Worst{}, Tolerances: []string{}, Table: []Drawn{}}
	for _, v := range s.Scenario.Vary {
		st.Tolerances = append(st.Tolerances, v.Path)
	}
	figures := s.figures()
	for i, o := range outcomes {
		seed := first + uint64(i)
		_, chosen := s.Varied(seed)
		run := Drawn{Seed: seed, Corner: s.corner(seed), Drew: []float64{}}
		for _, path := range st.Tolerances {
			run.Drew = append(run.Drew, chosen[path])
		}
		for l := range o.Loops {
			if !o.Loops[l].Fell {
				st.Stood[l]++
			}
			if run.Held[l] = len(s.findings(o, l)) == 0; run.Held[l] {
				st.Passed[l]++
			}
			for _, f := range figures {
				run.Figures[l] = append(run.Figures[l], Reached(f.of(&o.Loops[l])))
			}
		}
		st.Table = append(st.Table, run)
	}
	for n, f := range figures {
		sp := Spread{Name: f.name, Unit: f.unit}
		for l := range sp.Least {
			all, worst := make([]float64, len(outcomes)), 0
			for i := range st.Table {
				all[i] = float64(st.Table[i].Figures[l][n])
				if all[i] > all[worst] {
					worst = i
				}
			}
			if l == Integer {
				st.Influences = append(st.Influences, st.influence(f, all))
				if run := &st.Table[worst]; all[worst] > 0 {
					_, chosen := s.Varied(run.Seed)
					st.Worst = append(st.Worst, Worst{"largest " + f.name, run.Seed, all[worst], f.unit, chosen, !run.Held[0] || !run.Held[1]})
				}
			}
			slices.Sort(all)
			sp.Least[l], sp.Low[l], sp.Median[l], sp.High[l], sp.Most[l] = Reached(all[0]), quantile(0.05, all), Reached((all[(len(all)-1)/2]+all[len(all)/2])/2), quantile(0.95, all), Reached(all[len(all)-1])
		}
		st.Spread = append(st.Spread, sp)
	}
	return st
}
