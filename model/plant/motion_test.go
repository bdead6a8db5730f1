package plant

import (
	"math"
	"slices"
	"testing"
)

// move takes a model under inputs that stand still through some time, by one solver after the other where the state is handed on.
func move(m Model, x, u []float64, seconds float64) *solver {
	w := &powered{model: m, states: len(x), base: u, u: slices.Clone(u)}
	if s, ok := m.(Switching); ok {
		w.switching, w.modes, w.guards = s, s.Modes(), s.Modes()
	}
	s := newSolver(w, stepTolerance, math.Inf(1))
	s.begin(x)
	s.run(x, seconds, seconds, func([]float64, float64, float64) {})
	return s
}

// The pair of orders 5 and 4 on the falling pendulum: the error over 0.4 s falls by 32 and more with each half of the step, that of the values between by 16 and more,
// and the estimate of one step's error by 32.
func TestDormandPrince(t *testing.T) {
	p := newMechanism(newPendulum(machineValues(pendulumKind, yamamoto), false), nil)
	u := []float64{1.5, 0.2, 0}
	flow := func(dx, x []float64) { p.Flow(dx, x, u) }
	run := func(steps int) (end, between, estimate float64) {
		d, x, h := newDormandPrince(flow, 4), p.Start(map[string]float64{"pitch": -0.1}), 0.4/float64(steps)
		mid := make([]float64, 4)
		for k := range steps {
			flow(d.k[0], x)
			d.try(x, h)
			if k == 0 {
				d.failures(mid)
				estimate = math.Abs(mid[1])
			}
			if k == steps/2 {
				d.between(mid, x, 0.5)
				between = mid[1]
			}
			copy(x, d.next)
		}
		return x[1], between, estimate
	}
	best, _, _ := run(12801)
	var before, estimated float64
	for _, n := range []int{201, 401, 801} {
		end, _, estimate := run(n)
		e := math.Abs(end - best)
		if before > 0 && (before/e < 28 || estimated/estimate < 28 || estimated/estimate > 36) {
			t.Errorf("%d steps: error %.3g after %.3g, a factor of %.1f; estimates %.3g after %.3g; expected 32 or more, and 32", n, e, before, before/e, estimate, estimated)
		}
		before, estimated = e, estimate
	}
	_, middle, _ := run(12801) // each at half its middle step: at 0.2 s
	var wide float64
	for _, n := range []int{101, 201} {
		_, v, _ := run(n)
		if e := math.Abs(v - middle); wide > 0 && wide/e < 15 {
			t.Errorf("between steps: error %.3g after %.3g", e, wide)
		} else {
			wide = e
		}
	}
}

// Steps of any length on linear dynamics by the exponential method, against the matrix exponential.
func TestExponentialStepIsExact(t *testing.T) {
	l := machine(motorKind, Values{"inertia": 3.2284e-6, "viscous_friction": 3.5077e-6, "torque_constant": 0.0274, "resistance": 4, "inductance": 2.75e-6}, nil).(*Linear)
	x, y, u := []float64{0, 3, 0.1}, []float64{0, 3, 0.1}, []float64{6, 0.001}
	e := newExponential(func(dx, x []float64) { l.Flow(dx, x, u) }, 3)
	e.try(x, 0.02, []float64{10, 200, 1}, func(int) bool { return false })
	newHeldStep(l).step(y, u, 0.02)
	off := make([]float64, 3)
	e.failures(off)
	for i := range y {
		if math.Abs(e.next[i]-y[i]) > 1e-9*math.Abs(y[i]) || math.Abs(off[i]) > 1e-9*math.Abs(y[i]) {
			t.Errorf("state %d: %.12g after 30000 time constants, expected %.12g; error said to be %.2g", i, e.next[i], y[i], off[i])
		}
	}
}

