package model_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/tier"
)

// exactReal runs a real program in rational numbers without end.
type exactReal struct {
	p      *program.Real
	state  []*big.Rat
	values []*big.Rat
}

// exactly is nil for a program with operations that are not rational.
func exactly(p *program.Real) *exactReal {
	m := &exactReal{p: p, values: make([]*big.Rat, len(p.Ops))}
	for _, op := range p.Ops {
		switch op.Kind {
		case program.Const, program.Input, program.State, program.Coef, program.Add, program.Sub, program.Scale, program.Mul, program.Clamp, program.Min, program.Max, program.Less, program.LessEqual,
			program.And, program.Or, program.Not, program.Select, program.Abs:
		default:
			return nil
		}
	}
	for _, s := range p.States {
		m.state = append(m.state, s.Start)
	}
	return m
}

func (m *exactReal) tick(in, coefs []*big.Rat) {
	v := m.values
	for i, op := range m.p.Ops {
		a := func(n int) *big.Rat { return v[op.Args[n]] }
		isOn := func(n int) bool { return a(n).Sign() != 0 }
		switch op.Kind {
		case program.Const:
			v[i] = op.K
		case program.Input:
			v[i] = in[op.Index]
		case program.State:
			v[i] = m.state[op.Index]
		case program.Coef:
			v[i] = coefs[op.Index]
		case program.Add:
			v[i] = sum(a(0), a(1))
		case program.Sub:
			v[i] = less(a(0), a(1))
		case program.Scale:
			v[i] = times(op.K, a(0))
		case program.Mul:
			v[i] = times(a(0), a(1))
		case program.Clamp:
			v[i] = within(a(0), a(1), a(2))
		case program.Min:
			v[i] = lower(a(0), a(1))
		case program.Max:
			v[i] = upper(a(0), a(1))
		case program.Abs:
			v[i] = size(a(0))
		case program.Less:
			v[i] = on(a(0).Cmp(a(1)) < 0)
		case program.LessEqual:
			v[i] = on(a(0).Cmp(a(1)) <= 0)
		case program.And:
			v[i] = on(isOn(0) && isOn(1))
		case program.Or:
			v[i] = on(isOn(0) || isOn(1))
		case program.Not:
			v[i] = on(!isOn(0))
		case program.Select:
			if v[i] = a(2); isOn(0) {
				v[i] = a(1)
			}
		}
	}
	next := make([]*big.Rat, len(m.state))
	for n, s := range m.p.States {
		next[n] = m.state[n]
		switch {
		case s.Reset != program.None && v[s.Reset].Sign() != 0:
			next[n] = v[s.ResetTo]
		case s.Enable == program.None || v[s.Enable].Sign() != 0:
			next[n] = v[s.Next]
		}
	}
	m.state = next
}

// TestFeedbackExactly holds what is claimed of whole controllers that feed back against both programs, run in numbers without end from the same raw
// inputs: ranges, and how far the two are apart. Inputs jump between the ends of their registers, or stay, or wander.
func TestFeedbackExactly(t *testing.T) {
	tried, held, rings, closest := 0, 0, 0, 0.0
	for seed := range uint64(tier.Count(60, 200, 1500)) {
		text := tangle(seed)
		u := feedback(t, text)
		if !u.OK() {
			continue
		}
		m := exactly(u.Stored)
		if m == nil {
			continue
		}
		tried++
		for _, ring := range u.Integer.View().Rings() {
			if ring.End > ring.First+1 {
				rings++
			}
		}
		held += heldExactly(t, u, m, seed, &closest)
		if t.Failed() {
			t.Fatalf("seed %d:\n%s", seed, text)
		}
	}
	t.Logf("%d controllers, %d rings of several steps, %d bounds of whole controllers; %.2f of one was reached", tried, rings, held, closest)
	if tried < 20 || rings < 20 || held == 0 || closest < 0.5 {
		t.Error("the test says little")
	}
}

