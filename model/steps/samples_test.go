package steps_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestSamples holds medians, moving averages and delays against scipy, tick by tick from the start. The integer program keeps what is proven of it, and of a
// median and a delay it is exact.
func TestSamples(t *testing.T) {
	type run struct {
		ref  *reference
		twin *twin
		most float64
	}
	runs := map[string]*run{}
	for _, row := range table(t, "samples.csv") {
		name := row["kind"] + " " + row["n"]
		if runs[name] == nil {
			key := map[string]string{"median": "over", "moving_average": "over", "delay": "time"}[row["kind"]]
			text := controllerOf("10 Hz", "m", "100", ", counts_per_unit: 100000", fmt.Sprintf("  y: {kind: %s, of: a, %s: %s ticks}", row["kind"], key, row["n"]))
			runs[name] = &run{newReference(lower(t, text)), newTwin(t, text), 0}
		}
		r, x, want := runs[name], number(t, row["x"]), number(t, row["y"])
		if got := r.ref.tick(in{"a": x}); math.Abs(got-want) > 1e-10 {
			t.Fatalf("%s, tick %s: %v, scipy says %v", name, row["k"], got, want)
		}
		got := r.twin.tick(in{"a": x})
		if r.most = max(r.most, math.Abs(got-want)); row["kind"] != "moving_average" && r.most > 1e-9 {
			t.Fatalf("%s, tick %s: in integers %v, scipy says %v", name, row["k"], got, want)
		}
	}
	if len(runs) != 9 {
		t.Errorf("%d runs", len(runs))
	}
	for name, r := range runs {
		_, section, _ := r.twin.unit.Integer.Signal("y")
		claim := r.twin.unit.Certificate.Asked.Signals[section][0]
		if claim == nil {
			t.Errorf("%s: nothing is known of the difference to what was asked for", name)
			continue
		}
		if most, _ := claim.Size().Float64(); r.most > most+1e-9 {
			t.Errorf("%s: off by %v, %v is proven", name, r.most, most)
		}
	}
}

// TestMedianOfAll: of each order of the numbers, equal ones too, the middle one is given.
func TestMedianOfAll(t *testing.T) {
	for _, n := range []int{3, 5, 7} {
		ref := newReference(lower(t, controller("10 Hz", fmt.Sprintf("  y: {kind: median, of: a, over: %d ticks}", n))))
		ends := 1
		for range n {
			ends *= 3
		}
		for code := range ends { // each of n numbers is 0, 1 or 2: a network that is right for these is right for all, since it only compares
			var x []float64
			for c, i := code, 0; i < n; c, i = c/3, i+1 {
				x = append(x, float64(c%3))
			}
			y := 0.0
			for _, v := range x {
				y = ref.tick(in{"a": v})
			}
			if slices.Sort(x); y != x[n/2] {
				t.Fatalf("of %v %v", x, y)
			}
		}
	}
}

// TestMovingAverageAddsUp: through a million ticks of full-scale steps and noise the sum of a moving average of 64 samples is exactly that of what it keeps, and
// that what came in.
func TestMovingAverageAddsUp(t *testing.T) {
	ticks := 1_000_000
	if testing.Short() {
		ticks = 100_000
	}
	w := newTwin(t, controllerOf("10 Hz", "m", "100", ", counts_per_unit: 100000", "  y: {kind: moving_average, of: a, over: 64 ticks}"))
	p := w.unit.Integer
	sum := -1
	for i, op := range p.Ops {
		if op.Name == "y_sum" || len(op.Name) > 6 && op.Name[:6] == "y_sum_" && op.Kind.String() == "add" {
			sum = i
		}
	}
	if sum < 0 || len(p.States) < 63 {
		t.Fatalf("sum %d, %d states", sum, len(p.States))
	}
	r := rand.New(rand.NewPCG(1, 9))
	var last [64]int64
	total, raw := int64(0), int64(0)
	for k := range ticks {
		switch r.IntN(40) {
		case 0:
			raw = 32767
		case 1:
			raw = -32768
		case 2:
			raw = int64(r.IntN(65536)) - 32768
		}
		in := make([]int64, len(p.Inputs))
		in[0] = raw
		w.whole.Tick(in, nil)
		if k == 0 {
			for i := range last {
				last[i] = raw
			}
			total = 64 * raw
			continue // the first tick gives the first value
		}
		total += raw - last[k%64]
		last[k%64] = raw
		if got := w.whole.Values[sum]; got != total {
			t.Fatalf("tick %d: the sum is %d, of what came in %d", k, got, total)
		}
	}
}
