package plant

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// machine builds a kind from the numbers that have no default, and others where given.
func machine(k *Kind, given Values, extra any) Model {
	return k.Build(machineValues(k, given), extra)
}

func machineValues(k *Kind, given Values) Values {
	v := Values{}
	for _, p := range k.Params {
		x, ok := given[p.Key]
		if !ok {
			x = p.Default(v)
		}
		v[p.Key] = x
	}
	return v
}

var someNames = named{in: []Port{{Name: "u"}}, out: []Port{{Name: "y"}}}

// yamamoto is the parameter set of Yamamoto, NXTway-GS Model-Based Design, 2008, as two public parameter scripts give it.
var yamamoto = Values{"body_mass": 0.6, "axle_to_centre": 0.072, "wheel_mass": 0.03, "wheel_radius": 0.04, "rotor_inertia": 1e-5,
	"motor_resistance": 6.69, "torque_constant": 0.317, "emf_constant": 0.468, "axle_friction": 0.0022, "gravity": 9.81}

func samePoles(t *testing.T, what string, got []complex128, want ...complex128) {
	t.Helper()
	less := func(a, b complex128) int {
		if d := real(a) - real(b); math.Abs(d) > 1e-9*cmplx.Abs(a) {
			return int(math.Copysign(1, d))
		}
		return int(math.Copysign(1, imag(a)-imag(b)))
	}
	slices.SortFunc(got, less)
	slices.SortFunc(want, less)
	if len(got) != len(want) {
		t.Fatalf("%s: poles %v, expected %v", what, got, want)
	}
	for i := range want {
		if cmplx.Abs(got[i]-want[i]) > 2e-8*math.Max(1, cmplx.Abs(want[i])) {
			t.Errorf("%s: pole %v, expected %v", what, got[i], want[i])
		}
	}
}

// The linearised two-wheeled pendulum: poles and matrix entries computed with scipy from Yamamoto's parameter
// set and equations by testdata/reference/figures.py (its body inertia is the rod's, M*L^2/3, its wheel inertia the disc's).
func TestPendulumOfYamamoto(t *testing.T) {
	p := smooth(machine(pendulumKind, yamamoto, false))
	l := Linearise(p, p.Start(nil), make([]float64, 3))
	samePoles(t, "two-wheeled pendulum", l.Poles(), 0, -241.1937394, -6.5198638, 7.4367239)
	for _, c := range []struct {
		at   [2]int
		want float64
	}{{[2]int{2, 1}, -409.7184124}, {[2]int{3, 1}, 269.6273393}, {[2]int{2, 2}, -162.1272879}, {[2]int{3, 2}, 78.1495914}, {[2]int{2, 3}, 162.1272879}, {[2]int{3, 3}, -78.1495914}} {
		if got := l.A.At(c.at[0], c.at[1]); math.Abs(got-c.want) > 1e-6*math.Abs(c.want) {
			t.Errorf("entry %v of A is %.7f, expected %.7f", c.at, got, c.want)
		}
	}
	for i, want := range []float64{2 * 157.5798419, -2 * 75.9576035} { // both wheels get the voltage here
		if got := l.B.At(2+i, 0); math.Abs(got-want) > 1e-6*math.Abs(want) {
			t.Errorf("voltage moves rate %d by %.7f, expected %.7f", i, got, want)
		}
	}
	if _, linear := machine(pendulumKind, yamamoto, true).(*Linear); !linear {
		t.Error("equations: linear does not give a linear plant")
	}
}

// DC motors of the University of Michigan's control tutorials: speed (J=0.01, b=0.1, K=0.01, R=1, L=0.5) and
// position (J=3.2284e-6, b=3.5077e-6, K=0.0274, R=4, L=2.75e-6), from memory; poles computed by testdata/reference/figures.py.
func TestMotorAgainstComputedPoles(t *testing.T) {
	speed := machine(motorKind, Values{"inertia": 0.01, "viscous_friction": 0.1, "torque_constant": 0.01, "resistance": 1, "inductance": 0.5}, nil).(*Linear)
	samePoles(t, "motor for speed", speed.Poles(), 0, -9.9974992183, -2.0025007817)
	position := machine(motorKind, Values{"inertia": 3.2284e-6, "viscous_friction": 3.5077e-6, "torque_constant": 0.0274, "resistance": 4, "inductance": 2.75e-6}, nil).(*Linear)
	samePoles(t, "motor for position", position.Poles(), 0, -59.2260384878, -1454487.315)
	// Without the inductance the slow pole hardly moves: the reduction that a stiff motor asks for.
	reduced := machine(motorKind, Values{"inertia": 3.2284e-6, "viscous_friction": 3.5077e-6, "torque_constant": 0.0274, "resistance": 4}, nil).(*Linear)
	for _, p := range reduced.Poles() {
		if p != 0 && math.Abs(real(p)+59.226) > 0.01 {
			t.Errorf("slow pole without inductance %v", p)
		}
	}
}

