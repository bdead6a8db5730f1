package plant

import (
	"math"
	"testing"
)

// The fourth-order method on the falling pendulum: the error over 0.4 s falls by 16 with each half of the step.
func TestRungeKuttaConverges(t *testing.T) {
	p := machine(pendulumKind, lego, false)
	run := func(steps int) []float64 {
		x := p.Start(map[string]float64{"pitch": -0.1})
		newRungeKutta(p, len(x), 0.4/float64(steps)).step(x, []float64{1.5, 0.2, 0}, 0.4)
		return x
	}
	best := run(64000)
	var before float64
	for _, n := range []int{400, 800, 1600} {
		e := math.Abs(run(n)[1] - best[1])
		if before > 0 && (before/e < 14 || before/e > 18) {
			t.Errorf("%d steps: error %.3g after %.3g, a factor of %.1f; expected 16", n, e, before, before/e)
		}
		before = e
	}
	if before > 1e-7 {
		t.Errorf("error %.3g rad at 0.25 ms", before)
	}
	// The same method on a linear plant against the matrix exponential.
	l := machine(pendulumKind, lego, true).(*Linear)
	a, b, u := l.Start(map[string]float64{"pitch": -0.1}), l.Start(map[string]float64{"pitch": -0.1}), []float64{1.5, 0.2, 0}
	newHeldStep(l).step(a, u, 0.4)
	newRungeKutta(l, len(b), 0.0001).step(b, u, 0.4)
	for i := range a {
		if math.Abs(a[i]-b[i]) > 1e-7*math.Max(1, math.Abs(a[i])) {
			t.Errorf("state %d: %.12g exact, %.12g stepped", i, a[i], b[i])
		}
	}
}

// The step that a plant is given keeps its error far below what its sensors can see.
func TestDefaultStepIsFineEnough(t *testing.T) {
	p := machine(pendulumKind, lego, false)
	most := stepShare / Linearise(p, p.Start(nil), make([]float64, 3)).fastest()
	x, y := p.Start(map[string]float64{"pitch": -0.05}), p.Start(map[string]float64{"pitch": -0.05})
	coarse, fine := newRungeKutta(p, 4, most), newRungeKutta(p, 4, most/50)
	for k := range 60 { // 0.3 s of a drive that changes at each tick, as a controller's does
		u := []float64{3 * math.Sin(float64(k)), 0, 0}
		coarse.step(x, u, 0.005)
		fine.step(y, u, 0.005)
	}
	if e := math.Abs(x[1] - y[1]); e > 1e-5 {
		t.Errorf("lean is off by %.3g rad after 0.3 s", e)
	}
}

// Without motors and friction the pendulum keeps its energy: kinetic energy of wheels and body, and the body's height.
func TestPendulumKeepsItsEnergy(t *testing.T) {
	v := Values{"body_mass": 0.6, "axle_to_centre": 0.072, "wheel_mass": 0.03, "wheel_radius": 0.04, "motor_resistance": 1, "torque_constant": 1e-7, "gravity": 9.81}
	p := machine(pendulumKind, v, false).(*Pendulum)
	energy := func(x []float64) float64 {
		cos := math.Cos(x[1])
		// From first principles: the body's centre moves with R*theta' + L*cos*lean' forward and -L*sin*lean' upward.
		vx, vz := 0.04*x[2]+0.072*cos*x[3], -0.072*math.Sin(x[1])*x[3]
		body := 0.5*0.6*(vx*vx+vz*vz) + 0.5*(0.6*0.072*0.072/3)*x[3]*x[3] + 0.6*9.81*0.072*cos
		wheels := 2 * (0.5*0.03*0.04*0.04 + 0.5*(0.03*0.04*0.04/2)) * x[2] * x[2]
		return body + wheels
	}
	x := p.Start(map[string]float64{"pitch": 0.2, "speed": 0.4})
	before := energy(x)
	newRungeKutta(p, 4, 1e-4).step(x, make([]float64, 3), 0.12)
	if math.Abs(x[1]) < 0.3 || math.Abs(energy(x)-before) > 1e-9 {
		t.Errorf("energy %.12g after %.12g, lean %.3f rad", energy(x), before, x[1])
	}
}

func TestAccelerometer(t *testing.T) {
	v := Values{"imu_height": 0.05}
	for k, x := range lego {
		v[k] = x
	}
	p := machine(pendulumKind, v, false)
	q := make([]float64, len(p.Quantities()))
	see := func(x, dx []float64) (forward, up float64) {
		p.Observe(q, x, dx, make([]float64, 3))
		return q[5], q[6]
	}
	still := make([]float64, 4)
	if f, u := see(p.Start(map[string]float64{"pitch": 0.3}), still); math.Abs(f-9.81*math.Sin(0.3)) > 1e-12 || math.Abs(u-9.81*math.Cos(0.3)) > 1e-12 {
		t.Errorf("nose up by 0.3 rad at rest: %g forward, %g up", f, u)
	}
	if f, u := see(still, []float64{0, 0, 50, 0}); f != 0.04*50 || u != 9.81 {
		t.Errorf("upright, wheels speeding up: %g forward, %g up; expected 2 and 9.81", f, u)
	}
	if f, u := see([]float64{0, 0, 0, 4}, []float64{0, 4, 0, 10}); math.Abs(f-0.05*10) > 1e-12 || math.Abs(u-(9.81-0.05*16)) > 1e-12 {
		t.Errorf("turning about the axle: %g forward, %g up; expected 0.5 and 9.01", f, u)
	}
}

