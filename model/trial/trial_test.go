package trial

import (
	"context"
	"errors"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"gainwright/model"
)

// units are the starters and the specs of testdata, compiled once.
var units = func() func(t testing.TB) []*model.Unit {
	compile := sync.OnceValue(func() []*model.Unit {
		paths, _ := filepath.Glob("../../templates/starters/*.yaml")
		var out []*model.Unit
		more, _ := filepath.Glob("../../testdata/specs/*.yaml")
		for _, path := range append(paths, more...) {
			out = append(out, compileFile(path, noChange))
		}
		return out
	})
	return func(t testing.TB) []*model.Unit {
		t.Helper()
		out := compile()
		if len(out) < 4 {
			t.Fatal("no starters")
		}
		for _, u := range out {
			if !u.OK() {
				t.Fatalf("%s: %v", u.File, u.Findings)
			}
		}
		return out
	}
}()

var noChange = strings.NewReplacer()

func compileFile(path string, change *strings.Replacer) *model.Unit {
	text, err := os.ReadFile(path)
	if err != nil {
		panic(err)
	}
	return model.Compile(filepath.Base(path), []byte(change.Replace(string(text))))
}

// unit is one of the units, to be changed at will.
func unit(t testing.TB, name string) *model.Unit {
	t.Helper()
	all := units(t)
	for i := range all {
		if u := *all[len(all)-1-i]; u.Spec.Name == name { // the last cart_log is that of testdata
			u.Integer, u.Bounds = u.Integer.Clone(), slices.Clone(u.Bounds)
			return &u
		}
	}
	t.Fatalf("no %s", name)
	return nil
}

func verify(t testing.TB, u *model.Unit, o Options) *Result {
	t.Helper()
	r, err := Verify(t.Context(), u, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// faults are the texts of all faults of a rule.
func faults(r *Result, rule string) (out []*Fault) {
	for _, k := range r.Kinds {
		for _, f := range k.Faults {
			if f.Rule == rule {
				out = append(out, f)
			}
		}
	}
	return out
}

func TestStartersKeepTheirBounds(t *testing.T) {
	for _, u := range units(t) {
		r := verify(t, u, Options{Ticks: 60_000})
		if !r.OK() {
			for _, rule := range []string{"range", "local", "chain"} {
				for _, f := range faults(r, rule) {
					t.Errorf("%s: %s", u.Spec.Name, f)
				}
			}
			t.Errorf("%s is not kept", u.Spec.Name)
		}
		ticks := 0
		for _, k := range r.Kinds {
			ticks += k.Ticks
		}
		if ticks != 60_000 || r.Ticks != ticks {
			t.Errorf("%s: %d ticks were run", u.Spec.Name, ticks)
		}
	}
}

// TestHalvedBoundsAreExceeded: the inputs come near the bounds.
func TestHalvedBoundsAreExceeded(t *testing.T) {
	for _, name := range []string{"cart_log", "heading", "incubator"} {
		u := unit(t, name)
		for i := range u.Bounds {
			b := &u.Bounds[i]
			for _, x := range []**big.Rat{&b.Local, &b.Chain} {
				if *x != nil {
					*x = new(big.Rat).Quo(*x, big.NewRat(2, 1))
				}
			}
		}
		r := verify(t, u, Options{Ticks: 60_000})
		if r.OK() {
			t.Fatalf("%s: nothing exceeds half of its bound", name)
		}
		over, tight := 0, 0
		for _, s := range r.Worst(func(Kind) bool { return true }) {
			if s.Local.Bound == 0 {
				continue
			}
			tight++
			if s.Local.Over > 0 {
				over++
			} else {
				t.Logf("%s: %s comes to %.2f of half of its bound", name, s.Name, s.Local.Ratio)
			}
		}
		if 2*over < tight {
			t.Errorf("%s: %d of %d signals exceed half of their bound", name, over, tight)
		}
		f := faults(r, "local")
		if len(f) == 0 || len(f[0].Values) != len(u.Integer.Ops) || len(f[0].Real) != len(u.Stored.Ops) || !strings.Contains(f[0].Message, "the bound is") {
			t.Errorf("%s: the first signal over its bound is reported as %v", name, f)
		}
	}
	u := unit(t, "cart_log")
	for i := range u.Bounds {
		if c := u.Bounds[i].Chain; c != nil {
			u.Bounds[i].Chain = new(big.Rat).Quo(c, big.NewRat(4, 1))
		}
	}
	if r := verify(t, u, Options{Ticks: 60_000}); len(faults(r, "chain")) == 0 {
		t.Error("nothing exceeds a quarter of its chain bound")
	}
}

func TestRangesAreWatched(t *testing.T) {
	for _, what := range []string{"value", "state"} {
		u := unit(t, "incubator")
		lo, hi := &u.Integer.Ops[u.Integer.Outputs[0].Value].Lo, &u.Integer.Ops[u.Integer.Outputs[0].Value].Hi
		if what == "state" {
			s := &u.Integer.States[len(u.Integer.States)-1]
			lo, hi = &s.Lo, &s.Hi
		}
		*lo, *hi = 0, 10
		r := verify(t, u, Options{Ticks: 3000})
		f := faults(r, "range")
		if r.OK() || len(f) == 0 || !strings.HasPrefix(f[0].Message, what) || !strings.Contains(f[0].Message, "[0, 10]") {
			t.Errorf("a %s outside its range is reported as %v", what, f)
		}
	}
}

// A result depends on spec and seed alone.
func TestSameSeedSameResult(t *testing.T) {
	u := unit(t, "heading")
	run := func(seed uint64) *Result {
		r := verify(t, u, Options{Ticks: 20_000, Seed: seed})
		r.Seed, r.Speeds = 0, nil
		return r
	}
	first := run(3)
	if d := cmp.Diff(first, run(3), cmpopts.EquateEmpty()); d != "" {
		t.Error(d)
	}
	if cmp.Equal(first, run(4)) {
		t.Error("another seed changes nothing")
	}
}

func TestEndsWithItsContext(t *testing.T) {
	u := unit(t, "incubator")
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	if _, err := Verify(ctx, u, Options{Ticks: 1 << 40}); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("the error is %v", err)
	}
}
