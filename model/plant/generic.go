package plant

import (
	"cmp"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"

	"gainwright/model/fields"
)

// named holds the author's names for the inputs and outputs of a plant that is known only by its equations.
type named struct{ in, out []Port }

func (n named) ports() named { return n }

func readNamed(m *fields.Map, single bool) named {
	return named{ports(m, "inputs", "{voltage: V}", single), ports(m, "outputs", "{speed: rad/s}", single)}
}

// oneOfEach is how the keys that oneEach reads are written.
var oneOfEach = []string{"inputs: {voltage: V} and outputs: {speed: rad/s}, one name with its unit each"}

func oneEach(m *fields.Map) any { return readNamed(m, true) }

// gainUnit is the unit of the output over that of the input.
func gainUnit(extra any) string {
	n := extra.(interface{ ports() named }).ports()
	out, in := n.out[0].Unit, n.in[0].Unit
	if out == in {
		return ""
	}
	over, under, _ := strings.Cut(out, "/")
	inOver, inUnder, _ := strings.Cut(in, "/")
	over = product(over, strings.ReplaceAll(inUnder, "/", "."))
	under = product(strings.ReplaceAll(under, "/", "."), inOver)
	over = cmp.Or(over, "1")
	if under == "" {
		return over
	}
	return over + "/" + under
}

func product(a, b string) string {
	switch {
	case a == "" || a == "1":
		return strings.TrimPrefix(b, "1")
	case b == "" || b == "1":
		return a
	}
	return a + "." + b
}

func gainUnitPerSecond2(extra any) string {
	return cmp.Or(gainUnit(extra), "1") + "/s^2"
}

var deadTime = Param{Key: "dead_time", Unit: "s", Doc: "from a change at the input until it is felt", Low: 0, High: 1e6, Default: constant(0)}

var firstOrderKind = &Kind{
	Name:   "first_order",
	Doc:    "First order with dead time: output follows gain * input with one time constant.",
	Source: "common practice, no source",
	Params: []Param{
		{Key: "gain", Sample: "2", Doc: "output per input at rest", Low: -1e12, High: 1e12, OwnUnits: gainUnit},
		{Key: "time_constant", Unit: "s", Sample: "10 s", Doc: "time to 63 % of a change", Low: 1e-9, High: 1e9},
		deadTime,
	},
	More:  oneOfEach,
	Extra: oneEach,
	Build: func(v Values, extra any) Model {
		return single(extra.(named), []float64{v["gain"]}, []float64{v["time_constant"], 1}, false)
	},
}

var doubleIntegratorKind = &Kind{
	Name:   "double_integrator",
	Doc:    "Double integrator: a mass that a force accelerates, without friction.",
	Source: "common practice, no source",
	Params: []Param{{Key: "gain", Sample: "1", Doc: "acceleration per input", Low: -1e12, High: 1e12, OwnUnits: gainUnitPerSecond2}, deadTime},
	More:   oneOfEach,
	Extra:  oneEach,
	Build: func(v Values, extra any) Model {
		return single(extra.(named), []float64{v["gain"]}, []float64{1, 0, 0}, true)
	},
}

var resonanceKind = &Kind{
	Name:   "resonance",
	Doc:    "Second-order resonance: a springy mass with a natural frequency and a damping.",
	Source: "common practice, no source",
	Params: []Param{
		{Key: "gain", Sample: "1", Doc: "output per input at rest", Low: -1e12, High: 1e12, OwnUnits: gainUnit},
		{Key: "frequency", Unit: "Hz", Sample: "12 Hz", Doc: "natural frequency, undamped", Low: 1e-9, High: 1e9},
		{Key: "damping", Sample: "0.05", Doc: "damping ratio: 1 is critical", Low: 0, High: 1e3},
		deadTime,
	},
	More:  oneOfEach,
	Extra: oneEach,
	Build: func(v Values, extra any) Model {
		w := 2 * math.Pi * v["frequency"]
		return single(extra.(named), []float64{v["gain"] * w * w}, []float64{1, 2 * v["damping"] * w, w * w}, true)
	},
}

// single makes a plant of one transfer function, with a load that adds to the input. Where rate is set the
// output's rate, which must be the next state, is a quantity too.
func single(n named, num, den []float64, rate bool) *Linear {
	a, b, c, d := canonical(num, den)
	order, _ := a.Dims()
	l := &Linear{Driven: noMotors{}, A: a, B: mat.NewDense(max(order, 1), 2, nil), C: mat.NewDense(1, max(order, 1), nil), D: mat.NewDense(1, 2, []float64{d, d}),
		In: []Port{n.in[0], {Name: "load", Unit: n.in[0].Unit, Load: true, Doc: "added to the input, without dead time"}}, Out: []Port{n.out[0]}}
	for i := range order {
		l.B.Set(i, 0, b[i])
		l.B.Set(i, 1, b[i])
		l.C.Set(0, i, c[i])
	}
	if rate {
		out := mat.NewDense(2, order, nil)
		out.SetRow(0, l.C.RawRowView(0))
		out.Set(1, 1, c[0])
		l.C, l.D = out, mat.NewDense(2, 2, nil)
		l.Out = append(l.Out, Port{Name: n.out[0].Name + "_rate", Unit: cmp.Or(n.out[0].Unit, "1") + "/s", Doc: "rate of " + n.out[0].Name})
	}
	return l
}

// canonical realises num(s)/den(s), highest powers first, in controllable canonical form: states are the
// integral chain, so that for a constant numerator state 0 is the output over c[0] and state 1 its rate.
// Source: Kailath, Linear Systems, ch. 2. The order must be 1 or more and that of num at most that of den.
func canonical(num, den []float64) (a *mat.Dense, b, c []float64, d float64) {
	n := len(den) - 1
	lead := den[0]
	full := make([]float64, n+1)
	copy(full[n+1-len(num):], num)
	d = full[0] / lead
	a, b, c = mat.NewDense(n, n, nil), make([]float64, n), make([]float64, n)
	for i := range n {
		if i+1 < n {
			a.Set(i, i+1, 1)
		}
		a.Set(n-1, i, -den[n-i]/lead)
		c[i] = full[n-i]/lead - d*den[n-i]/lead
	}
	b[n-1] = 1
	return a, b, c, d
}
