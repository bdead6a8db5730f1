package trial

import (
	"context"
	"math"
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

func retuned(t *testing.T) *model.Unit {
	u := compileFile("../../testdata/specs/asked.yaml", noChange)
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	return u
}

// named finds the bound of a signal.
func named(t *testing.T, u *model.Unit, name string) model.Bound {
	t.Helper()
	for _, b := range u.Bounds {
		if u.Integer.Sections[b.Section].Signals[b.Signal].Name == name {
			return b
		}
	}
	t.Fatalf("no signal %s", name)
	return model.Bound{}
}

// TestAskedBeyondStored: against the constants of the spec the filters of this spec are some and many times further off than against those
// stored. Inputs that follow the difference of both responses, with the integer program run on them, come close to what is proven.
func TestAskedBeyondStored(t *testing.T) {
	u := retuned(t)
	for _, c := range []struct {
		signal      string
		ticks       int
		least, most float64 // times the rounding
		share       float64 // of the bound, to be reached
	}{{"slow", 60_000, 2.5, 4, 0.8}, {"quiet", 3000, 100, 200, 0.9}, {"both", 3000, 40, 80, 0.9}, {"fixed", 3000, 30, 70, 0.9}} {
		b := named(t, u, c.signal)
		if b.Asked == nil || b.Chain == nil {
			t.Errorf("%s is not claimed", c.signal)
			continue
		}
		bound, _ := b.Asked.Float64()
		rounding, _ := b.Chain.Float64()
		if ratio := bound / rounding; ratio < c.least || ratio > c.most {
			t.Errorf("%s: %.1f times the rounding, %v to %v expected", c.signal, ratio, c.least, c.most)
		}
		if worst := furthest(u, b, c.ticks); worst > bound || worst < c.share*bound {
			t.Errorf("%s: %.4g reached, %.4g is proven", c.signal, worst, bound)
		} else {
			t.Logf("%s: %.4g proven, %.3g reached, %.1f times the rounding", c.signal, bound, worst/bound, bound/rounding)
		}
	}
	if b := named(t, u, "lift"); b.Asked != nil {
		t.Error("a live gain lies on the way to lift, and yet it is claimed")
	}
}

// furthest drives a signal away from what was asked for: the input takes its ends by the signs of the difference of the responses, in reverse.
func furthest(u *model.Unit, b model.Bound, ticks int) (worst float64) {
	v := u.Asked.Sections[b.Section].Signals[b.Signal].Value
	coefs := make([]float64, len(u.Asked.Coefs))
	respond := func(p *program.Real) (list []float64) {
		rest, hit := program.NewRealMachine(p), program.NewRealMachine(p)
		for tick := range ticks + 3 {
			x := []float64{0}
			rest.Tick(x, coefs, nil)
			if tick == 2 {
				x[0] = 1
			}
			if hit.Tick(x, coefs, nil); tick > 2 {
				list = append(list, hit.Values[v]-rest.Values[v])
			}
		}
		return list
	}
	asked, stored := respond(u.Asked), respond(u.Stored)
	op := u.Integer.Ops[u.Integer.Sections[b.Section].Signals[b.Signal].Value]
	lsb, _ := op.LSB.Float64()
	for _, sign := range []float64{1, -1} {
		whole, real := program.NewFixedMachine(u.Integer), program.NewRealMachine(u.Asked)
		counts := make([]int64, len(u.Integer.Coefs))
		for k := range ticks {
			x := int64(-32768)
			if sign*(stored[ticks-1-k]-asked[ticks-1-k]) > 0 {
				x = 32767
			}
			whole.Tick([]int64{x}, counts)
			real.Tick([]float64{float64(x) / 100}, coefs, nil)
			worst = math.Max(worst, math.Abs(float64(whole.Values[u.Integer.Sections[b.Section].Signals[b.Signal].Value])*lsb-real.Values[v]))
		}
	}
	return worst
}

// TestAskedIsJudged: what is proven against the controller as asked is held against it, and what is not is measured, live gains at the
// setting that was asked for.
func TestAskedIsJudged(t *testing.T) {
	u := retuned(t)
	r, err := Verify(context.Background(), u, Options{Ticks: 90_000, Seed: 2})
	if err != nil || !r.OK() {
		t.Fatal(err, r)
	}
	for i, s := range r.Worst(func(Kind) bool { return true }) {
		if s.Asked.Claimed != (u.Bounds[i].Asked != nil) || s.Asked.Unjudged != "" {
			t.Errorf("%s: claimed %v, unjudged %q", s.Name, s.Asked.Claimed, s.Asked.Unjudged)
		}
		if (s.Name == "lift" || s.Name == "lift_out") && !(s.Asked.Largest > 0.01) {
			t.Errorf("%s was measured %v off", s.Name, s.Asked.Largest)
		}
	}
	for i := range u.Bounds { // the rounding alone is no bound against what was asked for
		if name := u.Integer.Sections[u.Bounds[i].Section].Signals[u.Bounds[i].Signal].Name; name != "quiet" {
			continue
		}
		v := retuned(t)
		v.Bounds[i].Asked = v.Bounds[i].Chain
		r, err := Verify(context.Background(), v, Options{Ticks: 30_000, Seed: 2})
		if err != nil || r.OK() || r.Kinds[0].Faults[0].Rule != "asked" {
			t.Errorf("a bound that is too small passes: %v", err)
		}
	}
}

// TestAskedSetting: the program that was asked for multiplies by the setting itself, and starts with the gain of the spec.
func TestAskedSetting(t *testing.T) {
	u := retuned(t)
	tr := newTrial(u, Options{}, 10)
	tr.restart()
	want := func(gain *big.Rat, when string) {
		t.Helper()
		for i, c := range u.Asked.Coefs {
			if w, _ := new(big.Rat).Mul(gain, c.Factor).Float64(); tr.askCoefs[i] != w {
				t.Errorf("%s: the coefficient is %v, %v is asked for", when, tr.askCoefs[i], w)
			}
		}
	}
	want(big.NewRat(37, 100), "at start")
	s := u.Integer.Coefs[0].Setter
	ten := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(s.Digits)), nil))
	for _, x := range []int64{0, 7, s.XHi, s.XHi + 1000, -5} {
		tr.ask([]int64{0, 1, x})
		want(new(big.Rat).Quo(big.NewRat(min(max(x, s.XLo), s.XHi), 1), ten), "after a setting")
	}
	tr.ask([]int64{0, 0, 3})
	want(new(big.Rat).Quo(big.NewRat(s.XLo, 1), ten), "with none")
}
