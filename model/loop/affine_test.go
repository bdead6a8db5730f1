package loop

import (
	"math"
	"testing"

	"gainwright/model/program"
	"gainwright/model/simulate"
	"gainwright/templates"
)

// The integer program and the real one with its constants are the same linear map close to rest: they differ by residues alone, which
// an error feedback hands on, and by the arctangent's table.
func TestIntegerAndStoredAgree(t *testing.T) {
	for _, name := range templates.Starters() {
		s := starter(t, name)
		m := s.materials()
		a, b := s.controller(s.Stored, m), s.controller(s.Integer, m)
		if len(a.states) == 0 || len(a.states) != len(b.states) {
			t.Fatalf("%s: %d and %d states move", name, len(a.states), len(b.states))
		}
		if len(b.residues) == 0 {
			t.Errorf("%s: an integer program without a rounding", name)
		}
		for what, pair := range map[string][2]matrix{"b": {a.b, b.b}, "c": {a.c, b.c}, "d": {a.d, b.d}} {
			same(t, name+" "+what, pair[0], pair[1])
		}
		for i, n := range a.states { // what an error feedback keeps is 0 in the real program
			if rest := b.a[i]; !zero(b.b[i]) || !zero(a.a[i]) {
				same(t, name+" a "+s.Stored.States[n].Name, matrix{a.a[i]}, matrix{rest})
			}
		}
	}
}

func zero(row []float64) bool {
	for _, v := range row {
		if v != 0 {
			return false
		}
	}
	return true
}

func same(t *testing.T, what string, a, b matrix) {
	t.Helper()
	for i := range a {
		for j := range a[i] {
			if math.Abs(a[i][j]-b[i][j]) > 1e-9*math.Abs(a[i][j])+1e-15 {
				t.Errorf("%s[%d][%d]: %.12g in the real program, %.12g in the integer one", what, i, j, a[i][j], b[i][j])
			}
		}
	}
}

// The chain rule against differences: the real program's tick, each state and input nudged. At rest no limit is active in these.
func TestLinearMapAgainstDifferences(t *testing.T) {
	for name, freeze := range map[string]string{"spindle": ", frozen_after: 100 ms", "pan": ", frozen_after: 200 ms"} {
		s := starter(t, name, freeze, "") // at rest readings stand still here
		m := s.materials()
		c := near(s.Stored, m.raw)
		run := program.NewRealMachine(s.Stored)
		in, coefs := make([]float64, len(m.raw)), simulate.Coefs(s.Stored)
		for i, r := range m.raw {
			in[i] = float64(r) * m.units[i]
		}
		for range 100 {
			run.Tick(in, coefs, nil)
		}
		rest := append([]float64(nil), run.State...)
		const h = 0.25
		column := func(nudge func()) (next, out []float64) {
			copy(run.State, rest)
			nudge()
			run.Tick(in, coefs, nil)
			for _, n := range c.states {
				next = append(next, (run.State[n]-rest[n])/h)
			}
			for _, o := range s.Stored.Outputs {
				out = append(out, run.Values[o.Value]/h)
			}
			return next, out
		}
		check := func(what string, got []float64, want matrix, at int) {
			for i, v := range got {
				if math.Abs(v-want[i][at]) > 1e-9*(1+math.Abs(v)) {
					t.Errorf("%s: %s[%d][%d] is %g, differences say %g", name, what, i, at, want[i][at], v)
				}
			}
		}
		for j, n := range c.states {
			next, out := column(func() { run.State[n] += h })
			check("a", next, c.a, j)
			check("c", out, c.c, j)
		}
		for j := range in {
			if s.Stored.Inputs[j].IsSwitch {
				continue
			}
			next, out := column(func() { in[j] += h })
			in[j] -= h
			check("b", next, c.b, j)
			check("d", out, c.d, j)
		}
	}
}