func TestBodyLiesOnTheFloor(t *testing.T) {
	p := machine(pendulumKind, lego, false)
	x := p.Start(map[string]float64{"pitch": -0.5})
	r := newRungeKutta(p, 4, 1e-3)
	r.step(x, make([]float64, 3), 3)
	if floor := 70 * math.Pi / 180; x[1] != floor || x[3] != 0 {
		t.Errorf("lean %g rad, rate %g after a fall; expected it to lie at %g", x[1], x[3], floor)
	}
	before := x[0]
	r.step(x, []float64{3, 0, 0}, 0.5) // the wheels still turn
	if x[1] != 70*math.Pi/180 || x[0] <= before {
		t.Errorf("driven on the floor: lean %g, wheels from %g to %g", x[1], before, x[0])
	}
}

func TestStaticFriction(t *testing.T) {
	// 1 V gives 10 mN.m at rest; it breaks away at 20 mN.m and costs 12 while turning.
	m := machine(motorKind, Values{"inertia": 1e-4, "resistance": 2, "torque_constant": 0.02, "static_friction": 0.02, "sliding_friction": 0.012}, nil)
	x := m.Start(nil)
	r := newRungeKutta(m, len(x), 1e-3)
	r.step(x, []float64{1.9, 0}, 2)
	if x[0] != 0 || x[1] != 0 {
		t.Errorf("turned to %g rad below the static friction", x[0])
	}
	r.step(x, []float64{2.1, 0}, 20)
	if want := (0.021 - 0.012) / (0.02 * 0.02 / 2); math.Abs(x[1]-want) > 1e-6 {
		t.Errorf("turns at %g rad/s, expected %g", x[1], want)
	}
	r.step(x, []float64{1.9, 0}, 20) // moving, it goes on
	if want := (0.019 - 0.012) / (0.02 * 0.02 / 2); math.Abs(x[1]-want) > 1e-6 {
		t.Errorf("turns on at %g rad/s, expected %g", x[1], want)
	}
	r.step(x, []float64{0, 0}, 20)
	stopped := x[0]
	if x[1] != 0 {
		t.Errorf("does not stop without voltage: %g rad/s", x[1])
	}
	r.step(x, []float64{-1.9, 0}, 2)
	if x[0] != stopped {
		t.Error("creeps back below the static friction")
	}
	r.step(x, []float64{0, 0.03}, 2) // the load turns it back
	if x[0] >= stopped {
		t.Error("a load above the static friction does not turn it")
	}
}

func TestHeater(t *testing.T) {
	m := machine(heaterKind, Values{"heat_capacity": 1000, "heat_loss": 2, "ambient": 15, "dead_time": 3}, nil)
	x := m.Start(nil)
	newRungeKutta(m, 1, 1).step(x, []float64{40, 15, 1, 0}, 500)
	if want := 15 + 20*(1-math.Exp(-1)); math.Abs(x[0]-want) > 1e-9 {
		t.Errorf("%.12g degC after one time constant, expected %.12g", x[0], want)
	}
	newRungeKutta(m, 1, 1).step(x, []float64{40, 15, 4, 0}, 5000) // the door is open
	if math.Abs(x[0]-20) > 1e-9 {
		t.Errorf("%.12g degC with four times the loss, expected 20", x[0])
	}
}

// Both wheels alike drive straight, opposite ones turn on the spot; the speeds at rest follow from the back EMF.
func TestDifferentialDrive(t *testing.T) {
	l := machine(differentialKind, Values{"mass": 1, "yaw_inertia": 0.01, "track": 0.2, "wheel_radius": 0.04, "motor_resistance": 4, "torque_constant": 0.01, "gear": 30}, nil).(*Linear)
	q := make([]float64, 4)
	for _, c := range []struct{ left, right, speed, turn float64 }{
		{6, 6, 0.04 * 6 / 0.3, 0},
		{-6, 6, 0, 0.04 * 6 / 0.3 / 0.1},
		{0, 6, 0.04 * 3 / 0.3, 0.04 * 3 / 0.3 / 0.1},
	} {
		x, u := l.Start(nil), []float64{c.left, c.right, 0, 0}
		newHeldStep(l).step(x, u, 100)
		l.Observe(q, x, nil, u)
		if math.Abs(q[1]-c.speed) > 1e-9 || math.Abs(q[3]-c.turn) > 1e-9 {
			t.Errorf("%g V and %g V: %g m/s, %g rad/s; expected %g and %g", c.left, c.right, q[1], q[3], c.speed, c.turn)
		}
		if got := l.Draw(0, x, u) + l.Draw(1, x, u); math.Abs(got) > 1e-9 && c.left != 0 {
			t.Errorf("%g A are drawn at the free speed", got)
		}
	}
}
