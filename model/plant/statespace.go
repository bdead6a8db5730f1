package plant

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"gainwright/model/fields"
	"gainwright/model/spec"
)

var transferKind = &Kind{
	Name:   "transfer_function",
	Doc:    "Transfer function in s: numerator and denominator, highest power first.",
	Source: "realised in controllable canonical form, Kailath, Linear Systems, ch. 2",
	Params: []Param{deadTime},
	More:   append([]string{"numerator: [1]", "denominator: [1, 2, 1]"}, oneOfEach...),
	Extra: func(m *fields.Map) any {
		f := fraction{named: readNamed(m, true), num: row(m, "numerator", "[1]"), den: row(m, "denominator", "[1, 2, 1]")}
		switch {
		case f.num == nil || f.den == nil:
		case f.den[0] == 0:
			m.Say(m.At("denominator"), "denominator", "leading-zero", "the denominator without the leading 0", "the highest power has the coefficient 0")
		case len(f.den) < 2:
			m.Say(m.At("denominator"), "denominator", "no-dynamics", "[10, 1] for the time constant 10 s", "a denominator without s has no dynamics")
		case len(f.num) > len(f.den):
			m.Say(m.At("numerator"), "numerator", "improper", "a numerator of at most the denominator's order", "the numerator has the order %d, the denominator %d: no machine differentiates its input", len(f.num)-1, len(f.den)-1)
		default:
			return f
		}
		f.num, f.den = []float64{1}, []float64{1, 1}
		return f
	},
	Build: func(_ Values, extra any) Model {
		f := extra.(fraction)
		return single(f.named, f.num, f.den, false)
	},
}

type fraction struct {
	named
	num, den []float64
}

var stateSpaceKind = &Kind{
	Name:   "state_space",
	Doc:    "State space by matrices: dx/dt = a*x + b*u, y = c*x + d*u.",
	Source: "common practice, no source",
	Params: []Param{deadTime},
	More: []string{"inputs: {voltage: V} and outputs: {angle: deg, speed: deg/s}, names with their units in the order of the matrices",
		"a: [[0, 1], [0, -2]], b: [[0], [3]], c: [[1, 0], [0, 1]], and where it is not 0, d"},
	Extra: func(m *fields.Map) any {
		s := matrices{named: readNamed(m, false)}
		a := table(m, "a", true)
		if a == nil {
			a = [][]float64{{-1}}
		}
		s.a = square(m, a)
		n, in, out := len(a), len(s.in), len(s.out)
		s.b = sized(m, "b", true, n, in)
		s.c = sized(m, "c", true, out, n)
		s.d = sized(m, "d", false, out, in)
		return s
	},
	Build: func(_ Values, extra any) Model {
		s := extra.(matrices)
		n, _ := s.a.Dims()
		in := len(s.in)
		l := &Linear{Driven: noMotors{}, A: s.a, B: mat.NewDense(n, 2*in, nil), C: s.c, D: mat.NewDense(len(s.out), 2*in, nil), In: append([]Port(nil), s.in...), Out: s.out}
		for j, p := range s.in {
			load := Port{Name: "load", Unit: p.Unit, Load: true, Doc: "added to " + p.Name + ", without dead time"}
			if in > 1 {
				load.Name += "_" + p.Name
			}
			l.In = append(l.In, load)
			for _, at := range []int{j, in + j} {
				for i := range n {
					l.B.Set(i, at, s.b.At(i, j))
				}
				for i := range s.out {
					l.D.Set(i, at, s.d.At(i, j))
				}
			}
		}
		return l
	},
}

type matrices struct {
	named
	a, b, c, d *mat.Dense
}

// row reads a list of plain numbers; nil after a finding.
func row(m *fields.Map, key, sample string) []float64 {
	if m.Need(key, sample) == nil {
		return nil
	}
	return numbers(m, key, spec.Value{Pos: m.At(key), Shape: spec.List, Items: m.Items(key, sample)})
}

func numbers(m *fields.Map, key string, v spec.Value) []float64 {
	if v.Shape != spec.List {
		m.Say(v.Pos, key, "wrong-shape", "[1, 0]", "expected a list of numbers, found %s", fields.Shown(v))
		return nil
	}
	if len(v.Items) == 0 || len(v.Items) > maxStates+1 {
		m.Say(v.Pos, key, "wrong-size", "[1, 0]", "expected 1 to %d numbers, found %d", maxStates+1, len(v.Items))
		return nil
	}
	out := make([]float64, len(v.Items))
	for i, item := range v.Items {
		x, ok := m.Measure(item, key, "")
		if !ok {
			return nil
		}
		if math.Abs(x) > 1e12 {
			m.Say(item.Pos, key, "out-of-range", "a number up to 1e12", "expected a number of at most 1e12, found %s", fields.Shown(item))
			return nil
		}
		out[i] = x
	}
	return out
}

// table reads a list of rows of one length; nil where it is missing or wrong.
func table(m *fields.Map, key string, needed bool) [][]float64 {
	if needed && m.Need(key, "[[0, 1], [0, -2]]") == nil || !m.Has(key) {
		return nil
	}
	var rows [][]float64
	for _, v := range m.Items(key, "[[0, 1], [0, -2]]") {
		r := numbers(m, key, v)
		if r == nil {
			return nil
		}
		if len(rows) > 0 && len(r) != len(rows[0]) {
			m.Say(v.Pos, key, "wrong-size", fmt.Sprintf("a row of %d numbers", len(rows[0])), "a row of %d numbers below one of %d", len(r), len(rows[0]))
			return nil
		}
		rows = append(rows, r)
	}
	return rows
}

func square(m *fields.Map, a [][]float64) *mat.Dense {
	if len(a) != len(a[0]) || len(a) > maxStates {
		m.Say(m.At("a"), "a", "wrong-size", "a square matrix, one row for each state", "expected a square matrix of at most %d rows, found %d by %d", maxStates, len(a), len(a[0]))
		return mat.NewDense(len(a), len(a), nil)
	}
	return dense(a, len(a), len(a))
}

// sized reads a matrix of the wanted size; zero where it is missing or wrong.
func sized(m *fields.Map, key string, needed bool, rows, columns int) *mat.Dense {
	t := table(m, key, needed)
	if t != nil && (len(t) != rows || len(t[0]) != columns) {
		m.Say(m.At(key), key, "wrong-size", fmt.Sprintf("a matrix of %d by %d", rows, columns), "expected %d rows of %d: %s; found %d of %d", rows, columns,
			"one row of a and b for each state, one row of c and d for each output, one column of b and d for each input", len(t), len(t[0]))
		t = nil
	}
	if t == nil {
		return mat.NewDense(rows, columns, nil)
	}
	return dense(t, rows, columns)
}

func dense(t [][]float64, rows, columns int) *mat.Dense {
	out := mat.NewDense(rows, columns, nil)
	for i, r := range t {
		out.SetRow(i, r)
	}
	return out
}
