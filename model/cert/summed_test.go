package cert_test

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"gainwright/model/cert"
	"gainwright/model/program"
)

// summed is the state of a program that is the sum of others.
func summed(t *testing.T, p program.View) (n int, s *program.StateInfo) {
	t.Helper()
	for n, s := range p.States {
		if len(s.SumOf) > 0 {
			return n, s
		}
	}
	t.Fatal("no state is a sum")
	return 0, nil
}

// TestSums: a sum is that of what is kept, at every tick of random steps and noise; and whatever would end that is refused, in either program.
func TestSums(t *testing.T) {
	u := compile(t, "../../testdata/specs/samples.yaml")
	m := program.NewFixedMachine(u.Integer)
	n, s := summed(t, u.Integer.View())
	r := rand.New(rand.NewPCG(1, 1))
	for k, raw := 0, int64(0); k < 20000; k++ {
		if r.IntN(4) == 0 {
			raw = []int64{32767, -32768, int64(r.IntN(65536)) - 32768}[r.IntN(3)]
		}
		m.Tick([]int64{raw}, nil)
		total := int64(0)
		for _, at := range s.SumOf {
			total += m.State[at]
		}
		if m.State[n] != total {
			t.Fatalf("tick %d: %d is kept, the sum is %d", k, m.State[n], total)
		}
	}
	one := big.NewRat(1, 1)
	for name, spoil := range map[string]func(p program.View, n int, s *program.StateInfo){
		"a start of its own":             func(_ program.View, _ int, s *program.StateInfo) { s.Start = new(big.Rat).Add(s.Start, one) },
		"another start of what it sums":  func(p program.View, _ int, s *program.StateInfo) { p.States[s.SumOf[1]].Start = one },
		"what comes in alone":            func(p program.View, _ int, s *program.StateInfo) { s.Next = p.Ops[s.Next].Args[0] },
		"another that goes out":          func(p program.View, _ int, s *program.StateInfo) { p.Ops[s.Next].Args[1] = p.States[s.SumOf[1]].Next },
		"added what goes out":            func(p program.View, _ int, s *program.StateInfo) { p.Ops[s.Next].Kind = program.Add },
		"never reset":                    func(_ program.View, _ int, s *program.StateInfo) { s.Reset, s.ResetTo = program.None, program.None },
		"reset to one sample":            func(p program.View, _ int, s *program.StateInfo) { s.ResetTo = p.States[s.SumOf[0]].ResetTo },
		"enabled at times":               func(_ program.View, _ int, s *program.StateInfo) { s.Enable = s.Reset },
		"one of what it sums is enabled": func(p program.View, _ int, s *program.StateInfo) { p.States[s.SumOf[2]].Enable = s.Reset },
		"one less":                       func(_ program.View, _ int, s *program.StateInfo) { s.SumOf = s.SumOf[:len(s.SumOf)-1] },
		"one twice": func(_ program.View, _ int, s *program.StateInfo) {
			s.SumOf = append(s.SumOf[:len(s.SumOf)-1:len(s.SumOf)-1], s.SumOf[0])
		},
		"itself":                func(_ program.View, n int, s *program.StateInfo) { s.SumOf = append(s.SumOf[:1:1], n) },
		"one that is not there": func(_ program.View, _ int, s *program.StateInfo) { s.SumOf = append(s.SumOf[:1:1], 1000) },
		"another one":           func(p program.View, _ int, s *program.StateInfo) { s.SumOf = append([]int{0}, s.SumOf[1:]...) },
	} {
		for _, dialect := range []string{"stored", "integer", "asked", "all"} {
			p := proofOf(u)
			for at, q := range map[string]program.View{"stored": p.Stored.View(), "integer": p.Integer.View(), "asked": p.Asked.View()} {
				if dialect == at || dialect == "all" {
					n, s := summed(t, q)
					spoil(q, n, s)
				}
			}
			if cert.CheckAsked(p.Asked, p.Stored, p.Integer, p.Certificate) == nil {
				t.Errorf("%s, %s: accepted", name, dialect)
			}
		}
	}
}
