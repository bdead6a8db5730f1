package steps_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

const wide = "limits: [-1e9, 1e9]"

// pidOnError is a PID whose error is a: the measured value b stays 0 and the derivative acts on the error. Its output is
// counted so coarsely that 1e9 fits.
func pidOnError(rate, keys string) string {
	return controllerOf(rate, "m", "100", ", counts_per_unit: 0.5", "  y: {kind: pid, target: a, measured: b, derivative: error, "+keys+", "+wide+"}")
}

// TestPIDResponses runs testdata/reference/pid_response.csv (scipy.signal.lfilter of the z form, equal to the difference
// equations in fractions). The tables start from a derivative filter at 0; ours starts at the first error, so that a
// set-point that is there from the start gives no kick. One tick of no error brings both to the same place.
func TestPIDResponses(t *testing.T) {
	var r *reference
	cases := map[string]int{}
	for _, row := range table(t, "pid_response.csv") {
		if row["n"] == "0" {
			keys := fmt.Sprintf("kp: %s, ki: %s, kd: %s", row["kp"], row["ki"], row["kd"])
			if tf := number(t, row["tf"]); tf > 0 {
				keys += ", derivative_filter: " + decimal(t, row["tf"]) + " s"
			}
			r = newReference(lower(t, pidOnError(hertz(t, row["h"]), keys)))
			r.tick(in{})
			cases[row["case"]+row["input"]]++
		}
		if got, want := r.tick(in{"a": number(t, row["e"])}), number(t, row["u"]); !close(got, want) {
			t.Fatalf("%v: %v, want %v", row, got, want)
		}
	}
	if len(cases) < 6 {
		t.Errorf("%v", cases)
	}
}

// computed is the step response of K = 2, Ti = 0.5, Td = 0.05, N = 10, h = 0.01, all backward, in exact fractions (make_tables.py of
// testdata/reference; the form: dsp.stackexchange 80630, and Astrom and Wittenmark from memory).
var computed = []float64{8.7066666667, 4.3022222222, 2.8607407407, 2.4069135802, 2.2823045267, 2.2674348422, 2.2891449474, 2.3230483158}

// TestPIDForms writes the same controller in every form that there is: all give the computed response. Those
// of an integral updated after use are 0.04 lower at every tick: ki*h*e of the tick itself is missing there.
func TestPIDForms(t *testing.T) {
	for name, keys := range map[string]string{
		"parallel": "kp: 2, ki: 4, kd: 0.1, derivative_filter: 5 ms",
		"tick":     "per: tick, kp: 2, ki: 0.04, kd: 10, derivative_filter: 5 ms",
		"ticks":    "kp: 2, ki: 4, kd: 0.1, derivative_filter: 0.5 ticks",
		"standard": "gain: 2, ti: 0.5 s, td: 0.05 s, derivative_filter: 5 ms",
		"ms":       "gain: 2, ti: 500 ms, td: 50 ms, form: standard, derivative_filter: 0.005",
	} {
		r := newReference(lower(t, pidOnError("100 Hz", keys)))
		r.tick(in{})
		for n, want := range computed {
			if got := r.tick(in{"a": 1}); math.Abs(got-want) > 5.1e-11 {
				t.Errorf("%s, tick %d: %.11f, computed %.10f", name, n, got, want)
			}
		}
	}
}

// TestPIDTables turns the gains of testdata/reference/pid_forms.csv (textbook identities from memory, exact fractions)
// into one another: series, standard, parallel per second and per tick give the same response.
func TestPIDTables(t *testing.T) {
	rows := table(t, "pid_forms.csv")
	for _, row := range rows {
		d := func(column string) string { return decimal(t, row[column]) }
		forms := []string{
			fmt.Sprintf("kp: %s, ki: %s, kd: %s", d("kp"), d("ki"), d("kd")),
			fmt.Sprintf("per: tick, kp: %s, ki: %s, kd: %s", d("kp"), d("ki_per_tick"), d("kd_per_tick")),
		}
		if number(t, row["td"]) > 0 {
			forms = append(forms, fmt.Sprintf("gain: %s, ti: %s s, td: %s s", d("k"), d("ti"), d("td")),
				fmt.Sprintf("gain: %s, ti: %s s, td: %s s, form: series", d("series_k"), d("series_ti"), d("series_td")))
		} else {
			forms = append(forms, fmt.Sprintf("gain: %s, ti: %s s", d("k"), d("ti")), fmt.Sprintf("gain: %s, ti: %s s, form: series", d("series_k"), d("series_ti")))
		}
		for _, keys := range forms {
			r := newReference(lower(t, pidOnError(hertz(t, row["h"]), keys)))
			kp, ki, kd := number(t, row["kp"]), number(t, row["ki_per_tick"]), number(t, row["kd_per_tick"])
			sum, last := 0.0, 0.0
			for n, e := range []float64{0, 1, 1, -3, 0.5, 7, 7, 0} {
				sum += ki * e
				want := kp*e + sum + kd*(e-last)
				last = e
				if got := r.tick(in{"a": e}); !close(got, want) {
					t.Errorf("%s, tick %d: %v, want %v", keys, n, got, want)
				}
			}
		}
	}
	if len(rows) != 4 {
		t.Errorf("%d rows", len(rows))
	}
}

