package steps_test

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"testing"
)

// decimal writes p/q or a decimal number with 17 digits.
func decimal(t *testing.T, text string) string {
	return strconv.FormatFloat(number(t, text), 'g', 17, 64)
}

func hertz(t *testing.T, h string) string {
	r, ok := new(big.Rat).SetString(h)
	if !ok {
		t.Fatal(h)
	}
	return r.Inv(r).FloatString(6) + " Hz"
}

// TestLowPass runs every response of testdata/reference/lowpass.csv (scipy.signal.lfilter) by time constant, by corner
// frequency and by blend.
func TestLowPass(t *testing.T) {
	var r *reference
	runs := map[string]int{}
	for _, by := range []string{"time_constant", "cutoff", "blend"} {
		for _, row := range table(t, "lowpass.csv") {
			tau, matched := number(t, row["tau"]), row["mapping"] == "exponential"
			if row["n"] == "0" {
				keys := "time_constant: " + decimal(t, row["tau"]) + " s"
				switch by {
				case "cutoff":
					keys = fmt.Sprintf("cutoff: %.17g Hz", 1/(2*math.Pi*tau))
				case "blend":
					keys = fmt.Sprintf("blend: %.17g", 1-number(t, row["a"]))
				}
				if matched && by != "blend" {
					keys += ", mapping: matched"
				}
				r = newReference(lower(t, controller(hertz(t, row["h"]), "  y: {kind: low_pass, of: a, start: 0, "+keys+"}")))
				runs[by+row["input"]+row["mapping"]]++
			}
			if got, want := r.tick(in{"a": number(t, row["x"])}), number(t, row["y"]); !close(got, want) {
				t.Fatalf("%s, by %s: %v, want %v", row, by, got, want)
			}
		}
	}
	if len(runs) != 18 {
		t.Errorf("%v", runs)
	}
}

// TestLowPassMaps: our backward rule is the row of that name in testdata/reference/lowpass_maps.csv (exact fractions; Astrom and
// Wittenmark from memory), our matched one the pole of zoh, without its delay.
func TestLowPassMaps(t *testing.T) {
	found := 0
	for _, row := range table(t, "lowpass_maps.csv") {
		mapping, ok := map[string]string{"backward": "backward", "zoh": "matched"}[row["map"]]
		if !ok {
			continue
		}
		found++
		r := newReference(lower(t, controller("100 Hz", "  y: {kind: low_pass, of: a, start: 0, time_constant: 50 ms, mapping: "+mapping+"}")))
		pole := number(t, row["pole"])
		for k := range 40 { // impulse response (1 - pole)*pole^k
			x := 0.0
			if k == 0 {
				x = 1
			}
			if got, want := r.tick(in{"a": x}), (1-pole)*math.Pow(pole, float64(k)); !close(got, want) {
				t.Errorf("%s, tick %d: %v, want %v", mapping, k, got, want)
			}
		}
	}
	if found != 2 {
		t.Errorf("%d rows of our maps", found)
	}
}

// TestLowPassStart: without start the filter begins at its first input, with start there.
func TestLowPassStart(t *testing.T) {
	r := newReference(lower(t, controller("100 Hz", "  y: {kind: low_pass, of: a, blend: 0.9}")))
	if got := []float64{r.tick(in{"a": 50}), r.tick(in{"a": 50}), r.tick(in{"a": 60})}; got[0] != 50 || got[1] != 50 || !close(got[2], 51) {
		t.Errorf("begins %v, want 50, 50, 51", got)
	}
	r = newReference(lower(t, controller("100 Hz", "  y: {kind: low_pass, of: a, blend: 0.9, start: b}")))
	if got := r.tick(in{"a": 50, "b": 20}); !close(got, 23) {
		t.Errorf("from 20 towards 50: %v, want 23", got)
	}
}

