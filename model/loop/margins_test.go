package loop

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"
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
	m, curve := filter([]float64{e, 1 - 2*e}, []float64{1, -1 - e, e}, 1).read()
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
	m, _ := filter([]float64{2}, []float64{1, -1.5}, 0.1).read()
	close(t, "up", m.GainUp, 1.25, 1e-9)
	close(t, "down", m.GainDown, 0.25, 1e-3) // read at the lowest frequency of the grid
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
			if v.Stable[1] == (v.Cuts[0].Margins[1].Peak == 0) {
				t.Errorf("%s: margins %v of a loop that is stable %v", delay, v.Cuts[0].Margins[1], v.Stable[1])
			}
		}
	}
}

// The numbers above are what scipy.signal says today.
func TestMarginsAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import scipy.signal").Run(); err != nil {
		if os.Getenv("GAINWRIGHT_NEED_TOOLS") == "1" {
			t.Fatalf("python3-scipy is needed: %v", err)
		}
		t.Skip("python3-scipy is not there")
	}
	out, err := exec.Command(python, "testdata/margins.py").Output()
	if err != nil {
		t.Fatal(err)
	}
	e := math.Exp(-1)
	lag, _ := filter([]float64{e, 1 - 2*e}, []float64{1, -1 - e, e}, 1).read()
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
