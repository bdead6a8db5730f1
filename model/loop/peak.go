package loop

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/floats"
)

// slack is the relative error allowed for each entry of a matrix and each step of a recursion in float64, products and sums of up to
// mostOrder terms included: generous, and without any weight beside a bound.
const slack = 0x1p-42

// decay is what is proven about the powers of a matrix: sum is at least the sum of the norms of all of them, in the units of scale.
type decay struct {
	a     matrix // balanced: scale^-1 * a * scale
	scale []float64
	sum   float64
	taps  int
	some  [][]entryAt // entries of a that are not 0, row by row: lines of delay have one each
}

// entryAt is an entry of a row.
type entryAt struct {
	column int
	value  float64
}

// sparse lists the entries of a matrix that are not 0, row by row, and counts them.
func sparse(a matrix) (some [][]entryAt, filled int) {
	some = make([][]entryAt, len(a))
	for i, row := range a {
		for j, v := range row {
			if v != 0 {
				some[i] = append(some[i], entryAt{j, v})
			}
		}
		filled += len(some[i])
	}
	return some, filled
}

// decays proves that the powers of a die out, or says that it cannot.
//
// The powers P(k) are computed in float64; what each step misses, R = A*P(k) - P(k+1), is at most slack*|A|*|P(k)|. The true power is
// P(k) plus the sum of A^(k-1-j)*R(j), so that the sum a of the first m norms is at most p/(1-r), p and r the sums of the norms of P and R. Where the m-th
// power has a norm below 1, the sum of all is at most a/(1-|A^m|). That proves stability without eigenvalues. The norm is the largest sum of a row.
func decays(a matrix) (*decay, error) {
	d := balance(a)
	n := len(a)
	if n == 0 {
		return d, nil
	}
	size := norm(d.a)
	power, next := zeros(n, n), zeros(n, n)
	for i := range n {
		power[i][i] = 1
	}
	some, filled := sparse(d.a)
	d.some = some
	most := min(1<<17, int(3e9/float64(filled*n+1)))
	p, r := 0.0, 0.0
	for k := 1; k <= most; k++ {
		now := norm(power)
		p += now
		r += slack * size * now
		for i := range next {
			clear(next[i])
		}
		next.add(0, 0, 1, d.a, power)
		power, next = next, power
		if last := norm(power); last < 0.25 && r < 0.5 {
			sum := p / (1 - r)
			if end := last + sum*r; end < 0.5 {
				d.sum, d.taps = sum/(1-end)*(1+slack), k
				return d, nil
			}
		} else if !(last < 1e15) || r >= 0.5 {
			break
		}
	}
	if radius(a) < lost {
		return nil, fmt.Errorf("the loop of %d states decays too slowly for a proof in the steps allowed", n)
	}
	return nil, fmt.Errorf("what rounding does adds up without end: the loop has a pole on or outside the unit circle, or too close to it, that the roundings reach")
}

// radius is the size of the largest eigenvalue.
func radius(a matrix) float64 {
	most := 0.0
	for _, p := range a.eigenvalues() {
		most = math.Max(most, cmplx.Abs(p))
	}
	return most
}

// balance scales the states by powers of two, exactly, so that rows and columns are about as large.
func balance(a matrix) *decay {
	n := len(a)
	d := &decay{a: zeros(n, n), scale: make([]float64, n)}
	for i := range n {
		copy(d.a[i], a[i])
		d.scale[i] = 1
	}
	for range 20 {
		for i := range n {
			row, col := 0.0, 0.0
			for j := range n {
				if j != i {
					row += math.Abs(d.a[i][j])
					col += math.Abs(d.a[j][i])
				}
			}
			if row == 0 || col == 0 {
				continue
			}
			f := math.Exp2(math.Round(math.Log2(row/col) / 2)) // the state counts in units of f
			d.scale[i] *= f
			for j := range n {
				d.a[i][j] /= f
				d.a[j][i] *= f
			}
		}
	}
	return d
}

func norm(a matrix) float64 {
	most := 0.0
	for _, row := range a {
		sum := 0.0
		for _, v := range row {
			sum += math.Abs(v)
		}
		most = math.Max(most, sum)
	}
	return most * (1 + slack)
}

// peaks follows an impulse that enters at b to each row of c: upper bounds of the sum of sizes of the response, from the tick after
// the impulse on, and of its largest size with the tick 0 of the row itself included.
func (d *decay) peaks(b []float64, c matrix) (sums, highest []float64) {
	n := len(d.a)
	sums, highest = make([]float64, len(c)), make([]float64, len(c))
	if n == 0 {
		return sums, highest
	}
	v, next := make([]float64, n), make([]float64, n)
	rows := zeros(len(c), n)
	weight := make([]float64, len(c)) // norm of each row
	for i := range n {
		v[i] = b[i] / d.scale[i]
		for k := range c {
			rows[k][i] = c[k][i] * d.scale[i]
			weight[k] += math.Abs(rows[k][i])
		}
	}
	missed := 0.0
	biggest := func(x []float64) float64 { return floats.Norm(x, math.Inf(1)) }
	size := norm(d.a)
	first := biggest(v)
	for k := 0; k < 64*d.taps+64; k++ {
		for i, row := range rows {
			s, t := 0.0, 0.0
			for j, x := range v {
				s += row[j] * x
				t += math.Abs(row[j] * x)
			}
			s = math.Abs(s) + slack*t
			sums[i] += s
			highest[i] = math.Max(highest[i], s)
		}
		now := biggest(v)
		missed += slack * size * now
		for i, row := range d.some {
			s := 0.0
			for _, e := range row {
				s += e.value * v[e.column]
			}
			next[i] = s
		}
		v, next = next, v
		if now < 1e-13*first {
			break
		}
	}
	missed += biggest(v)
	for i := range sums {
		rest := weight[i] * d.sum * missed
		sums[i] = (sums[i] + rest) * (1 + slack)
		highest[i] += rest
	}
	return sums, highest
}
