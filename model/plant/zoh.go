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
	both.Slice(0, n, 0, n).(*mat.Dense).Scale(period, a)
	both.Slice(0, n, n, n+m).(*mat.Dense).Scale(period, b)
	var e mat.Dense
	e.Exp(both)
	return mat.DenseCopyOf(e.Slice(0, n, 0, n)), mat.DenseCopyOf(e.Slice(0, n, n, n+m))
}

// heldStep steps a linear model exactly. Periods are few in a run: their matrices are kept.
type heldStep struct {
	linear *Linear
	cache  map[int64][2]*mat.Dense // phi and gamma, by period in nanoseconds
	next   []float64
}

func newHeldStep(l *Linear) *heldStep {
	return &heldStep{linear: l, cache: map[int64][2]*mat.Dense{}, next: make([]float64, l.order())}
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
		m = [2]*mat.Dense{phi, gamma}
		h.cache[key] = m
	}
	affine(h.next, m[0], x, m[1], u)
	copy(x, h.next)
}
