package trial

import (
	"testing"

	"gainwright/model/program"
	"gainwright/model/tier"
)

// TestGenerators looks at what each kind of inputs brings about, over all restarts.
func TestGenerators(t *testing.T) {
	tier.Slow(t)
	for _, u := range units(t) {
		p := u.Integer
		for _, kind := range kinds {
			seen, allowed := make([]span, len(p.Inputs)), make([]span, len(p.Inputs))
			for i, in := range p.Inputs {
				if allowed[i] = register(in); kind.declared {
					allowed[i] = declared(in)
				}
			}
			switched := make([]int, len(p.Inputs))
			full := 0 // counters that came to their end
			settings := map[int64]bool{}
			for restart := range kind.restarts {
				const ticks = 20_000
				g := newGenerator(u, kind, 1, restart, ticks)
				m := program.NewFixedMachine(p)
				coefs := make([]int64, len(p.Coefs))
				record := make([]int64, NewLayout(p).In)
				last := make([]int64, len(p.Inputs))
				for tick := range ticks {
					clear(record)
					g.next(record)
					if latch(p, record, coefs) {
						for i := range p.Gains {
							settings[record[len(p.Inputs)+2*i+1]] = true
						}
					}
					m.Tick(record, coefs)
					for i, in := range p.Inputs {
						v := record[i]
						if !allowed[i].holds(v) {
							t.Fatalf("%s, %s inputs: %s is %d", p.Name, kind.name, in.Name, v)
						}
						if seen[i].lo, seen[i].hi = min(seen[i].lo, v), max(seen[i].hi, v); tick > 0 && v != last[i] {
							switched[i]++
						}
					}
					copy(last, record)
					for i, s := range p.States {
						if s.Purpose == program.Counter && !s.Bool && m.State[i] == s.Hi {
							full++
						}
					}
				}
			}
			for i, in := range p.Inputs {
				want := allowed[i]
				want.lo, want.hi = min(want.lo, 0), max(want.hi, 0)
				if seen[i] != want {
					t.Errorf("%s, %s inputs: %s goes over %v, not %v", p.Name, kind.name, in.Name, seen[i], want)
				}
				if switched[i] < 20 {
					t.Errorf("%s, %s inputs: %s changes %d times", p.Name, kind.name, in.Name, switched[i])
				}
			}
			for _, s := range p.States {
				if s.Purpose == program.Counter && !s.Bool && full == 0 {
					t.Errorf("%s, %s inputs: %s never comes to its end", p.Name, kind.name, s.Name)
				}
			}
			if len(p.Gains) > 0 && len(settings) < 20 {
				t.Errorf("%s, %s inputs: %d settings of live gains", p.Name, kind.name, len(settings))
			}
		}
	}
}

func TestDeclaredSpan(t *testing.T) {
	u := compileFile("../../testdata/specs/turned.yaml", noChange)
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	want := map[string]span{"plain": {-20, 40}, "turned": {-40, 20}, "offset": {-520, 480}, "fine": {1, 3}, "flag": {0, 1}, "all": {-128, 127}}
	for _, in := range u.Integer.Inputs {
		if got := declared(in); got != want[in.Name] {
			t.Errorf("%s: %v, %v is expected", in.Name, got, want[in.Name])
		}
	}
}
