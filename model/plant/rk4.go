package plant

// rungeKutta is the classical fourth-order method with a fixed step (Kutta 1901; Butcher, Numerical
// Methods for Ordinary Differential Equations, method with the tableau 1/6, 1/3, 1/3, 1/6). Inputs are
// constant over a step, as they are between two writes of a controller. The error over a given
// time falls with the fourth power of the step for smooth dynamics (rk4_test.go); where friction stops
// something, or a stop is hit, the moment is known only to the step, and the order is one.
type rungeKutta struct {
	model          Model
	most           float64 // longest step in seconds
	k1, k2, k3, k4 []float64
	at             []float64
}

func newRungeKutta(m Model, states int, most float64) *rungeKutta {
	all := make([]float64, 5*states)
	cut := func(i int) []float64 { return all[i*states : (i+1)*states : (i+1)*states] }
	return &rungeKutta{model: m, most: most, k1: cut(0), k2: cut(1), k3: cut(2), k4: cut(3), at: cut(4)}
}

func (r *rungeKutta) step(x, u []float64, seconds float64) {
	n := 1
	for float64(n)*r.most < seconds*(1-1e-9) {
		n++
	}
	h := seconds / float64(n)
	for range n {
		r.model.Flow(r.k1, x, u)
		for i := range x {
			r.at[i] = x[i] + h/2*r.k1[i]
		}
		r.model.Flow(r.k2, r.at, u)
		for i := range x {
			r.at[i] = x[i] + h/2*r.k2[i]
		}
		r.model.Flow(r.k3, r.at, u)
		for i := range x {
			r.at[i] = x[i] + h*r.k3[i]
		}
		r.model.Flow(r.k4, r.at, u)
		for i := range x {
			x[i] += h / 6 * (r.k1[i] + 2*r.k2[i] + 2*r.k3[i] + r.k4[i])
		}
		r.model.Settle(x, u)
	}
}
