package plant

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Discretise returns the matrices of x(k+1) = phi*x(k) + gamma*u(k) for dx/dt = a*x + b*u with u held
// over each period: exp([a b; 0 0]*period) = [phi gamma; 0 1], exact but for the rounding of float64.
// Source: Van Loan, Computing integrals involving the matrix exponential, IEEE Trans. Automatic Control 23, 1978.
func Discretise(a, b mat.Matrix, period float64) (phi, gamma *mat.Dense) {
	n, _ := a.Dims()
	_, m := b.Dims()
	if n == 0 {
		return &mat.Dense{}, &mat.Dense{}
	}
	both := mat.NewDense(n+m, n+m, nil)
	for i := range n {
		for j := range n {
			both.Set(i, j, a.At(i, j)*period)
		}
		for j := range m {
			both.Set(i, n+j, b.At(i, j)*period)
		}
	}
	var e mat.Dense
	e.Exp(both)
	phi, gamma = mat.NewDense(n, n, nil), mat.NewDense(n, m, nil)
	phi.Copy(e.Slice(0, n, 0, n))
	gamma.Copy(e.Slice(0, n, n, n+m))
	return phi, gamma
}

// heldStep steps a linear model exactly. Periods are few in a run: their matrices are kept.
type heldStep struct {
	linear *Linear
	cache  map[int64]heldMatrices // by period in nanoseconds
	next   []float64
}

type heldMatrices struct {
	phi, gamma *mat.Dense
}

func newHeldStep(l *Linear) *heldStep {
	return &heldStep{linear: l, cache: map[int64]heldMatrices{}, next: make([]float64, l.order())}
}

const maxHeld = 4096 // periods kept: jitter makes many

func (h *heldStep) step(x, u []float64, seconds float64) {
	if len(x) == 0 {
		return
	}
	key := int64(math.Round(seconds * 1e9))
	m, ok := h.cache[key]
	if !ok {
		if len(h.cache) >= maxHeld {
			clear(h.cache)
		}
		phi, gamma := Discretise(h.linear.A, h.linear.B, float64(key)*1e-9)
		m = heldMatrices{phi, gamma}
		h.cache[key] = m
	}
	affine(h.next, m.phi, x, m.gamma, u)
	copy(x, h.next)
}