// Without motors and friction the pendulum keeps its energy: kinetic energy of wheels and body, and the body's height.
func TestPendulumKeepsItsEnergy(t *testing.T) {
	v := Values{"body_mass": 0.6, "axle_to_centre": 0.072, "wheel_mass": 0.03, "wheel_radius": 0.04, "motor_resistance": 1, "torque_constant": 1e-7, "gravity": 9.81}
	p := machine(pendulumKind, v, false)
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
	move(p, x, make([]float64, 3), 0.12)
	if math.Abs(x[1]) < 0.3 || math.Abs(energy(x)-before) > 1e-7 {
		t.Errorf("energy %.12g after %.12g, lean %.3f rad", energy(x), before, x[1])
	}
}

func TestAccelerometer(t *testing.T) {
	v := Values{"imu_height": 0.05}
	for k, x := range yamamoto {
		v[k] = x
	}
	p := machine(pendulumKind, v, false)
	q := make([]float64, len(p.Quantities()))
	see := func(x, dx []float64) (forward, up float64) {
		p.Observe(q, x, dx, make([]float64, 3))
		return q[5], q[6]
	}
	still := make([]float64, 5)
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
	p := machine(pendulumKind, yamamoto, false)
	x := p.Start(map[string]float64{"pitch": -0.5})
	move(p, x, make([]float64, 3), 3)
	if floor := 70 * math.Pi / 180; x[1] != floor || x[3] != 0 {
		t.Errorf("lean %g rad, rate %g after a fall; expected it to lie at %g", x[1], x[3], floor)
	}
	before := x[0]
	move(p, x, []float64{3, 0, 0}, 0.5) // the wheels still turn
	if x[1] != 70*math.Pi/180 || x[0] <= before {
		t.Errorf("driven on the floor: lean %g, wheels from %g to %g", x[1], before, x[0])
	}
}

func TestStaticFriction(t *testing.T) {
	// 1 V gives 10 mN.m at rest; it breaks away at 20 mN.m and costs 12 while turning.
	m := machine(motorKind, Values{"inertia": 1e-4, "resistance": 2, "torque_constant": 0.02, "static_friction": 0.02, "sliding_friction": 0.012}, nil)
	x := m.Start(nil)
	move(m, x, []float64{1.9, 0}, 2)
	if x[0] != 0 || x[1] != 0 {
		t.Errorf("turned to %g rad below the static friction", x[0])
	}
	move(m, x, []float64{2.1, 0}, 20)
	if want := (0.021 - 0.012) / (0.02 * 0.02 / 2); math.Abs(x[1]-want) > 1e-6 {
		t.Errorf("turns at %g rad/s, expected %g", x[1], want)
	}
	move(m, x, []float64{1.9, 0}, 20) // moving, it goes on
	if want := (0.019 - 0.012) / (0.02 * 0.02 / 2); math.Abs(x[1]-want) > 1e-6 {
		t.Errorf("turns on at %g rad/s, expected %g", x[1], want)
	}
	move(m, x, []float64{0, 0}, 20)
	stopped := x[0]
	if x[1] != 0 {
		t.Errorf("does not stop without voltage: %g rad/s", x[1])
	}
	move(m, x, []float64{-1.9, 0}, 2)
	if x[0] != stopped {
		t.Error("creeps back below the static friction")
	}
	move(m, x, []float64{0, 0.03}, 2) // the load turns it back
	if x[0] >= stopped {
		t.Error("a load above the static friction does not turn it")
	}
}

func TestHeater(t *testing.T) {
	m := machine(heaterKind, Values{"heat_capacity": 1000, "heat_loss": 2, "ambient": 15, "dead_time": 3}, nil)
	x := m.Start(nil)
	for range 500 {
		move(m, x, []float64{40, 15, 1, 0}, 1)
	}
	if want := 15 + 20*(1-math.Exp(-1)); math.Abs(x[0]-want) > 1e-9 {
		t.Errorf("%.12g degC after one time constant, expected %.12g", x[0], want)
	}
	for range 5000 {
		move(m, x, []float64{40, 15, 4, 0}, 1) // the door is open
	}
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
		left, perLeft := l.Draw(0, x)
		right, perRight := l.Draw(1, x)
		if got := left + perLeft*u[0] + right + perRight*u[1]; math.Abs(got) > 1e-9 && c.left != 0 {
			t.Errorf("%g A are drawn at the free speed", got)
		}
	}
}
