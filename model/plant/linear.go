package plant

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Linear is dx/dt = A*x + B*u, q = Rest + C*x + D*u. It is a Model itself, stepped exactly.
type Linear struct {
	A, B, C, D *mat.Dense
	Rest       []float64 // quantities at x = 0, u = 0; nil: all 0
	In, Out    []Port
	Driven
}

func (l *Linear) order() int {
	n, _ := l.A.Dims()
	return n
}

func (l *Linear) Inputs() []Port     { return l.In }
func (l *Linear) Quantities() []Port { return l.Out }

// Settable names all quantities: Start finds the smallest state that shows them.
func (l *Linear) Settable() []string { return Names(l.Out) }

// Start returns the smallest state, by least squares, at which the named quantities have the given values.
func (l *Linear) Start(of map[string]float64) []float64 {
	n := l.order()
	x := make([]float64, n)
	if n == 0 || len(of) == 0 {
		return x
	}
	rows, want := mat.NewDense(len(of), n, nil), mat.NewVecDense(len(of), nil)
	at := 0
	for i, p := range l.Out {
		v, given := of[p.Name]
		if !given {
			continue
		}
		if l.Rest != nil {
			v -= l.Rest[i]
		}
		rows.SetRow(at, l.C.RawRowView(i))
		want.SetVec(at, v)
		at++
	}
	var svd mat.SVD
	if !svd.Factorize(rows, mat.SVDThin) {
		return x
	}
	var out mat.VecDense
	if rank := svd.Rank(1e-12); rank > 0 {
		svd.SolveVecTo(&out, want, rank)
		copy(x, out.RawVector().Data)
	}
	return x
}

func (l *Linear) Flow(dx, x, u []float64) { affine(dx, l.A, x, l.B, u) }

func (l *Linear) Observe(q, x, _, u []float64) {
	affine(q, l.C, x, l.D, u)
	for i, r := range l.Rest {
		q[i] += r
	}
}

// moved is a Driven whose state counts from another.
type moved struct {
	Driven
	from []float64
}

func (m moved) at(x []float64) []float64 {
	out := slices.Clone(m.from)
	for i := range x {
		out[i] += x[i]
	}
	return out
}

func (m moved) Draw(i int, x []float64) (idle, perVolt float64) { return m.Driven.Draw(i, m.at(x)) }
func (m moved) Hold(i int, x []float64) float64                 { return m.Driven.Hold(i, m.at(x)) }
func (m moved) Rotor(i int, x []float64) (angle, speed float64) { return m.Driven.Rotor(i, m.at(x)) }

func affine(y []float64, a *mat.Dense, x []float64, b *mat.Dense, u []float64) {
	ra, rb := a.RawMatrix(), b.RawMatrix()
	for i := range y {
		sum := 0.0
		for j := range x {
			sum += ra.Data[i*ra.Stride+j] * x[j]
		}
		for j := range u {
			sum += rb.Data[i*rb.Stride+j] * u[j]
		}
		y[i] = sum
	}
}

// Linearise returns the dynamics of m close to the state of rest x under the inputs u: its state counts from x. A Linear model is returned
// as it is; for others the derivatives are central differences, good to about nine digits for smooth dynamics. Modes are no states of it: m must
// have none.
func Linearise(m Model, x, u []float64) *Linear {
	if l, ok := m.(*Linear); ok {
		return l
	}
	l := differences(m, x, u, 1e-5)
	if d, ok := m.(Driven); ok {
		l.Driven = moved{d, slices.Clone(x)}
	}
	return l
}

// linear is a machine whose dynamics are linear, at rest at 0 and without joints: its differences over whole steps are exact.
func linear(g *drivetrain) *Linear {
	m := newMechanism(g, nil)
	l := differences(m, m.Start(nil), make([]float64, len(m.Inputs())), 1)
	l.Driven = g
	return l
}

// differences takes the derivatives of m at x and u as central differences. step is half their width, as a part of what changes or, where that is less
// than 1, of 1.
func differences(m Model, x, u []float64, step float64) *Linear {
	n, outs := len(x), len(m.Quantities())
	l := &Linear{Driven: noMotors{}, A: mat.NewDense(n, n, nil), B: mat.NewDense(n, len(u), nil), C: mat.NewDense(outs, n, nil), D: mat.NewDense(outs, len(u), nil), In: m.Inputs(), Out: m.Quantities()}
	side := func(v []float64, j int, by float64) (dx, q []float64) {
		kept := v[j]
		v[j] += by
		dx, q = make([]float64, n), make([]float64, outs)
		m.Flow(dx, x, u)
		m.Observe(q, x, dx, u)
		v[j] = kept
		return dx, q
	}
	column := func(v []float64, j int, f, g *mat.Dense) {
		h := step * math.Max(1, math.Abs(v[j]))
		dxHi, qHi := side(v, j, h)
		dxLo, qLo := side(v, j, -h)
		for i := range dxHi {
			f.Set(i, j, (dxHi[i]-dxLo[i])/(2*h))
		}
		for i := range qHi {
			g.Set(i, j, (qHi[i]-qLo[i])/(2*h))
		}
	}
	x, u = slices.Clone(x), slices.Clone(u)
	l.Rest = make([]float64, outs)
	m.Observe(l.Rest, x, make([]float64, n), u)
	for j := range x {
		column(x, j, l.A, l.C)
	}
	for j := range u {
		column(u, j, l.B, l.D)
	}
	return l
}

// Poles returns the eigenvalues of A.
func (l *Linear) Poles() []complex128 {
	if l.order() == 0 {
		return nil
	}
	var e mat.Eigen
	if !e.Factorize(l.A, mat.EigenNone) {
		return nil
	}
	return e.Values(nil)
}
