package target

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"testing"

	"gainwright/model"
	"gainwright/model/arbitrary"
	"gainwright/model/program"
	"gainwright/model/tier"
	"gainwright/model/trial"
)

var (
	specs = flag.Int("specs", 0, "random specs to run on each part; 0: 6, or 100 with -long")
	first = flag.Uint64("first", 20, "seed of the first of them")
	small = flag.Bool("size", false, "make all of them for size, not only every third")
)

// randomTicks is how long each random spec runs: a third of it each directed, random and raw inputs, from 18 starts.
const randomTicks = 2160

// exercised counts what the random specs of a part put to work.
type exercised struct {
	specs, refused, ticks, values, settings, conditional, wide int
}

func (e *exercised) add(u *model.Unit, r *trial.Result) {
	e.specs++
	e.ticks += r.Ticks
	for _, k := range r.Kinds {
		e.values += k.Same.Compared
		e.settings += k.Settings
	}
	for _, s := range u.Integer.States {
		if s.Enable != program.None || s.Reset != program.None {
			e.conditional++
		}
	}
	for _, op := range u.Integer.Ops {
		if op.Type == program.I64 {
			e.wide++
		}
	}
}

// TestRandomOnParts holds every output, state and active coefficient of random specs against the integer program on each
// part, each with formats chosen for that part: inputs within what is declared and all raw ones, live gains that change,
// resets, restarts. On AVR the proven worst tick must not be below one that is found.
func TestRandomOnParts(t *testing.T) {
	tier.Slow(t)
	n := *specs
	if n == 0 {
		n = tier.Count(4, 4, 100)
	}
	for _, part := range Parts() {
		t.Run(part, func(t *testing.T) {
			onPart(t, part, func(ctx context.Context) (*Simulated, error) { return ready(ctx, part) })
			var e exercised
			for seed := *first; e.specs < n && !t.Failed(); seed++ {
				spec := arbitrary.New(fmt.Sprintf("r%d", seed), seed)
				spec.Target = part
				why := runRandom(t.Context(), part, spec, seed, &e)
				if why == nil {
					continue
				}
				least := spec.Shrink(func(s *arbitrary.Spec) bool {
					return runRandom(t.Context(), part, s, seed, &exercised{}) != nil
				}, 60)
				t.Errorf("seed %d: %v\nthe smallest spec that fails:\n%s", seed, runRandom(t.Context(), part, least, seed, &exercised{}), least.Text())
			}
			if e.refused > e.specs/5+2 {
				t.Errorf("%d specs were refused, %d were run", e.refused, e.specs)
			}
			if n >= 6 && (e.settings == 0 || e.conditional == 0 || e.wide == 0) {
				t.Errorf("the specs do not put all to work: %+v", e)
			}
			if t.Failed() {
				return
			}
			t.Logf("%d specs, %d ticks, %d values compared, 0 differing bits; %d gains set, %d states with conditions, %d values of 64 bits; %d specs refused",
				e.specs, e.ticks, e.values, e.settings, e.conditional, e.wide, e.refused)
		})
	}
}

// ready tells by its error whether a part can be simulated here.
func ready(ctx context.Context, part string) (*Simulated, error) {
	if lack := parts[part]().missing(ctx); len(lack) > 0 {
		return nil, &Lacking{part, lack}
	}
	return &Simulated{}, nil
}

// runRandom says what is wrong with a spec on a part. One that the compiler refuses is counted only.
func runRandom(ctx context.Context, part string, spec *arbitrary.Spec, seed uint64, e *exercised) error {
	u := model.Compile(spec.Name+".yaml", spec.Text())
	if !u.OK() {
		e.refused++
		return nil
	}
	if *small || seed%3 == 2 {
		u.Spec.Prefer = "size"
	}
	s, err := NewSimulated(ctx, part, u)
	if err != nil {
		return err
	}
	defer s.Close()
	s.Search = randomTicks / 18 // behind each start
	r, err := trial.Verify(ctx, u, trial.Options{Ticks: randomTicks, Seed: seed, Target: s})
	if err != nil {
		return err
	}
	for _, k := range r.Kinds {
		for _, f := range k.Faults {
			return fmt.Errorf("%s inputs: %s", k.Name, f)
		}
		if k.Same.Compared == 0 {
			return errors.New("nothing was compared")
		}
	}
	if m := s.Measured(); m.Ticks != r.Ticks || r.Ticks != randomTicks {
		return fmt.Errorf("%d ticks were measured, %d compared", m.Ticks, r.Ticks)
	} else if m.Proven != 0 && m.Proven < m.Found {
		return fmt.Errorf("the worst tick is proven to take %d, one that takes %d is found", m.Proven, m.Found)
	}
	e.add(u, r)
	return nil
}
