package plant

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// exponential makes one step that takes the dynamics as linear about where it begins: exact where they are linear, however fast their
// poles. Two half steps are made, and the difference to the whole one tells the error. Source: exponential Rosenbrock-Euler
// method, Hochbruck and Ostermann, Exponential integrators, Acta Numerica 2010 (from memory); matrices as in Discretise.
type exponential struct {
	flow   func(dx, x []float64)
	halves [2]tangent
	next   []float64
	whole  []float64
	h      float64
}

// tangent is the dynamics as they are linear about a state.
type tangent struct {
	x, f  []float64
	slope *mat.Dense
}

func newExponential(flow func(dx, x []float64), n int) *exponential {
	e := &exponential{flow: flow, next: make([]float64, n), whole: make([]float64, n)}
	for i := range e.halves {
		e.halves[i] = tangent{make([]float64, n), make([]float64, n), mat.NewDense(n, n, nil)}
	}
	return e
}

// about takes the tangent at x. size is how large each entry of the state gets; entries that are modes are left as they are.
func (t *tangent) about(flow func(dx, x []float64), x, size []float64, isMode func(i int) bool) {
	n := len(x)
	copy(t.x, x)
	flow(t.f, x)
	at, hi, lo := make([]float64, n), make([]float64, n), make([]float64, n)
	copy(at, x)
	for j := range n {
		if isMode(j) {
			continue
		}
		by := max(1e-3*size[j], 1e-4)
		at[j] = x[j] + by
		flow(hi, at)
		at[j] = x[j] - by
		flow(lo, at)
		at[j] = x[j]
		for i := range n {
			t.slope.Set(i, j, (hi[i]-lo[i])/(2*by))
		}
	}
}

// after writes the state a time after that of the tangent, and where twice is given that after twice the time.
func (t *tangent) after(out []float64, seconds float64, twice []float64) {
	n := len(t.x)
	one := mat.NewDense(n, n, nil)
	for i := range n {
		one.Set(i, i, 1)
	}
	phi, gamma := Discretise(t.slope, one, seconds)
	moved := mat.NewVecDense(n, nil)
	moved.MulVec(gamma, mat.NewVecDense(n, t.f))
	for i := range n {
		out[i] = t.x[i] + moved.AtVec(i)
	}
	if twice != nil {
		var more mat.VecDense
		more.MulVec(phi, moved)
		for i := range n {
			twice[i] = out[i] + more.AtVec(i)
		}
	}
}

func (e *exponential) try(x []float64, h float64, size []float64, isMode func(i int) bool) {
	e.h = h
	e.halves[0].about(e.flow, x, size, isMode)
	middle := make([]float64, len(x))
	e.halves[0].after(middle, h/2, e.whole)
	e.halves[1].about(e.flow, middle, size, isMode)
	e.halves[1].after(e.next, h/2, nil)
}

func (e *exponential) failures(out []float64) {
	for i := range out {
		out[i] = e.next[i] - e.whole[i]
	}
}

// norm is the largest row sum of the tangent, in 1/s: no pole is larger.
func (e *exponential) norm() float64 { return mat.Norm(e.halves[0].slope, math.Inf(1)) }

// between writes the state at the part theta of the step tried last.
func (e *exponential) between(out []float64, theta float64) {
	if theta == 0.5 {
		copy(out, e.halves[1].x)
		return
	}
	if theta < 0.5 {
		e.halves[0].after(out, theta*e.h, nil)
		return
	}
	e.halves[1].after(out, (theta-0.5)*e.h, nil)
}
