package target

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/arbitrary"
	"gainwright/model/cost"
	"gainwright/model/trial"
)

var (
	calibrate = flag.Int("calibrate", 0, "fit the cost tables to so many random controllers on each part, and print them")
	estimates = flag.Int("estimates", 10, "hold the cost tables against so many random controllers on each part")
)

// sample is one controller with what its worst tick was measured to take.
type sample struct {
	name     string
	features map[string]int
	worst    float64
}

const calibrationTicks = 3000

// measure runs a controller on a part.
func measure(ctx context.Context, part string, u *model.Unit) (float64, error) {
	s, err := NewSimulated(ctx, part, u)
	if err != nil {
		return 0, err
	}
	defer s.Close()
	if _, err := trial.Verify(ctx, u, trial.Options{Ticks: calibrationTicks, Target: s}); err != nil {
		return 0, err
	}
	return float64(s.Measured().Worst), nil
}

// samples measures starters and random controllers. For each part formats are chosen as for that part.
func samples(t *testing.T, part string, n int, seed uint64) (starters, random []sample) {
	t.Helper()
	add := func(name string, text []byte) (sample, bool) {
		u := model.Compile(name, text)
		if !u.OK() || u.Spec.Target != part {
			return sample{}, false
		}
		worst, err := measure(t.Context(), part, u)
		var lacking *Lacking
		if errors.As(err, &lacking) {
			onPart(t, part, func(ctx context.Context) (*Simulated, error) { return nil, err })
		}
		if err != nil {
			t.Logf("%s: %v", name, err)
			return sample{}, false
		}
		return sample{name, cost.Features(u.Integer), worst}, true
	}
	for _, file := range []string{"cart", "heading", "incubator", "spindle", "pan"} {
		path := filepath.Join("../../templates/starters", file+".yaml")
		if s, ok := add(path, retargeted(t, path, part)); ok {
			starters = append(starters, s)
		}
	}
	for tries := 0; len(random) < n && tries < 4*n+20; tries++ {
		spec := arbitrary.New("r", seed+uint64(tries))
		spec.Target = part
		if s, ok := add("r.yaml", spec.Text()); ok {
			s.name = fmt.Sprintf("seed %d", seed+uint64(tries))
			random = append(random, s)
		}
	}
	return starters, random
}

// retargeted is a spec with another target.
func retargeted(t *testing.T, path, part string) []byte {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(text), "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, "target:") {
			lines[i] = "target: " + part
		}
	}
	return []byte(strings.Join(lines, "\n"))
}

// TestCalibrate prints tables of cost for package cost, fitted to what was measured: the relative errors' least squares, with
// no cost below zero, drawn a little towards the table that stands.
func TestCalibrate(t *testing.T) {
	if *calibrate == 0 {
		return // a tool, not a test: it holds nothing
	}
	for _, part := range Parts() {
		starters, random := samples(t, part, *calibrate, 1_000_000)
		all := append(append([]sample(nil), random...), starters...)
		for range 6 { // starters weigh more
			all = append(all, starters...)
		}
		old := cost.For(part)
		if old == nil {
			old = &cost.Table{Target: part, Unit: cost.Instructions, Base: 20, Costs: map[string]float64{}}
		}
		print := fit(all, old)
		fmt.Printf("\t{Target: %q, Unit: %s, Base: %.0f, Costs: map[string]float64{\n", part, map[string]string{"avr8": "Cycles"}[part]+map[bool]string{true: "", false: "Instructions"}[part == "avr8"], print.Base)
		var names []string
		for f := range print.Costs {
			names = append(names, f)
		}
		sort.Strings(names)
		for _, f := range names {
			fmt.Printf("\t\t%q: %.1f,\n", f, print.Costs[f])
		}
		fmt.Printf("\t}},\n")
		report(t, part, &print, starters, random)
	}
}

