package trial

import (
	"context"
	"math"
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

func seamed(t *testing.T) *model.Unit {
	u := compileFile("../../testdata/specs/seam.yaml", noChange)
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	return u
}

// TestClaimsEndBehindTheSeam: an angle that was wrapped is claimed around the circle, and what reads it as a number on a line is not
// claimed from the raw inputs at all. Where the seam is out of reach, a wrap is claimed on a line and so is what follows.
func TestClaimsEndBehindTheSeam(t *testing.T) {
	u := seamed(t)
	const line, circle, none = "line", "circle", "none"
	want := map[string]string{"mix": line, "wr": circle, "again": circle, "half": none, "same": none, "limited": none, "ahead": none, "held": none, "turned": none,
		"little": line, "inside": line, "inside_line": line, "smooth": line, "lean": line, "steer": none,
		"out": none, "straight": none, "wheel": none, "calm": line, "facing": line, "held_out": none, "limited_out": none, "same_out": none, "turned_out": none}
	for _, b := range u.Bounds {
		name := u.Integer.Sections[b.Section].Signals[b.Signal].Name
		got := line
		switch {
		case b.Chain == nil:
			got = none
		case b.ChainTurn != nil:
			got = circle
			if b.ChainTurn.Cmp(big.NewRat(360, 1)) != 0 {
				t.Errorf("%s goes around a circle of %v", name, b.ChainTurn)
			}
		}
		if w, ok := want[name]; ok && got != w {
			t.Errorf("%s is claimed on: %s, want %s", name, got, w)
		}
		if b.LocalTurn != nil {
			t.Errorf("%s is fed exactly, and yet its own rounding goes around", name)
		}
		delete(want, name)
	}
	if len(want) > 0 {
		t.Errorf("no bounds for %v", want)
	}
}

// TestSeam runs the case that was found in the field: 0.37*102.96 + 0.61*232.63 is 179.9995 deg, which rounds to the seam. The
// emitted half is -90.00 deg where real numbers with the stored constants give 89.9978 (as asked 89.9998), and the sentence about wr holds around the circle alone.
func TestSeam(t *testing.T) {
	u := seamed(t)
	whole, real := program.NewFixedMachine(u.Integer), program.NewRealMachine(u.Stored)
	whole.Tick([]int64{10296, 23263, 0}, nil)
	real.Tick([]float64{102.96, 232.63, 0}, nil, nil)
	seen := 0
	for _, b := range u.Bounds {
		sig := u.Integer.Sections[b.Section].Signals[b.Signal]
		lsb, _ := u.Integer.Ops[sig.Value].LSB.Float64()
		is, exact := float64(whole.Values[sig.Value])*lsb, real.Values[u.Stored.Sections[b.Section].Signals[b.Signal].Value]
		switch sig.Name {
		case "wr":
			most, _ := b.Chain.Float64()
			if off := math.Abs(is - exact); off < 359 || math.Abs(math.Remainder(off, 360)) > most {
				t.Errorf("wr is %v, exact is %v, claimed %v", is, exact, most)
			}
		case "half", "out":
			if is != -90 || math.Abs(exact-89.9978) > 1e-4 {
				t.Errorf("%s is %v, exact is %v", sig.Name, is, exact)
			}
		default:
			continue
		}
		seen++
	}
	if seen != 3 {
		t.Errorf("%d signals seen", seen)
	}
}

// TestSeamIsJudged: what is claimed around the circle is judged there, and what is claimed on a line on the line: the same
// claims on a line are found to be false.
func TestSeamIsJudged(t *testing.T) {
	u := seamed(t)
	r, err := Verify(context.Background(), u, Options{Ticks: 60_000, Seed: 3})
	if err != nil || !r.OK() {
		t.Fatal(err, r.Kinds)
	}
	for _, k := range r.Kinds {
		for _, s := range k.Signals {
			if s.Local.Unjudged != "" || s.Chain.Unjudged != "" {
				t.Errorf("%s is not judged: %s%s", s.Name, s.Local.Unjudged, s.Chain.Unjudged)
			}
		}
	}
	for i, b := range u.Bounds {
		if b.ChainTurn == nil {
			continue
		}
		on := seamed(t)
		on.Bounds[i].ChainTurn = nil
		tr := newTrial(on, Options{}, 10)
		for j := range tr.signals { // as if float64 were no excuse
			if tr.signals[j].name == on.Integer.Sections[b.Section].Signals[b.Signal].Name {
				tr.signals[j].chain.turn = 0
			}
		}
		k := tr.begin("any", false)
		if err := tr.run(context.Background(), k, newGenerator(on, kinds[len(kinds)-1], 5, 0, 400_000), 400_000); err != nil {
			t.Fatal(err)
		}
		if k.Signals[i].Chain.Over == 0 {
			t.Errorf("%s was never beyond its bound on a line", k.Signals[i].Name)
		}
	}
}
