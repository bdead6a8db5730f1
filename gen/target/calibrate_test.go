package target

import (
	"context"
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"go/format"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/arbitrary"
	"gainwright/model/cost"
	"gainwright/model/tier"
	"gainwright/model/trial"
)

var (
	calibrate = flag.Int("calibrate", 0, "fit the cost tables to so many random controllers on each part, and print them")
	heldOut   = flag.Int("heldout", 100, "random controllers that a fit is held against")
	estimates = flag.Int("estimates", 10, "hold the cost tables against so many random controllers on each part")
)

// fittedFrom and heldFrom are the seeds where random controllers begin: those that tables are fitted to, and others.
const (
	fittedFrom = 1_000_000
	heldFrom   = 13_000_000
)

// sample is one controller with what its worst tick takes.
type sample struct {
	name     string
	features cost.Features
	worst    float64
}

// measured remembers worst ticks by the emitted C: a fit comes to the same C again and again.
type measured map[[32]byte]float64

// worst is what the worst tick of a controller takes on a part: proven where it can be, else looked for.
func (m measured) worst(ctx context.Context, part string, u *model.Unit) (float64, error) {
	k := emitted(u)
	k.unweighed = true
	text := sha256.Sum256(k.header)
	if w, known := m[text]; known {
		return w, nil
	}
	var worst int
	var err error
	if _, batches := parts[part]().(*qemu); batches {
		worst, err = search(ctx, part, u)
	} else {
		worst, err = proven(ctx, part, k, u)
	}
	if err != nil {
		return 0, err
	}
	m[text] = float64(worst)
	return float64(worst), nil
}

// proven is the proven worst tick, or where there is none the worst of a trial and the part's own search.
func proven(ctx context.Context, part string, k controller, u *model.Unit) (int, error) {
	s, err := build(ctx, part, k)
	if err != nil {
		return 0, err
	}
	defer s.Close()
	if w := s.Measured().Proven; w > 0 {
		return w, nil
	}
	s.Search = calibrationTicks / 18
	r, err := trial.Verify(ctx, u, trial.Options{Ticks: calibrationTicks, Target: s})
	if err != nil {
		return 0, err
	}
	for _, k := range r.Kinds {
		if k.Same.Values > 0 {
			return 0, fmt.Errorf("%d values differ: %s", k.Same.Values, k.Faults[0])
		}
	}
	return max(s.Measured().Worst, s.Measured().Found), nil
}

const calibrationTicks = 3000

// sample compiles a spec with formats as for its part and finds its worst tick; ok is false for one that is refused.
func (m measured) sample(t *testing.T, part, name string, text []byte) (s sample, ok bool) {
	t.Helper()
	u := model.Compile(name, text)
	if !u.OK() || u.Spec.Target != part {
		return s, false
	}
	worst, err := m.worst(t.Context(), part, u)
	if errors.As(err, new(*Lacking)) {
		onPart(t, part, func(ctx context.Context) (*Simulated, error) { return nil, err })
	}
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return sample{name, cost.For(part).Features(u.Integer), worst}, true
}

// starters are those that the tool comes with, on a part.
func (m measured) starters(t *testing.T, part string) (out []sample) {
	t.Helper()
	for _, file := range []string{"cart", "heading", "incubator", "spindle", "pan"} {
		path := filepath.Join("../../templates/starters", file+".yaml")
		s, ok := m.sample(t, part, file, retargeted(t, path, part))
		if !ok {
			t.Fatalf("%s is refused on %s", file, part)
		}
		out = append(out, s)
	}
	return out
}

