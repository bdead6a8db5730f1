package loop

import (
	"fmt"
	"math"
	"os/exec"
	"strings"
	"testing"

	"gainwright/model/tier"
)

// filter is the transfer num/den in z, highest power first, as a loop in the sense of negative feedback.
func filter(num, den []float64, period float64) *transfer {
	n := len(den) - 1
	t := &transfer{a: zeros(n, n), b: make([]float64, n), c: make([]float64, n), period: period}
	for i := range n {
		t.a[0][i] = -den[1+i] / den[0]
		if i > 0 {
			t.a[i][i-1] = 1
		}
	}
	t.b[0] = 1
	for i, v := range num {
		t.c[n-len(num)+i] = -v / den[0]
	}
	return t
}

// 1/(s(s+1)) sampled at 1 s: numbers of scipy.signal by testdata/margins.py. The gain margin is (1-1/e)/(1-2/e) by Jury's criterion.
func TestMarginsOfATextbookLoop(t *testing.T) {
	e := math.Exp(-1)
	m, curve := filter([]float64{e, 1 - 2*e}, []float64{1, -1 - e, e}, 1).read(true)
	close(t, "gain margin", m.GainUp, (1-e)/(1-2*e), 1e-9)
	close(t, "phase margin", m.Phase, 30.384272800323448, 1e-9)
	close(t, "crossover", m.Crossover, 0.12282528532417127, 1e-9)
	close(t, "delay margin", m.Delay, 0.6871610968044435, 1e-9)
	close(t, "sensitivity peak", m.Peak, 2.534855533412218, 1e-9)
	close(t, "its place", m.PeakAt, 0.1509111538122554, 1e-4)
	if m.GainDown != 0 {
		t.Errorf("the loop gain may shrink to nothing, not to %g", m.GainDown)
	}
	if first := curve.Phase[0]; first > -85 || first < -95 {
		t.Errorf("phase %g degrees at the lowest frequency of an integrator", first)
	}
	for i := 1; i < len(curve.Hz); i++ {
		if curve.Hz[i] <= curve.Hz[i-1] {
			t.Fatal("frequencies are not in order")
		}
	}
}

// An unstable plant held by its loop has a lower gain margin too: 2/(z-1.5) is stable for 0.5 < 2k < 2.5.
func TestGainMayShrinkToo(t *testing.T) {
	m, _ := filter([]float64{2}, []float64{1, -1.5}, 0.1).read(true)
	close(t, "up", m.GainUp, 1.25, 1e-9)
	close(t, "down", m.GainDown, 0.25, 1e-9)
}

// The whole way from a spec: the motor's speed under a proportional gain, numbers of scipy.signal by testdata/margins.py. The stored gain is
// the asked one: a whole number.
func TestMarginsOfAMotor(t *testing.T) {
	v := view(t, system(t, motor))
	for i, m := range v.Cuts[0].Margins {
		close(t, "gain margin", m.GainUp, 2.6764696702945048, 1e-8)
		close(t, "phase margin", m.Phase, 30.90264343455825, 1e-8)
		close(t, "crossover", m.Crossover, 1.953114326331889, 1e-8)
		close(t, "delay margin", m.Delay, 0.043950666404829544, 1e-8)
		close(t, "in ticks", m.DelayTicks, 0.043950666404829544*20, 1e-8)
		close(t, "sensitivity peak", m.Peak, 2.4576236608888995, 1e-8)
		if !v.Stable[i] {
			t.Error("not stable")
		}
	}
	if len(v.Poles) != 1 || !v.Poles[0].Pair {
		t.Fatalf("poles %v, one pair expected: the angle is not of the loop", v.Poles)
	}
	close(t, "pole", v.Poles[0].Stored.Re, 0.65273634, 1e-7)
	close(t, "pole", v.Poles[0].Stored.Im, 0.5397433, 1e-7)
}

