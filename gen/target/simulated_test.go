package target

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"gainwright/model"
	"gainwright/model/tier"
	"gainwright/model/trial"
)

// onPart builds a unit for a part, or skips the test naming what is missing.
func onPart(t testing.TB, part string, build func(context.Context) (*Simulated, error)) *Simulated {
	t.Helper()
	s, err := build(t.Context())
	var lacking *Lacking
	if errors.As(err, &lacking) && !tier.All() {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

func compiled(t testing.TB, file string) *model.Unit {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	u := model.Compile(filepath.Base(file), text)
	if !u.OK() {
		t.Fatalf("%v", u.Findings)
	}
	return u
}

// TestStartersOnParts holds every output, state and active coefficient of each starter against the
// integer program, on each part.
func TestStartersOnParts(t *testing.T) {
	starters, err := filepath.Glob("../../templates/starters/*.yaml")
	if err != nil || len(starters) < 3 {
		t.Fatal("no starters", err)
	}
	ticks := tier.Count(3000, 20_000, 200_000)
	starters = starters[:tier.Count(1, len(starters), len(starters))]
	for n, part := range Parts() {
		for i, file := range starters {
			if part != "avr8" && !tier.Long() && (i+n)%2 > 0 {
				continue
			}
			t.Run(part+"/"+filepath.Base(file), func(t *testing.T) {
				u := compiled(t, file)
				s := onPart(t, part, func(ctx context.Context) (*Simulated, error) { return NewSimulated(ctx, part, u) })
				s.Search = tier.Count(500, 2000, 5000) // behind each run
				begun := time.Now()
				r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: ticks, Target: s})
				if err != nil {
					t.Fatal(err)
				}
				for _, k := range r.Kinds {
					if k.Same.Values > 0 {
						t.Errorf("%s inputs: %d values differ", k.Name, k.Same.Values)
						for _, f := range k.Faults {
							t.Log(f)
						}
					}
				}
				m := s.Measured()
				if m.Ticks != ticks {
					t.Errorf("%d ticks were measured", m.Ticks)
				}
				t.Logf("%+v in %v", m, time.Since(begun))
				if part == "avr8" && (m.Proven < m.Found || float64(m.Proven) > 1.1*float64(m.Found)) {
					t.Errorf("proven worst tick %d, found %d %s", m.Proven, m.Found, m.Unproven)
				}
			})
		}
	}
}