// TestPIDCoefficients reads bi, ad and bd of the backward row of testdata/reference/pid_coefficients.csv (Astrom and Wittenmark, from
// memory) off the responses of the single terms.
func TestPIDCoefficients(t *testing.T) {
	for _, row := range table(t, "pid_coefficients.csv") {
		if row["map"] != "backward" {
			continue
		}
		bi, ad, bd := number(t, row["bi"]), number(t, row["ad"]), number(t, row["bd"])
		i := newReference(lower(t, pidOnError("100 Hz", "ki: 4")))
		if got := i.tick(in{"a": 1}); !close(got, bi) {
			t.Errorf("the integral adds %v, want %v", got, bi)
		}
		d := newReference(lower(t, pidOnError("100 Hz", "kd: 0.1, derivative_filter: 5 ms")))
		d.tick(in{})
		for k := range 20 { // D = ad*D + bd*(change of e)
			if got, want := d.tick(in{"a": 1}), bd*math.Pow(ad, float64(k)); !close(got, want) {
				t.Errorf("the derivative is %v after %d ticks, want %v", got, k, want)
			}
		}
		return
	}
	t.Error("no backward row")
}

// TestWeightAndMeasurement: the set-point weight acts on the P term alone; a derivative of the measurement sees no set-point.
func TestWeightAndMeasurement(t *testing.T) {
	base := "  y: {kind: pid, target: a, measured: b, %s, " + wide + "}"
	out := ", counts_per_unit: 0.5"
	r := newReference(lower(t, controllerOf("100 Hz", "m", "100", out, fmt.Sprintf(base, "kp: 2, ki: 4, weight: 0.25"))))
	if got := r.tick(in{"a": 8, "b": 1}); !close(got, 2*(0.25*8-1)+0.04*7) {
		t.Errorf("weighted: %v", got)
	}
	r = newReference(lower(t, controllerOf("100 Hz", "m", "100", out, fmt.Sprintf(base, "kd: 0.1"))))
	got := []float64{r.tick(in{"a": 8, "b": 1}), r.tick(in{"a": -90, "b": 1}), r.tick(in{"a": -90, "b": 1.5})}
	if got[0] != 0 || got[1] != 0 || !close(got[2], -0.1*0.5*100) {
		t.Errorf("derivative of the measurement: %v", got)
	}
	r = newReference(lower(t, controllerOf("100 Hz", "m", "100", out, fmt.Sprintf(base, "measured_rate: w, kd: 0.1"))))
	if got := r.tick(in{"a": 8, "b": 1, "w": 3}); !close(got, -0.3) {
		t.Errorf("derivative by the measured rate: %v", got)
	}
}

// TestIntegerPID runs integer PIDs of many make against the stored real one at every tick, by the bound said.
func TestIntegerPID(t *testing.T) {
	for _, keys := range []string{
		"kp: 2, ki: 4, kd: 0.1, derivative_filter: 5 ms",
		"kp: 2, ki: 4, kd: 0.1, derivative: error",
		"kp: 0.7, ki: 0.3, enable: on, reset: back, start: 2",
		"kp: 3, kd: 0.2, measured_rate: w, weight: 0.5",
		"gain: 1.5, ti: 4 s, td: 1 s, form: series, derivative_filter: 30 ms",
		"ki: 9, integral_limits: [-1, 2]",
		"kp: 2, ki: 4, tracking_time: 158.113883 ms",
	} {
		w := newTwin(t, controllerOf("100 Hz", "m", "100", ", counts_per_unit: 10, limits: [-90, 80]", "  y: {kind: pid, target: a, measured: b, "+keys+"}"))
		w.hammer(4000)
		if w.worst["y"] < 0.2 {
			t.Errorf("%s: %v of the bound was seen", keys, w.worst)
		}
		if bound := local(w, "y"); bound > 0.1 {
			t.Errorf("%s: the effort's rounding reaches %v, more than a count of the output", keys, bound)
		}
		t.Logf("%s: bound %.4g, %.2f of it seen", keys, local(w, "y"), w.worst["y"])
	}
}

// TestStall: an integrator that rounds ki*e to whole counts does nothing below 0.5/ki, 250 counts for ki = 0.002 (elementary).
// Ours adds the product unrounded: the smallest error moves it, and its dead band is exactly 0.
func TestStall(t *testing.T) {
	w := newTwin(t, controllerOf("100 Hz", "m", "1", ", limits: [-100, 100]", "  y: {kind: pid, target: a, measured: b, per: tick, ki: 0.002}"))
	state := -1
	for n, s := range w.unit.Integer.States {
		if strings.HasSuffix(s.Name, "_integral") {
			state = n
		}
	}
	if state < 0 {
		t.Fatal("no integral")
	}
	for _, e := range []float64{1, -1} {
		before := w.whole.State[state]
		w.tick(in{"a": e})
		step := w.whole.State[state] - before
		for range 1000 {
			before = w.whole.State[state]
			w.tick(in{"a": e})
			if got := w.whole.State[state] - before; got != step || got == 0 || (got > 0) != (e > 0) {
				t.Fatalf("an error of %v count moves the integral by %d, before by %d", e, got, step)
			}
		}
	}
	var y float64
	for range 5000 {
		y = w.tick(in{"a": 1})
	}
	if math.Abs(y-10) > 0.03 { // 5000 ticks of 0.002, rounding to a thirtieth of a count included
		t.Errorf("after 5000 ticks the effort is %v, want 10", y)
	}
}
