package witness

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/tier"
)

func compile(t *testing.T, path string) *model.Unit {
	t.Helper()
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	u := model.Compile(filepath.Base(path), src)
	if !u.OK() {
		t.Fatalf("%s: %v", path, u.Findings)
	}
	return u
}

// TestReferenceSection holds the bounds of the reference section against computed figures, and the witnesses against the bounds.
//
// A low-pass of 50 Hz at 1 kHz with Q = 1/sqrt(2) after the W3C audio EQ cookbook note, coefficients of 14 fraction bits. Its figures are
// computed by testdata/reference/figures.py, the adversary's and the worst-sign input's elsewhere: the range for |x| <= 32767 is 35818.27, with
// the rounding of the recursion on top; rounding to nearest is bounded by ||1/A||_1 / 2 = 6.821167 and an adversary attains 6.821131;
// the worst-sign input reaches 35817.
func TestReferenceSection(t *testing.T) {
	u := compile(t, "../../testdata/specs/section.yaml")
	for _, w := range Find(u.Stored, u.Integer, u.Certificate, 1) {
		if w.Signal != "y" {
			continue
		}
		switch w.What {
		case "rounding":
			if w.Bound < 6.821131-1e-5 || w.Bound > 6.821167+1e-3 {
				t.Errorf("rounding is bounded by %.6f, 6.821131 to 6.821167 is expected", w.Bound)
			}
		default:
			if most := math.Abs(w.Bound); most < 35817 || most > 35818.27*(1+1e-4)+6.83+1 {
				t.Errorf("the %s value is bounded by %.2f, between 35817 and 35818.27 + 6.82 is expected", w.What, w.Bound)
			}
		}
		if w.Share < 0.99 || w.Share > 1 {
			t.Errorf("%s: %.6g of %.6g is reached, 99 %% to 100 %% is expected (%s)", w.What, w.Reached, w.Bound, w.How)
		}
	}
}

// TestSlowSecondOrder: the same filter and computation at 5 Hz: rounding up to 560 counts in direct form.
func TestSlowSecondOrder(t *testing.T) {
	u := compile(t, "../../testdata/specs/slow_second_order.yaml")
	warned := false
	for _, f := range u.Findings {
		warned = warned || f.Rule == "limit-cycle" && strings.Contains(f.Message, " 560 V ")
	}
	if !warned {
		t.Errorf("no finding names the rounding of 560 counts: %v", u.Findings)
	}
	src, err := os.ReadFile("../../testdata/specs/slow_second_order.yaml")
	if err != nil {
		t.Fatal(err)
	}
	better := model.Compile("slow_second_order.yaml", []byte(strings.Replace(string(src), "structure: direct", "structure: automatic", 1)))
	for _, b := range better.Bounds {
		if sig := better.Integer.Sections[b.Section].Signals[b.Signal]; sig.Name == "y" {
			if got, _ := b.Local.Float64(); got > 1 {
				t.Errorf("the automatic structure rounds by up to %.3f counts, one is expected", got)
			}
		}
	}
}

// TestStarters: no witness is beyond its bound, ranges are reached to 99 % where a section hangs on program inputs alone, and roundings
// to 90 % in first-order sections and 50 % elsewhere.
func TestStarters(t *testing.T) {
	names := []string{"incubator", "spindle", "pan", "heading"}
	for _, name := range names[:tier.Count(1, len(names), len(names))] {
		u := compile(t, "../../templates/starters/"+name+".yaml")
		kinds := map[string]string{}
		for _, s := range u.Stored.Sections {
			kinds[s.Name] = s.Kind
		}
		for _, w := range Find(u.Stored, u.Integer, u.Certificate, 1) {
			least := 0.5
			switch kind := kinds[w.Signal]; {
			case w.What == "rounding" && (kind == "low_pass" || kind == "complementary"):
				least = 0.9
			case w.What != "rounding" && kind == "second_order":
				least = 0.95 // pan's notch stands behind the limits of its controller
			case w.What != "rounding":
				least = 0.99
			}
			if w.Share < least || w.Share > 1+1e-9 {
				t.Errorf("%s: %s of %s reaches %.6g of %.6g, a share of %.3f; at least %.2f is expected (%s)", name, w.What, w.Signal, w.Reached, w.Bound, w.Share, least, w.How)
			}
		}
	}
}

// TestShares: no share is more than the whole, also where a range does not hold 0, and a turned output has the sign that it has in units.
func TestShares(t *testing.T) {
	u := model.Compile("spec.yaml", []byte(`controller: lim
rate: 100 Hz
inputs:
  a: {raw: int16, unit: m, counts_per_unit: 100}
steps:
  c: {kind: pid, target: 5, measured: a, kp: 1, limits: [10, 20]}
outputs:
  o: {from: c, raw: int16, unit: duty, limits: [15, 300], least_effort: 12, counts_per_unit: -3}
`))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	for _, w := range Find(u.Stored, u.Integer, u.Certificate, 1) {
		if w.Share < 0 || w.Share > 1+1e-9 || w.What != "rounding" && (w.Bound < 10 || w.Reached < 10) {
			t.Errorf("%s, %s: %g of %g is called %g", w.Signal, w.What, w.Reached, w.Bound, w.Share)
		}
		if w.Signal == "o" && w.What == "lowest" && w.Share > 0.5 {
			t.Errorf("the output comes down to %g, its bound is %g: that is no share of %g", w.Reached, w.Bound, w.Share)
		}
	}
}