// TestComplementary runs testdata/reference/complementary.csv (scipy.signal.lfilter, one call for each input).
func TestComplementary(t *testing.T) {
	var r *reference
	rows := table(t, "complementary.csv")
	for _, row := range rows {
		if row["n"] == "0" {
			r = newReference(lower(t, controllerOf(hertz(t, row["h"]), "deg", "100", "", fmt.Sprintf("  y: {kind: complementary, angle: a, rate: w, start: 0, blend: %s}", row["blend"]))))
		}
		if got, want := r.tick(in{"a": number(t, row["angle"]), "w": number(t, row["rate"])}), number(t, row["y"]); !close(got, want) {
			t.Fatalf("%v: %v, want %v", row, got, want)
		}
	}
	if len(rows) != 900 {
		t.Errorf("%d rows", len(rows))
	}
}

// TestComplementaryGains: blend = tau/(tau + dt), and the gains 1 from the angle and tau from the rate, by
// testdata/reference/complementary_gains.csv (exact fractions; the formula: a published course page).
func TestComplementaryGains(t *testing.T) {
	for _, row := range table(t, "complementary_gains.csv") {
		text := controllerOf(hertz(t, row["dt"]), "deg", "100", "", fmt.Sprintf("  y: {kind: complementary, angle: a, rate: w, start: 0, time_constant: %s s}", decimal(t, row["tau"])))
		blend := number(t, row["blend"])
		r := newReference(lower(t, text))
		r.tick(in{"a": 1})
		if got := r.tick(in{}); !close(got, blend*(1-blend)) {
			t.Errorf("blend %v: an impulse of the angle is %v after a tick", blend, got)
		}
		for name, want := range map[string]float64{"a": number(t, row["peak_gain_angle"]), "w": number(t, row["peak_gain_rate"])} {
			r := newReference(lower(t, text))
			sum := 0.0
			for k := range 20000 {
				x := in{}
				if k == 0 {
					x[name] = 1
				}
				sum += math.Abs(r.tick(x))
			}
			if math.Abs(sum-want) > 1e-9 {
				t.Errorf("blend %v: the sizes of the response to %s add up to %v, want %v", blend, name, sum, want)
			}
		}
	}
}

// TestLowPassArrives: y += (x - y) >> k in whole counts stops short: from 0 towards 1000 at 993 (k = 3), 985 (k = 4), 745 (k = 8);
// with rounding at 997, 993, 873 from below and 1004, 1008, 1128 from above (computed by running that line). Ours
// stops within the bound that is said, one count.
func TestLowPassArrives(t *testing.T) {
	for k, short := range map[int][3]int64{3: {993, 997, 1004}, 4: {985, 993, 1008}, 8: {745, 873, 1128}} {
		if got := [3]int64{ema(0, k, 0), ema(0, k, 1<<(k-1)), ema(2000, k, 1<<(k-1))}; got != short {
			t.Fatalf("the plain filter stops at %v, published %v", got, short)
		}
		for _, from := range []float64{0, 2000, -3000} {
			w := newTwin(t, controllerOf("100 Hz", "m", "1", "", fmt.Sprintf("  y: {kind: low_pass, of: a, blend: %v}", 1-math.Pow(2, -float64(k)))))
			w.tick(in{"a": from})
			var y float64
			for range 40 << k {
				y = w.tick(in{"a": 1000})
			}
			if bound := local(w, "y"); math.Abs(y-1000) > bound || bound > 1.01 {
				t.Errorf("k = %d, from %v: stops at %v, the bound is %v", k, from, y, bound)
			}
		}
	}
}

func ema(y int64, k int, half int64) int64 {
	for range 10000 {
		y += (1000 - y + half) >> k
	}
	return y
}

// local is the bound of a signal's rounding.
func local(w *twin, name string) float64 {
	for _, b := range w.unit.Bounds {
		if w.unit.Integer.Sections[b.Section].Signals[b.Signal].Name == name {
			f, _ := b.Local.Float64()
			return f
		}
	}
	return math.NaN()
}
