package steps_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/spec"
	"gainwright/model/steps"
)

// controller is the text of a small spec: int16 inputs a and b in m at 100 counts per unit, switches on and back,
// whatever steps are given, and an output o from the last of them, y.
func controller(rate, steps string) string { return controllerOf(rate, "m", "100", "", steps) }

func controllerOf(rate, unit, counts, output, steps string) string {
	return fmt.Sprintf(`controller: c
rate: %s
target: portable
inputs:
  a: {raw: int16, unit: %s, counts_per_unit: %s}
  b: {raw: int16, unit: %s, counts_per_unit: %s}
  w: {raw: int16, unit: %s/s, counts_per_unit: %s}
  on: {raw: bool}
  back: {raw: bool}
steps:
%s
outputs:
  o: {from: y, raw: int32, unit: %s%s}
`, rate, unit, counts, unit, counts, unit, counts, steps, unit, output)
}

// lower reads a spec into its real program, with the constants as they are asked.
func lower(t *testing.T, text string) *program.Real {
	t.Helper()
	s, found := spec.Read("spec.yaml", []byte(text))
	if !found.Failed() {
		p, more := steps.Lower(s)
		if found = append(found, more...); !found.Failed() {
			return p
		}
	}
	t.Fatalf("%v\n%s", found, text)
	return nil
}

// in is what one tick is fed with, by name; what is left out is 0.
type in map[string]float64

// reference runs a real program.
type reference struct {
	*program.RealMachine
	p     *program.Real
	coefs []float64
	names map[string]program.ID
}

func newReference(p *program.Real) *reference {
	r := &reference{RealMachine: program.NewRealMachine(p), p: p, names: signalNames(p.View())}
	for _, c := range p.Coefs {
		f, _ := new(big.Rat).Mul(p.Gains[c.Gain].Value, c.Factor).Float64()
		r.coefs = append(r.coefs, f)
	}
	return r
}

func signalNames(p program.View) map[string]program.ID {
	out := map[string]program.ID{}
	for _, s := range p.Sections {
		for _, sig := range s.Signals {
			out[sig.Name] = sig.Value
		}
	}
	return out
}

// tick feeds values in units and returns y.
func (r *reference) tick(now in) float64 {
	x := make([]float64, len(r.p.Inputs))
	for i, info := range r.p.Inputs {
		x[i] = now[info.Name]
	}
	r.Tick(x, r.coefs, nil)
	return r.get("y")
}

func (r *reference) get(name string) float64 {
	id, ok := r.names[name]
	if !ok {
		panic("no signal " + name)
	}
	return r.Values[id]
}

// twin runs the integer program, and beside it the stored real one fed with its signals.
type twin struct {
	*testing.T
	unit  *model.Unit
	whole *program.FixedMachine
	real  *program.RealMachine
	names map[string]program.ID
	ticks int
	worst map[string]float64 // share of its bound that a signal's rounding reached
}

func newTwin(t *testing.T, text string) *twin {
	t.Helper()
	u := model.Compile("spec.yaml", []byte(text))
	if !u.OK() {
		t.Fatalf("%v\n%s", u.Findings, text)
	}
	return &twin{T: t, unit: u, whole: program.NewFixedMachine(u.Integer), real: program.NewRealMachine(u.Stored), names: signalNames(u.Integer.View()), worst: map[string]float64{}}
}

// tick feeds values in units, cut to raw counts, and returns y in units; every signal is held to its bound.
func (w *twin) tick(now in) float64 {
	w.Helper()
	raw := make([]int64, len(w.unit.Integer.Inputs))
	units := make([]float64, len(raw))
	for i, info := range w.unit.Integer.Inputs {
		lsb, _ := info.LSB.Float64()
		lo, hi := info.Type.Range()
		raw[i] = min(max(int64(math.Round(now[info.Name]/lsb)), lo), hi)
		units[i] = float64(raw[i]) * lsb
	}
	counts := make([]int64, len(w.unit.Integer.Coefs))
	coefs := make([]float64, len(counts))
	for i, c := range w.unit.Integer.Coefs {
		counts[i] = c.Setter.Apply(c.Setter.XStart)
		lsb, _ := c.LSB.Float64()
		coefs[i] = float64(counts[i]) * lsb
	}
	w.whole.Tick(raw, counts)
	fed := make([]float64, len(w.unit.Stored.Ops))
	for s, sec := range w.unit.Integer.Sections {
		for j, sig := range sec.Signals {
			fed[w.unit.Stored.Sections[s].Signals[j].Value] = w.value(sig.Value)
		}
	}
	w.real.Tick(units, coefs, fed)
	w.compare()
	w.ticks++
	return w.get("y")
}

func (w *twin) compare() {
	w.Helper()
	for _, b := range w.unit.Bounds {
		sig := w.unit.Integer.Sections[b.Section].Signals[b.Signal]
		d := w.value(sig.Value) - w.real.Values[w.unit.Stored.Sections[b.Section].Signals[b.Signal].Value]
		if sig.Angular != nil {
			turn, _ := sig.Angular.Float64()
			d -= turn * math.Round(d/turn)
		}
		most, _ := b.Local.Float64()
		if most > 0 {
			w.worst[sig.Name] = max(w.worst[sig.Name], math.Abs(d)/most)
		}
		if math.Abs(d) > most+1e-9 {
			w.Fatalf("tick %d: %s is %v off, the bound is %v", w.ticks, sig.Name, d, most)
		}
	}
}

func (w *twin) value(id program.ID) float64 {
	lsb, _ := w.unit.Integer.Ops[id].LSB.Float64()
	return float64(w.whole.Values[id]) * lsb
}

func (w *twin) get(name string) float64 {
	id, ok := w.names[name]
	if !ok {
		panic("no signal " + name)
	}
	return w.value(id)
}

// hammer feeds ends, random values and long runs of one value.
func (w *twin) hammer(ticks int) {
	w.Helper()
	r := rand.New(rand.NewPCG(1, 1))
	now := in{}
	for range ticks {
		if r.IntN(8) == 0 {
			for _, name := range []string{"a", "b", "w"} {
				now[name] = []float64{-1e9, 1e9, 0, 200 * r.NormFloat64(), 3 * r.NormFloat64()}[r.IntN(5)]
			}
			now["on"], now["back"] = float64(r.IntN(2)), float64(r.IntN(8)/7)
		}
		w.tick(now)
	}
}

// table reads a table of testdata/reference, whose README names the sources, into rows by column.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	text, err := os.ReadFile("../../testdata/reference/" + name)
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(text)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows: %v", name, len(rows), err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, cell := range row {
			m[rows[0][i]] = cell
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(text, 64)
	if r, ok := new(big.Rat).SetString(text); ok {
		f, _ = r.Float64()
	} else if err != nil {
		t.Fatal(err)
	}
	return f
}

// close holds a value to 1e-12 of itself, or of 1 where it is smaller.
func close(got, want float64) bool { return math.Abs(got-want) <= 1e-12*max(1, math.Abs(want)) }