// random are n random controllers.
func (m measured) random(t *testing.T, part string, n int, seed uint64) (out []sample) {
	t.Helper()
	for tries := 0; len(out) < n && tries < 4*n+20; tries++ {
		spec := arbitrary.New("r", seed+uint64(tries))
		spec.Target = part
		if s, ok := m.sample(t, part, fmt.Sprintf("seed %d", seed+uint64(tries)), spec.Text()); ok {
			out = append(out, s)
		}
	}
	if len(out) < n {
		t.Fatalf("%d of %d random controllers are accepted on %s", len(out), n, part)
	}
	return out
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

// starterWeight is how many random controllers a starter counts for in a fit: starters are like what people write, and are to be closer.
const starterWeight = 40

// TestCalibrate fits the tables of package cost and writes them there. The search of formats goes by the table, so that a new table makes other programs: they are fitted to twice.
func TestCalibrate(t *testing.T) {
	if *calibrate == 0 {
		return // a tool, not a test: it holds nothing
	}
	texts := make([]string, len(Parts()))
	t.Run("parts", func(t *testing.T) {
		for i, part := range Parts() {
			texts[i] = tableText(cost.For(part)) // where it is left out
			t.Run(part, func(t *testing.T) {
				t.Parallel()
				m, table := measured{}, cost.For(part)
				for range 2 {
					starters, random := m.starters(t, part), m.random(t, part, *calibrate, fittedFrom)
					all := append([]sample(nil), random...)
					for range starterWeight {
						all = append(all, starters...)
					}
					*table = fit(all, counted[part])
				}
				others := m.random(t, part, *heldOut, heldFrom)
				table.Errors = errorsOf(table, others)
				report(t, table, m.starters(t, part), others)
				texts[i] = tableText(table)
			})
		}
	})
	if t.Failed() {
		return
	}
	text := "package cost\n\nimport \"gainwright/model/target\"\n\n// tables are written by the calibration of gen/target; see DEVELOPERS.md. What the features mean is said at Features.\nvar tables = []Table{\n" +
		strings.Join(texts, "") + "}\n"
	formatted, err := format.Source([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(tablesFile, formatted, 0o644); err != nil {
		t.Fatal(err)
	}
	t.Logf("%s is written", tablesFile)
}

const tablesFile = "../../model/cost/tables.go"

// tableText is a table as Go text.
func tableText(table *cost.Table) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\t{Target: target.Named(%q), Base: %g, Errors: map[Sort]Error{\n", table.Target.Name, table.Base)
	for _, s := range []struct {
		name string
		sort cost.Sort
	}{{"Usual", cost.Usual}, {"Small", cost.Small}, {"Wide", cost.Wide}} {
		e := table.Errors[s.sort]
		fmt.Fprintf(&b, "\t\t%s: {%d, %.1f, %.1f, %.1f},\n", s.name, e.Controllers, e.Middle, e.Nineteen, e.Most)
	}
	b.WriteString("\t}, Costs: map[string]float64{\n")
	var names []string
	for f := range table.Costs {
		names = append(names, f)
	}
	sort.Strings(names)
	line := "\t\t"
	for _, f := range names {
		text := fmt.Sprintf("%q: %g, ", f, table.Costs[f])
		if len(line)+len(text) > 118 {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line = "\t\t"
		}
		line += text
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n\t}},\n")
	return b.String()
}

// off is how far a table's estimate is off, in percent of the worst tick.
func off(table *cost.Table, s sample) (percent float64, of cost.Sort) {
	e, _ := table.Estimate(s.features)
	return 100 * (e/s.worst - 1), table.Sort(s.features, e)
}

// errorsOf sums up how far a table is off.
func errorsOf(table *cost.Table, samples []sample) map[cost.Sort]cost.Error {
	sizes := map[cost.Sort][]float64{}
	for _, s := range samples {
		percent, of := off(table, s)
		sizes[of] = append(sizes[of], math.Abs(percent))
	}
	out := map[cost.Sort]cost.Error{}
	for of, list := range sizes {
		out[of] = spread(list)
	}
	return out
}

// spread sums up sizes of errors, rounded up.
func spread(list []float64) cost.Error {
	sort.Float64s(list)
	at := func(share float64) float64 {
		n := max(1, int(math.Ceil(share*float64(len(list))))) // so many are no larger
		return math.Ceil(list[n-1]*10) / 10
	}
	return cost.Error{Controllers: len(list), Middle: at(0.5), Nineteen: at(0.95), Most: at(1)}
}

// report tells how far a table is off.
func report(t *testing.T, table *cost.Table, starters, random []sample) {
	for _, s := range starters {
		e, unknown := table.Estimate(s.features)
		percent, _ := off(table, s)
		t.Logf("%s %s: worst %.0f, estimated %.0f, %+.1f %% %v", table.Target.Name, s.name, s.worst, e, percent, unknown)
	}
	var sizes []float64
	within := 0
	for _, s := range random {
		percent, of := off(table, s)
		sizes = append(sizes, math.Abs(percent))
		if math.Abs(percent) <= 25 {
			within++
		} else {
			t.Logf("%s %s, %s: worst %.0f, %+.1f %%", table.Target.Name, s.name, of, s.worst, percent)
		}
	}
	t.Logf("%s: random controllers that it was not fitted to: %+v, %d within 25 %%; by sort %+v", table.Target.Name, spread(sizes), within, errorsOf(table, random))
}

// TestEstimates holds the tables against worst ticks: within 10 % for a starter, on each target. Random controllers that the tables were
// not fitted to must be within what the table says of its errors.
func TestEstimates(t *testing.T) {
	tier.Slow(t)
	const limit = 10
	for _, part := range Parts() {
		t.Run(part, func(t *testing.T) {
			table, m := cost.For(part), measured{}
			if table == nil {
				t.Fatalf("there is no table for %s", part)
			}
			starters, random := m.starters(t, part), m.random(t, part, *estimates, heldFrom)
			report(t, table, starters, random)
			for _, s := range starters {
				if percent, _ := off(table, s); math.Abs(percent) > limit {
					t.Errorf("%s: %+.1f %% off, %d are allowed", s.name, percent, limit)
				}
			}
			for _, s := range random {
				if _, unknown := table.Estimate(s.features); len(unknown) > 0 {
					t.Errorf("%s: the table lacks %v", s.name, unknown)
				}
				percent, of := off(table, s)
				if most := table.Errors[of].Most; math.Abs(percent) > most+5 {
					t.Errorf("%s: %+.0f %% off, the table says at most %.0f for the %s sort: calibrate it anew", s.name, percent, most, of)
				}
			}
		})
	}
}