// Rounding of the constants moves poles, and by what is said.
func TestPolesMove(t *testing.T) {
	s := system(t, motor)
	gain, _ := s.Stored.Gains, 0
	if len(gain) > 0 {
		t.Fatal("the gain is live; the test changes a constant")
	}
	for i := range s.Stored.Ops {
		if op := &s.Stored.Ops[i]; op.K != nil && op.Name == "push_p" {
			k, _ := op.K.Float64()
			if k != 100 {
				t.Fatalf("gain %g", k)
			}
			op.K.SetInt64(101)
		}
	}
	v := view(t, s)
	// z^2 - 1.5113307896 z + 0.5488116361 + k*(0.002058581 z + 0.0016857593), the zero-order hold of the motor at 50 ms by scipy 1.10.1
	at := func(k float64) complex128 {
		b, c := -1.5113307896+k*0.002058581, 0.5488116361+k*0.0016857593
		return complex(-b/2, math.Sqrt(c-b*b/4))
	}
	if got, want := v.Poles[0].Moved, at(101)-at(100); math.Abs(got-math.Hypot(real(want), imag(want))) > 1e-8 {
		t.Errorf("moved %g, want %g", got, want)
	}
}

// More delay: whole ticks more agree with a plant that has them; up to the delay margin the loop is stable, beyond it not.
func TestLater(t *testing.T) {
	base := view(t, system(t, motor))
	late := view(t, system(t, motor, "gives: 300 V, delay: 0 s", "gives: 300 V, delay: 50 ms"))
	var most float64
	for _, p := range late.Poles {
		most = math.Max(most, math.Hypot(p.Stored.Re, p.Stored.Im))
	}
	close(t, "radius one tick later", base.Later[0].Radius[1], most, 1e-9)
	if base.Later[0].Stable[1] || base.Later[1].Stable[1] {
		t.Error("the delay margin is 0.88 ticks, but one more is called stable")
	}
	for delay, stable := range map[string]bool{"delay: 38 ms": true, "delay: 48 ms": false} {
		for _, at := range []string{"gives: 300 V, delay: 0 s", "of: speed, delay: 0 s"} {
			v := view(t, system(t, motor, at, at[:len(at)-len("delay: 0 s")]+delay))
			if v.Stable[1] != stable {
				t.Errorf("%s at %s: stable %v", delay, at, v.Stable[1])
			}
			if m := v.Cuts[0].Margins[1]; v.Stable[1] != (m.Phase > 0) || v.Stable[1] != (m.Stable == nil) || !v.Stable[1] && (m.Stable[0] != 0 || m.Stable[1] < 0.8 || m.Stable[1] >= 1) {
				t.Errorf("%s: margins %v of a loop that is stable %v", delay, m, v.Stable[1])
			}
		}
	}
}

// The numbers above are what scipy.signal says today.
func TestMarginsAgainstScipy(t *testing.T) {
	python := tier.Scipy(t)
	out, err := exec.Command(python, "testdata/margins.py").Output()
	if err != nil {
		t.Fatal(err)
	}
	e := math.Exp(-1)
	lag, _ := filter([]float64{e, 1 - 2*e}, []float64{1, -1 - e, e}, 1).read(true)
	loops := map[string]Margins{"lag": lag, "motor": view(t, system(t, motor)).Cuts[0].Margins[0]}
	seen := 0
	for line := range strings.Lines(string(out)) {
		var name string
		var gain, phase, crossover, delay, peak, at float64
		if _, err := fmt.Sscan(line, &name, &gain, &phase, &crossover, &delay, &peak, &at); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		m, ok := loops[name]
		if !ok {
			t.Fatalf("no loop %s", name)
		}
		seen++
		close(t, name+" gain margin", m.GainUp, gain, 1e-7)
		close(t, name+" phase margin", m.Phase, phase, 1e-7)
		close(t, name+" crossover", m.Crossover, crossover, 1e-7)
		close(t, name+" delay margin", m.Delay, delay, 1e-7)
		close(t, name+" sensitivity peak", m.Peak, peak, 1e-7)
		close(t, name+" its place", m.PeakAt, at, 1e-4)
	}
	if seen != len(loops) {
		t.Errorf("%d loops in %q", seen, out)
	}
}