func report(t *testing.T, part string, table *cost.Table, starters, random []sample) {
	for _, s := range starters {
		e, _ := table.Estimate(s.features)
		t.Logf("%s %s: measured %.0f, estimated %.0f, %+.1f %%", part, filepath.Base(s.name), s.worst, e, 100*(e/s.worst-1))
	}
	var off []float64
	for _, s := range random {
		e, _ := table.Estimate(s.features)
		off = append(off, math.Abs(e/s.worst-1))
	}
	sort.Float64s(off)
	if n := len(off); n > 0 {
		t.Logf("%s: %d random controllers, off by %.1f %% in the middle, %.1f %% for nine of ten, %.1f %% at worst", part, n, 100*off[n/2], 100*off[n*9/10], 100*off[n-1])
	}
}

// fit is a non-negative least-squares fit by coordinate descent.
func fit(all []sample, old *cost.Table) cost.Table {
	index := map[string]int{"": 0}
	names := []string{""}
	for _, s := range all {
		for f := range s.features {
			if _, ok := index[f]; !ok {
				index[f] = 0
				names = append(names, f)
			}
		}
	}
	sort.Strings(names)
	for i, f := range names {
		index[f] = i
	}
	x := make([]float64, len(names))
	prior := make([]float64, len(names))
	for i, f := range names {
		prior[i] = old.Costs[f]
		if f == "" {
			prior[i] = old.Base
		}
		x[i] = prior[i]
	}
	rows := make([][]float64, len(all)) // of relative weight: each sample's sum is to be 1
	for r, s := range all {
		rows[r] = make([]float64, len(names))
		rows[r][0] = 1 / s.worst
		for f, n := range s.features {
			rows[r][index[f]] = float64(n) / s.worst
		}
	}
	left := make([]float64, len(all))
	for r := range all {
		left[r] = 1
		for i := range x {
			left[r] -= rows[r][i] * x[i]
		}
	}
	const trust = 0.01 // in the table that stands: being wrong by its own size weighs like an error of 10 % in one sample
	for range 3000 {
		for i := range x {
			pull := trust / math.Pow(math.Max(prior[i], 3), 2)
			top, bottom := pull*(prior[i]-x[i]), pull
			for r := range all {
				top += rows[r][i] * left[r]
				bottom += rows[r][i] * rows[r][i]
			}
			step := math.Max(top/bottom, -x[i])
			x[i] += step
			for r := range all {
				left[r] -= rows[r][i] * step
			}
		}
	}
	out := cost.Table{Target: old.Target, Unit: old.Unit, Base: math.Round(x[0]), Costs: map[string]float64{}}
	for i, f := range names {
		if f != "" {
			out.Costs[f] = math.Round(x[i]*10) / 10
		}
	}
	return out
}

// TestEstimates holds the tables against measured worst ticks: within 10 % for a starter on its own target, within 25 % for
// it on another. Random controllers that the tables were not fitted to are told; half of them must be within 35 %.
func TestEstimates(t *testing.T) {
	own := map[string]string{"cart.yaml": "avr8", "heading.yaml": "avr8", "incubator.yaml": "avr8", "spindle.yaml": "cortex-m0", "pan.yaml": "rv32imc"}
	for _, part := range Parts() {
		t.Run(part, func(t *testing.T) {
			table := cost.For(part)
			if table == nil {
				t.Fatalf("there is no table for %s", part)
			}
			starters, random := samples(t, part, *estimates, 7_000_000) // none of those that the tables were fitted to
			if len(starters) < 5 || len(random) < *estimates {
				t.Fatalf("%d starters and %d random controllers were measured", len(starters), len(random))
			}
			report(t, part, table, starters, random)
			for _, s := range starters {
				limit := 0.25
				if own[filepath.Base(s.name)] == part {
					limit = 0.10
				}
				if e, _ := table.Estimate(s.features); math.Abs(e/s.worst-1) > limit {
					t.Errorf("%s: measured %.0f, estimated %.0f: %+.0f %% off", s.name, s.worst, e, 100*(e/s.worst-1))
				}
			}
			var off []float64
			for _, s := range random {
				e, _ := table.Estimate(s.features)
				off = append(off, math.Abs(e/s.worst-1))
			}
			sort.Float64s(off)
			if middle := off[len(off)/2]; middle > 0.35 {
				t.Errorf("random controllers are off by %.0f %% in the middle", 100*middle)
			}
		})
	}
}