// tangle is a few steps that read one another's last values.
func tangle(seed uint64) string {
	r := rand.New(rand.NewPCG(seed, 2))
	n := 2 + r.IntN(3)
	var text strings.Builder
	for i := range n {
		name := fmt.Sprintf("s%d", i)
		if i == n-1 {
			name = "y"
		}
		if i > 0 && r.IntN(5) == 0 { // what is linear, and has a state of its own
			fmt.Fprintf(&text, "  %s: {kind: low_pass, of: s%d, time_constant: %.3g s, start: 0}\n", name, r.IntN(i), 0.02+0.2*r.Float64())
			continue
		}
		if i > 0 && r.IntN(6) == 0 { // what is not
			fmt.Fprintf(&text, "  %s: {kind: formula, value: \"%s(s%d, 0.5 * previous %s, x)\", start: 0}\n", name, []string{"min", "max"}[r.IntN(2)], r.IntN(i), name)
			continue
		}
		of := []string{fmt.Sprintf("x: %.3g", r.Float64())}
		for j := range n {
			other := fmt.Sprintf("s%d", j)
			if j == n-1 {
				other = "y"
			}
			switch k := r.Float64()*1.6 - 0.8; {
			case r.IntN(2) == 0:
			case j < i && r.IntN(2) == 0:
				of = append(of, fmt.Sprintf("%s: %.3g", other, k))
			default:
				of = append(of, fmt.Sprintf("previous %s: %.3g", other, k))
			}
		}
		more := ""
		if r.IntN(3) == 0 {
			more = fmt.Sprintf(", limits: [%d, %d]", -1-r.IntN(300), 1+r.IntN(300))
		}
		fmt.Fprintf(&text, "  %s: {kind: sum, of: {%s}, start: 0%s}\n", name, strings.Join(of, ", "), more)
	}
	return text.String()
}

func heldExactly(t *testing.T, u *model.Unit, m *exactReal, seed uint64, closest *float64) (held int) {
	r := rand.New(rand.NewPCG(seed, 1))
	fixed := program.NewFixedMachine(u.Integer)
	raw, units := make([]int64, len(u.Integer.Inputs)), make([]*big.Rat, len(u.Integer.Inputs))
	coefs, reals := make([]int64, len(u.Integer.Coefs)), make([]*big.Rat, len(u.Integer.Coefs))
	for i, c := range u.Integer.Coefs {
		coefs[i] = c.Setter.Apply(c.Setter.XStart)
		reals[i] = times(q(coefs[i], 1), c.LSB)
	}
	const ticks = 100
	for tick := range ticks {
		for i, in := range u.Integer.Inputs {
			lo, hi := in.Type.Range()
			if tick == 0 || r.IntN(6) == 0 {
				switch raw[i] = lo + r.Int64N(hi-lo+1); r.IntN(3) {
				case 0:
					raw[i] = lo
				case 1:
					raw[i] = hi
				}
			}
			units[i] = times(q(raw[i], 1), in.LSB)
		}
		fixed.Tick(raw, coefs)
		m.tick(units, reals)
		for id := range u.Integer.Ops {
			if v := interval.Ints(fixed.Values[id], fixed.Values[id]); !u.Certificate.Ops[id].Holds(v) {
				t.Errorf("tick %d: %s is %d, outside its range", tick, u.Integer.Ops[id].Name, fixed.Values[id])
			}
		}
		for s, sec := range u.Integer.Sections {
			for j, sig := range sec.Signals {
				claim := u.Certificate.Chain.Signals[s][j]
				if claim == nil || u.Certificate.Chain.Turns[s][j] != nil {
					continue
				}
				held++
				apart := less(times(q(fixed.Values[sig.Value], 1), u.Integer.Ops[sig.Value].LSB), m.values[u.Stored.Sections[s].Signals[j].Value])
				if !claim.Holds(interval.Point(apart)) {
					t.Errorf("tick %d: %s is %s off, at most [%s, %s] is claimed", tick, sig.Name, apart.FloatString(9), claim.Lo.FloatString(9), claim.Hi.FloatString(9))
				}
				if claim.Size().Sign() > 0 {
					share, _ := over(size(apart), claim.Size()).Float64()
					*closest = max(*closest, share)
				}
			}
		}
		if t.Failed() {
			return held
		}
	}
	return held
}

// feedback is a controller around a few steps.
func feedback(t *testing.T, steps string) *model.Unit {
	t.Helper()
	return model.Compile("tray.yaml", fmt.Appendf(nil, `controller: tray
about: A tray that is moved.
rate: 100 Hz
inputs:
  x: {raw: int16, unit: mm, counts_per_unit: 128, range: [-200, 200]}
  armed: {raw: bool}
steps:
%s
outputs:
  o: {from: y, raw: int16, unit: mm, counts_per_unit: 50}
`, steps))
}