// Turning a gain turns every output that it feeds: cut behind its PID the heading bears half of what one wheel alone bears. Eigenvalues with the gains
// kp, ki and kd multiplied say the same.
func TestCutBehindAPID(t *testing.T) {
	tier.Slow(t)
	v := view(t, starter(t, "heading"))
	pid, wheel := v.Cuts[0], v.Cuts[1]
	if pid.PID != "turn" || wheel.Output != "left_wheel" {
		t.Fatalf("cuts %q, %q", pid.PID, wheel.Output)
	}
	up := pid.Margins[0].GainUp
	if up < 0.45*wheel.Margins[0].GainUp || up > 0.55*wheel.Margins[0].GainUp {
		t.Errorf("gain may grow by %g behind the PID, by %g at one wheel", up, wheel.Margins[0].GainUp)
	}
	for factor, stable := range map[float64]bool{0.999 * up: true, 1.001 * up: false} {
		w := view(t, starter(t, "heading", "kp: 4.2, ki: 0.8, kd: 0.06", fmt.Sprintf("kp: %.9g, ki: %.9g, kd: %.9g", 4.2*factor, 0.8*factor, 0.06*factor), "turn.kp: [0, 15], turn.ki: [0, 5]", "turn.kp: [0, 1200], turn.ki: [0, 400]"))
		if w.Stable[0] != stable {
			t.Errorf("gains times %g: stable %v", factor, w.Stable[0])
		}
	}
	// An inner and an outer loop: each PID has its own margins.
	v = view(t, starter(t, "cart"))
	if len(v.Cuts) != 3 || v.Cuts[0].PID != "balance" || v.Cuts[1].PID != "effort" || v.Cuts[2].Output != "drive" {
		t.Fatalf("%d cuts", len(v.Cuts))
	}
	if a, b := v.Cuts[0].Margins[0].GainUp, v.Cuts[1].Margins[0].GainUp; math.Abs(a-b) < 0.01*b {
		t.Errorf("both loops bear a factor of %g", a)
	}
}

// Kessler's symmetrical optimum, in textbooks of drives: an integrator and a lag of tau under a PI of integral time 4*tau cross at 1/(2*tau) with a
// margin of atan(2)-atan(1/2) = 36.87 degrees. Sampled 4000 times as fast; the hold and the rule of the integral take less than a ten-thousandth.
func TestSymmetricalOptimum(t *testing.T) {
	for _, tau := range []float64{0.01, 1, 4000} { // crossing at 8 Hz, 0.08 Hz, 2e-5 Hz
		l := tenth{Name: "symmetrical optimum", Rate: 4000 / tau, Numerator: []float64{1}, Denominator: []float64{tau, 1, 0}, KP: 1 / (2 * tau), KI: 1 / (2 * tau) / (4 * tau)}
		if _, cuts := l.look(t); len(cuts) > 0 {
			close(t, "phase margin", cuts[0].Margins[0].Phase, math.Atan(2)*180/math.Pi-math.Atan(0.5)*180/math.Pi, 5e-4)
			close(t, "crossover", cuts[0].Margins[0].Crossover, 1/(4*math.Pi*tau), 1e-4)
		}
	}
}

// Routh's criterion, in most textbooks of control: K/(s(s+1)(s+5)) is stable below K = 30. Sampled finely it stays so.
func TestRouthsLimit(t *testing.T) {
	for _, k := range []float64{10, 100} {
		l := tenth{Rate: 20000, Numerator: []float64{1}, Denominator: []float64{1, 6, 5, 0}, KP: k}
		stable, cuts := l.look(t)
		if m := cuts[0].Margins[0]; k == 10 {
			close(t, "gain margin", m.GainUp, 3, 2e-4)
		} else if stable || m.Stable == nil || m.Stable[0] != 0 {
			t.Errorf("K = %g: stable %v, %+v", k, stable, m)
		} else {
			close(t, "factor", m.Stable[1], 0.3, 2e-4)
		}
	}
}

// A wrong sign is said: the loop would be stable with its gain turned round.
func TestWrongSign(t *testing.T) {
	stable, cuts := (&tenth{Rate: 100, Numerator: []float64{1}, Denominator: []float64{1, 1, 0}, KP: -3}).look(t)
	if m := cuts[0].Margins[0]; stable || m.Stable == nil || m.Stable[0] > 0 || m.Stable[1] >= 0 {
		t.Errorf("stable %v, %+v", stable, m.Stable)
	}
}
