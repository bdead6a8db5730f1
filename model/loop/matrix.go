package loop

import (
	"slices"

	"gonum.org/v1/gonum/mat"
)

// matrix holds rows. Unlike those of the library it may have no rows or no columns: a controller without states is one.
type matrix [][]float64

func zeros(rows, columns int) matrix {
	m := make(matrix, rows)
	for i := range m {
		m[i] = make([]float64, columns)
	}
	return m
}

// add adds k*a*b, into rows from r and columns from c on.
func (m matrix) add(r, c int, k float64, a, b matrix) {
	for i := range a {
		for l, v := range a[i] {
			if v == 0 {
				continue
			}
			for j, w := range b[l] {
				m[r+i][c+j] += k * v * w
			}
		}
	}
}

// put copies a into rows from r and columns from c on.
func (m matrix) put(r, c int, a matrix) {
	for i := range a {
		copy(m[r+i][c:], a[i])
	}
}

// from makes a matrix of one of the library's, whose size is told because an empty one has none.
func from(a mat.Matrix, rows, columns int) matrix {
	m := zeros(rows, columns)
	for i := range m {
		for j := range m[i] {
			m[i][j] = a.At(i, j)
		}
	}
	return m
}

// dense makes one of the library's; there must be rows and columns.
func (m matrix) dense() *mat.Dense {
	d := mat.NewDense(len(m), len(m[0]), nil)
	for i, row := range m {
		d.SetRow(i, row)
	}
	return d
}

// columns takes the named columns, in this order.
func (m matrix) columns(which []int) matrix {
	out := zeros(len(m), len(which))
	for i := range m {
		for j, c := range which {
			out[i][j] = m[i][c]
		}
	}
	return out
}

// column takes one.
func (m matrix) column(which int) []float64 {
	out := make([]float64, len(m))
	for i := range m {
		out[i] = m[i][which]
	}
	return out
}

// rows takes the named rows, in this order.
func (m matrix) rows(which []int) matrix {
	var out matrix
	for _, r := range which {
		out = append(out, m[r])
	}
	return out
}

// square takes the named rows and the same columns.
func (m matrix) square(which []int) matrix { return m.rows(which).columns(which) }

// without takes a square matrix but for the named rows and columns.
func (m matrix) without(which []int) matrix {
	var left []int
	for i := range m {
		if !slices.Contains(which, i) {
			left = append(left, i)
		}
	}
	return m.square(left)
}

// dot is the product of a row and a column.
func dot(row, column []float64) (sum float64) {
	for i, v := range row {
		sum += v * column[i]
	}
	return sum
}

// eigenvalues of a square matrix.
func (m matrix) eigenvalues() []complex128 {
	if len(m) == 0 {
		return nil
	}
	var e mat.Eigen
	if !e.Factorize(m.dense(), mat.EigenNone) {
		return nil
	}
	return e.Values(nil)
}
