package plant

import "math"

// dormandPrince makes one step of the embedded pair of orders 5 and 4 with seven stages, the last of which is the first
// of the next step. Source: Dormand and Prince, A family of embedded Runge-Kutta formulae, J. Computational and Applied
// Mathematics 6, 1980; the values between (order 4) from Hairer, Norsett and Wanner, Solving Ordinary Differential Equations I, sec. II.6.
// The numbers are from memory; TestDormandPrince holds their orders.
type dormandPrince struct {
	flow func(dx, x []float64)
	k    [7][]float64
	at   []float64
	next []float64 // the end of the step tried last, whose rate is k[6]
	h    float64   // of that step
}

func newDormandPrince(flow func(dx, x []float64), n int) *dormandPrince {
	d := &dormandPrince{flow: flow, at: make([]float64, n), next: make([]float64, n)}
	for i := range d.k {
		d.k[i] = make([]float64, n)
	}
	return d
}

// try makes a step from x, whose rate is k[0].
func (d *dormandPrince) try(x []float64, h float64) {
	n := len(x)
	k1, k2, k3, k4, k5, k6, at := d.k[0][:n], d.k[1][:n], d.k[2][:n], d.k[3][:n], d.k[4][:n], d.k[5][:n], d.at[:n]
	d.h = h
	for i, v := range x {
		at[i] = v + h*(1./5*k1[i])
	}
	d.flow(k2, at)
	for i, v := range x {
		at[i] = v + h*(3./40*k1[i]+9./40*k2[i])
	}
	d.flow(k3, at)
	for i, v := range x {
		at[i] = v + h*(44./45*k1[i]-56./15*k2[i]+32./9*k3[i])
	}
	d.flow(k4, at)
	for i, v := range x {
		at[i] = v + h*(19372./6561*k1[i]-25360./2187*k2[i]+64448./6561*k3[i]-212./729*k4[i])
	}
	d.flow(k5, at)
	for i, v := range x {
		at[i] = v + h*(9017./3168*k1[i]-355./33*k2[i]+46732./5247*k3[i]+49./176*k4[i]-5103./18656*k5[i])
	}
	d.flow(k6, at)
	next := d.next[:n]
	for i, v := range x {
		next[i] = v + h*(35./384*k1[i]+500./1113*k3[i]+125./192*k4[i]-2187./6784*k5[i]+11./84*k6[i])
	}
	d.flow(d.k[6], next)
}

// failures writes the estimated error of each state in the step tried last: the difference of the two orders.
func (d *dormandPrince) failures(out []float64) {
	n := len(out)
	k1, k3, k4, k5, k6, k7, h := d.k[0][:n], d.k[2][:n], d.k[3][:n], d.k[4][:n], d.k[5][:n], d.k[6][:n], d.h
	for i := range out {
		out[i] = h * (71./57600*k1[i] - 71./16695*k3[i] + 71./1920*k4[i] - 17253./339200*k5[i] + 22./525*k6[i] - 1./40*k7[i])
	}
}

// reach is about the step times the fastest pole that it met, by how the rates at the last two states of the step differ; 0 where these
// are nearer to each other than least, beside size. Where it is beyond 3 the pole, not the error, holds the step down. Source: Hairer and Wanner, Solving Ordinary Differential Equations II, sec. IV.2 (from memory).
func (d *dormandPrince) reach(size []float64, least float64) float64 {
	rates, states := 0.0, 0.0
	for i, s := range size {
		if s > 0 {
			a, b := d.h*(d.k[6][i]-d.k[5][i])/s, (d.next[i]-d.at[i])/s
			rates, states = rates+a*a, states+b*b
		}
	}
	if math.Sqrt(states) < least {
		return 0
	}
	return math.Sqrt(rates / states)
}

// between writes the state at the part theta of the step tried last, which began at x.
func (d *dormandPrince) between(out, x []float64, theta float64) {
	k, rest := &d.k, 1-theta
	for i, v := range x {
		whole := d.next[i] - v
		bend := d.h*k[0][i] - whole
		fourth := d.h * (-12715105075./11282082432*k[0][i] + 87487479700./32700410799*k[2][i] - 10690763975./1880347072*k[3][i] +
			701980252875./199316789632*k[4][i] - 1453857185./822651844*k[5][i] + 69997945./29380423*k[6][i])
		out[i] = v + theta*(whole+rest*(bend+theta*(whole-d.h*k[6][i]-bend+rest*fourth)))
	}
}