// transferOf is the sampled transfer function of one input and output: numerator from z^(n-1), and denominator.
func transferOf(phi, gamma *mat.Dense, c []float64) (num, den []float64) {
	n, _ := phi.Dims()
	var e mat.Eigen
	e.Factorize(phi, mat.EigenNone)
	p := []complex128{1}
	for _, z := range e.Values(nil) {
		next := make([]complex128, len(p)+1)
		for i, v := range p {
			next[i] += v
			next[i+1] -= v * z
		}
		p = next
	}
	for _, v := range p {
		den = append(den, real(v))
	}
	x := make([]float64, n)
	for i := range x {
		x[i] = gamma.At(i, 0)
	}
	var markov []float64
	for range n {
		sum, next := 0.0, make([]float64, n)
		for i := range x {
			sum += c[i] * x[i]
			for j := range x {
				next[i] += phi.At(i, j) * x[j]
			}
		}
		markov = append(markov, sum)
		x = next
	}
	for k := range markov {
		v := 0.0
		for j := 0; j <= k; j++ {
			v += den[j] * markov[k-j]
		}
		num = append(num, v)
	}
	return num, den
}

// Matrix exponential and zero-order hold: values of scipy (cont2discrete, zoh) by testdata/reference/figures.py; the second
// is the example of Astrom and Wittenmark, Computer-Controlled Systems, from memory.
func TestZeroOrderHold(t *testing.T) {
	motor := machine(transferKind, Values{}, fraction{someNames, []float64{0.01}, []float64{0.005, 0.06, 0.1001}}).(*Linear)
	wn2 := machine(transferKind, Values{}, fraction{someNames, []float64{1}, []float64{1, 0.2, 1}}).(*Linear)
	lag := machine(firstOrderKind, Values{"gain": 1, "time_constant": 0.05}, someNames).(*Linear)
	for _, c := range []struct {
		name     string
		l        *Linear
		h        float64
		num, den []float64
		within   float64
	}{
		{"DC motor for speed", motor, 0.05, []float64{0.002058581, 0.0016857593}, []float64{1, -1.5113307896, 0.5488116361}, 1e-9},
		{"1/(s(s+1))", machine(transferKind, Values{}, fraction{someNames, []float64{1}, []float64{1, 1, 0}}).(*Linear), 1, []float64{0.36787944117, 0.26424111766}, []float64{1, -1.36787944117, 0.36787944117}, 1e-11},
		{"1/s^2", machine(doubleIntegratorKind, Values{"gain": 1}, someNames).(*Linear), 0.1, []float64{0.005, 0.005}, []float64{1, -2, 1}, 1e-7},
		{"1/(s^2+0.2s+1)", wn2, 0.5, []float64{0.11845359730292, 0.11453840854264}, []float64{1, -1.6718454121903947, 0.9048374180359595}, 1e-13},
		{"1/(0.05s+1)", lag, 0.01, []float64{0.1812692469220180}, []float64{1, -0.8187307530779818}, 1e-15},
	} {
		phi, gamma := Discretise(c.l.A, c.l.B, c.h)
		num, den := transferOf(phi, gamma, c.l.C.RawRowView(0))
		for i := range c.num {
			if math.Abs(num[i]-c.num[i]) > c.within || math.Abs(den[i+1]-c.den[i+1]) > c.within {
				t.Errorf("%s: numerator %.14g over %.14g, expected %.14g over %.14g", c.name, num, den, c.num, c.den)
				break
			}
		}
	}
	// The unstable pole of a cart with a pole (M=0.5, m=0.2, b=0.1, I=0.006, l=0.3, g=9.8), sampled at 10 ms.
	a := mat.NewDense(4, 4, []float64{0, 1, 0, 0, 0, -2. / 11, 2.6727272727272728, 0, 0, 0, 0, 1, 0, -5. / 11, 31.181818181818183, 0})
	b := mat.NewDense(4, 1, []float64{0, 20. / 11, 0, 50. / 11})
	pole := &Linear{A: a, B: b}
	samePoles(t, "cart with a pole", pole.Poles(), 0, -0.1428316357, -5.6040941256, 5.5651075794)
	phi, gamma := Discretise(a, b, 0.01)
	samePoles(t, "cart with a pole, sampled", (&Linear{A: phi, B: gamma}).Poles(), 1, cmplx.Exp(-0.001428316357), cmplx.Exp(-0.056040941256), 1.0572287267)
}

func TestResonance(t *testing.T) {
	l := machine(resonanceKind, Values{"gain": 2, "frequency": 3, "damping": 0.1}, someNames).(*Linear)
	w := 2 * math.Pi * 3
	samePoles(t, "resonance", l.Poles(), complex(-0.1*w, w*math.Sqrt(0.99)), complex(-0.1*w, -w*math.Sqrt(0.99)))
	// At rest under input 1 the output is the gain; the rate is a quantity of its own.
	x, u, q := l.Start(nil), []float64{1, 0}, make([]float64, 2)
	newHeldStep(l).step(x, u, 100)
	l.Observe(q, x, nil, u)
	if math.Abs(q[0]-2) > 1e-9 || math.Abs(q[1]) > 1e-9 {
		t.Errorf("at rest: output and rate %v, expected 2 and 0", q)
	}
	if x := l.Start(map[string]float64{"y": 0.5, "y_rate": -3}); math.Abs(l.C.At(0, 0)*x[0]-0.5) > 1e-12 || math.Abs(l.C.At(1, 1)*x[1]+3) > 1e-12 {
		t.Errorf("start %v does not show what it was given", x)
	}
}