// TestSlewIsExact: a limit of change, written with the last value, makes no rounding but that of its signal, for ever; its states hold the step as asked.
func TestSlewIsExact(t *testing.T) {
	u := feedback(t, `  y: {kind: formula, value: "clamp(x, previous y - 0.03125 mm, previous y + 0.03125 mm)", start: 0}`)
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	for _, c := range u.Certificate.Asked.Signals[1][0:1] {
		if c == nil || c.Size().Cmp(big.NewRat(1, 100)) > 0 {
			t.Errorf("against the controller as asked: %v", c)
		}
	}
}

// TestRingsAreBounded: rings that forget have a range, whatever steps they lead through; those that do not are told where they are, for any
// number of steps.
func TestRingsAreBounded(t *testing.T) {
	for name, c := range map[string]struct {
		steps string
		good  bool
	}{
		"two shares that would run away one by one": {"  y: {kind: sum, of: {x: 0.125, previous y: 1.625, previous z: -0.75}, start: 0}\n  z: {kind: sum, of: {previous y: 1}, start: 0}", true},
		"the largest so far":                        {`  y: {kind: formula, value: "max(x, previous y)", start: 0}`, true},
		"around a low-pass":                         {"  a: {kind: sum, of: {x: 1, previous y: -0.5}}\n  y: {kind: low_pass, of: a, time_constant: 1 s}", true},
		"a limit in the ring":                       {"  a: {kind: sum, of: {x: 1, previous y: 3}}\n  y: {kind: clamp, of: a, limits: [-50, 60], start: 0}", true},
		"through delays of delays":                  {"  y: {kind: sum, of: {x: 0.1, previous b: -0.6, previous c: 0.5}, start: 0}\n  b: {kind: sum, of: {previous y: 1}, start: 0}\n  c: {kind: sum, of: {previous b: 1}, start: 0}", true},
		"three steps":                               {"  a: {kind: sum, of: {x: 0.5, previous y: 0.25}}\n  b: {kind: sum, of: {a: 1, previous a: 0.5}}\n  y: {kind: sum, of: {b: 0.5}, start: 0}", true},
		"a gain of one":                             {"  a: {kind: sum, of: {x: 1, previous y: 1}}\n  y: {kind: sum, of: {a: 1}, start: 0}", false},
		"a gain of more":                            {"  y: {kind: sum, of: {x: 1, previous y: 1.01}, start: 0}", false},
		"one of minus one":                          {"  a: {kind: sum, of: {x: 1, previous y: -1}}\n  y: {kind: sum, of: {a: 1}, start: 0}", false},
	} {
		t.Run(name, func(t *testing.T) {
			steps := c.steps
			if name == "around a low-pass" {
				steps = strings.Replace(steps, "1 s}", "1 s, start: 0}", 1)
			}
			u := feedback(t, steps)
			if u.OK() != c.good {
				t.Fatalf("good: %v, expected %v: %v", u.OK(), c.good, u.Findings)
			}
			for _, f := range u.Findings {
				if f.Rule == "unbounded" && (f.Pos.Line < 8 || f.Pos.Line > 10) {
					t.Errorf("told at line %d", f.Pos.Line)
				}
			}
		})
	}
}

// TestRingMeetsItsLimits: what is claimed of a ring over two steps is reached to 0.1 % by inputs of the sign of its reversed impulse response: y = x/8 +
// 13/8 y' - 6/8 y”. Computed.
func TestRingMeetsItsLimits(t *testing.T) {
	u := feedback(t, "  y: {kind: sum, of: {x: 0.125, previous y: 1.625, previous z: -0.75}, start: 0}\n  z: {kind: sum, of: {previous y: 1}, start: 0}")
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	const ticks = 200
	response := make([]float64, ticks) // to a unit impulse of x
	for k := range response {
		switch k {
		case 0:
			response[k] = 0.125
		case 1:
			response[k] = 1.625 * response[0]
		default:
			response[k] = 1.625*response[k-1] - 0.75*response[k-2]
		}
	}
	m := program.NewFixedMachine(u.Integer)
	for k := range ticks {
		raw := int64(32767)
		if response[ticks-1-k] < 0 {
			raw = -32768
		}
		m.Tick([]int64{raw, 0}, nil)
	}
	for _, sec := range u.Integer.Sections {
		if sec.Name == "y" {
			id := sec.Signals[0].Value
			most, _ := u.Certificate.Ops[id].Hi.Float64()
			if got := float64(m.Values[id]); got > most || got < 0.999*most {
				t.Errorf("%g counts are reached, %g claimed", got, most)
			}
		}
	}
}
