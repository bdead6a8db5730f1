package cert_test

import (
	"fmt"
	"math/big"
	"testing"

	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// pair is a real program and its integer form, put together side by side.
type pair struct{ real, whole program.Program }

func newPair(inputs int) *pair {
	p := &pair{}
	for _, q := range []*program.Program{&p.real, &p.whole} {
		q.Sections = []program.Section{{Name: "only"}}
		for i := range inputs {
			q.Inputs = append(q.Inputs, program.InputInfo{Name: fmt.Sprint("in", i), Type: program.I16, LSB: one})
		}
	}
	for i := range inputs {
		p.both(program.Op{Kind: program.Input, Index: i}, one)
	}
	return p
}

func (p *pair) r(op program.Op) program.ID {
	op.Name, op.Real = fmt.Sprint("r", len(p.real.Ops)), program.None
	p.real.Ops = append(p.real.Ops, op)
	return program.ID(len(p.real.Ops) - 1)
}

func (p *pair) z(op program.Op, real program.ID, lsb *big.Rat) program.ID {
	op.Name, op.Real, op.LSB, op.Type, op.Lo, op.Hi = fmt.Sprint("z", len(p.whole.Ops)), real, lsb, program.I64, -1<<62, 1<<62
	p.whole.Ops = append(p.whole.Ops, op)
	return program.ID(len(p.whole.Ops) - 1)
}

// place is a value in both programs.
type place struct{ r, z program.ID }

// both adds the same operation to both; a constant or factor of the real program is that of the integer one in counts.
func (p *pair) both(op program.Op, lsb *big.Rat, args ...place) place {
	a, b := op, op
	a.Args, b.Args = nil, nil
	for _, x := range args {
		a.Args, b.Args = append(a.Args, x.r), append(b.Args, x.z)
	}
	if op.K != nil && op.Kind != program.Wrap {
		a.K = new(big.Rat).Mul(op.K, lsb)
	}
	r := p.r(a)
	return place{r, p.z(b, r, lsb)}
}

// rounded gives the integer form of x another format.
func (p *pair) rounded(x place, shift uint, lsb *big.Rat) place {
	return place{x.r, p.z(program.Op{Kind: program.Round, Shift: shift, Args: []program.ID{x.z}}, x.r, lsb)}
}

func (p *pair) constant(k int64, lsb *big.Rat) place {
	return p.both(program.Op{Kind: program.Const, K: big.NewRat(k, 1)}, lsb)
}

func (p *pair) state(start int64) (int, place) { return p.stateOf(start, one) }

func (p *pair) stateOf(start int64, lsb *big.Rat) (int, place) {
	n := len(p.real.States)
	for q, unit := range map[*program.Program]*big.Rat{&p.real: lsb, &p.whole: one} {
		q.States = append(q.States, program.StateInfo{Name: fmt.Sprint("s", n), Start: new(big.Rat).Mul(big.NewRat(start, 1), unit), LSB: lsb, Real: n, Type: program.I64, Lo: -1 << 62, Hi: 1 << 62,
			Enable: program.None, Reset: program.None, ResetTo: program.None})
	}
	return n, p.both(program.Op{Kind: program.State, Index: n}, lsb)
}

func (p *pair) signal(name string, x place) {
	for q, id := range map[*program.Program]program.ID{&p.real: x.r, &p.whole: x.z} {
		q.Sections[0].Signals = append(q.Sections[0].Signals, program.Signal{Name: name, Value: id})
	}
}

func (p *pair) next(n int, x place) { p.real.States[n].Next, p.whole.States[n].Next = x.r, x.z }

// certify finds the facts and has them checked.
func (p *pair) certify(t *testing.T) *cert.Certificate {
	t.Helper()
	c := p.tryCertify(t)
	if c == nil {
		t.Fatal("no finite ranges")
	}
	return c
}

// tryCertify returns nothing where a state has no finite range.
func (p *pair) tryCertify(t *testing.T) *cert.Certificate {
	t.Helper()
	e, taps, err := bound.Ranges(&p.whole, false)
	if err != nil {
		return nil
	}
	for _, r := range e.Ranges {
		if !interval.Ints(-1<<62, 1<<62).Holds(r) {
			return nil
		}
	}
	for i, r := range e.Ranges {
		p.whole.Ops[i].Lo, p.whole.Ops[i].Hi = r.Lo.Num().Int64(), r.Hi.Num().Int64()
	}
	for i, r := range e.States {
		p.whole.States[i].Lo, p.whole.States[i].Hi = r.Lo.Num().Int64(), r.Hi.Num().Int64()
	}
	c := &cert.Certificate{States: e.States, Ops: e.Ranges, Taps: taps}
	for i, chain := range []bool{false, true} {
		found, _, err := bound.Differences(&p.real, &p.whole, e.Ranges, chain)
		if err != nil {
			t.Fatal(err)
		}
		*[]*cert.Errors{&c.Local, &c.Chain}[i] = found
	}
	if err := cert.Check(&p.real, &p.whole, c); err != nil {
		t.Fatal(err)
	}
	return c
}

// refuses has the checker look at a claim about the difference of state n that is wrong or cannot be proven.
func (p *pair) refuses(t *testing.T, c *cert.Certificate, n int, most int64) {
	t.Helper()
	forged := *c
	forged.Local.States = append([]*interval.Range(nil), c.Local.States...)
	claim := interval.Ints(-most, most)
	forged.Local.States[n] = &claim
	if cert.Check(&p.real, &p.whole, &forged) == nil {
		t.Errorf("the claim that state %d differs by %d at most was accepted", n, most)
	}
}
