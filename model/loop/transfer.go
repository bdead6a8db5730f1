package loop

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// transfer is -c*(z*I-a)^-1*b on the unit circle: a loop cut at one place, in the sense of negative feedback.
type transfer struct {
	a      matrix
	b, c   []float64
	period float64

	less matrix // a less the identity, its states scaled by powers of two
	rows [][]complex128
	work []complex128 // of rows
	in   []float64    // b and c in those scales
	out  []float64
}

// newTransfer takes the states that the row shows, now or later.
func newTransfer(a matrix, b, row []float64, period float64) *transfer {
	keep := reaching(a, matrix{row})
	return &transfer{a: a.square(keep), b: pick(b, keep), c: pick(row, keep), period: period}
}

// prepare balances the states. What hangs on z near 1, all that is slow, is the difference of z and a: it is taken as (z-1) and (a-1), so that no
// digit is lost however low the frequency is.
func (t *transfer) prepare() {
	n := len(t.a)
	d := balance(t.a)
	t.less = d.a
	t.in, t.out = make([]float64, n), make([]float64, n)
	t.rows, t.work = make([][]complex128, n), make([]complex128, n*(n+1))
	for i := range n {
		t.less[i][i] = t.a[i][i] - 1
		t.in[i], t.out[i] = t.b[i]/d.scale[i], t.c[i]*d.scale[i]
	}
}

// at is the transfer at w rad/s; endless exactly on a pole.
func (t *transfer) at(w float64) complex128 {
	n := len(t.a)
	if n == 0 {
		return 0
	}
	if t.less == nil {
		t.prepare()
	}
	sin, half := math.Sin(w*t.period), math.Sin(w*t.period/2)
	z1 := complex(-2*half*half, sin) // z - 1
	for i, row := range t.less {
		to := t.work[i*(n+1) : (i+1)*(n+1)]
		for j, v := range row {
			to[j] = complex(-v, 0)
		}
		to[i] += z1
		to[n] = complex(t.in[i], 0)
		t.rows[i] = to
	}
	if !eliminate(t.rows) {
		return endless
	}
	var sum complex128
	for i := n - 1; i >= 0; i-- {
		x := t.rows[i][n]
		for j := i + 1; j < n; j++ {
			if v := t.rows[i][j]; v != 0 {
				x -= v * t.rows[j][n]
			}
		}
		x /= t.rows[i][i]
		t.rows[i][n] = x
		sum -= complex(t.out[i], 0) * x
	}
	return sum
}

// eliminate makes rows upper triangular, their last column carried along. A pivot on the diagonal is kept where it is not much smaller than another:
// lines of delay, which are most of a slow plant, then stay as sparse as they are.
func eliminate(rows [][]complex128) bool {
	size := func(v complex128) float64 { return math.Abs(real(v)) + math.Abs(imag(v)) }
	n := len(rows)
	for k := range n {
		best, most := k, size(rows[k][k])
		for i, at := k+1, 10*most; i < n; i++ {
			if s := size(rows[i][k]); s > at {
				best, at, most = i, s, s
			}
		}
		if most == 0 {
			return false
		}
		rows[k], rows[best] = rows[best], rows[k]
		from := rows[k]
		for i := k + 1; i < n; i++ {
			to := rows[i]
			if to[k] == 0 {
				continue
			}
			f := to[k] / from[k]
			for j := k + 1; j <= n; j++ {
				if from[j] != 0 {
					to[j] -= f * from[j]
				}
			}
		}
	}
	return true
}

// closed are the poles with the loop closed by a gain of that factor.
func (t *transfer) closed(factor float64) matrix {
	n := len(t.a)
	a := zeros(n, n)
	for i := range a {
		for j := range a[i] {
			a[i][j] = t.a[i][j] + factor*t.b[i]*t.c[j]
		}
	}
	return a
}

// empty tells whether nothing comes around.
func (t *transfer) empty() bool {
	return !slices.ContainsFunc(t.b, func(v float64) bool { return v != 0 })
}

// corners are the poles and the zeros, in z.
func (t *transfer) corners() []complex128 {
	n := len(t.a)
	out := t.a.eigenvalues()
	if n == 0 {
		return out
	}
	// A zero is a z at which [a-z*I b; c 0] is singular: z = shift + 1/m, m an eigenvalue of [a-shift*I b; c 0]^-1 * [I 0; 0 0].
	const shift = 1.37
	m, first := mat.NewDense(n+1, n+1, nil), mat.NewDense(n+1, n+1, nil)
	for i := range n {
		for j := range n {
			m.Set(i, j, t.a[i][j])
		}
		m.Set(i, i, t.a[i][i]-shift)
		m.Set(i, n, t.b[i])
		m.Set(n, i, t.c[i])
		first.Set(i, i, 1)
	}
	var x mat.Dense
	if err := x.Solve(m, first); err != nil {
		if _, near := err.(mat.Condition); !near {
			return out
		}
	}
	for _, e := range from(&x, n+1, n+1).eigenvalues() {
		if cmplx.Abs(e) > 1e-6 {
			out = append(out, shift+1/e)
		}
	}
	return out
}
