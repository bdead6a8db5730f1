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
type pair struct {
	real  program.Real
	whole program.Fixed
	at    int // the section that is added to
}

// section begins another one.
func (p *pair) section(clock program.Clock) {
	for _, q := range p.frames() {
		q.Sections = append(q.Sections, program.Section{Name: fmt.Sprint("section", len(q.Sections)), Clock: clock})
	}
	p.at++
}

// frames are what both programs say alike.
func (p *pair) frames() []*program.Frame { return []*program.Frame{&p.real.Frame, &p.whole.Frame} }

func newPair(inputs int) *pair {
	p := &pair{}
	for _, q := range p.frames() {
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
	op.Name, op.Section = fmt.Sprint("r", len(p.real.Ops)), p.at
	p.real.Ops = append(p.real.Ops, program.RealOp{Op: op})
	return program.ID(len(p.real.Ops) - 1)
}

func (p *pair) z(op program.Op, real program.ID, lsb *big.Rat) program.ID {
	op.Name, op.Section = fmt.Sprint("z", len(p.whole.Ops)), p.at
	p.whole.Ops = append(p.whole.Ops, program.FixedOp{Op: op, Real: real, LSB: lsb, Type: program.I64, Lo: -1 << 62, Hi: 1 << 62})
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
	z := p.z(program.Op{Kind: program.Round, Args: []program.ID{x.z}}, x.r, lsb)
	p.whole.Ops[z].Shift = shift
	return place{x.r, z}
}

func (p *pair) constant(k int64, lsb *big.Rat) place {
	return p.both(program.Op{Kind: program.Const, K: big.NewRat(k, 1)}, lsb)
}

func (p *pair) state(start int64) (int, place) { return p.stateOf(start, one) }

func (p *pair) stateOf(start int64, lsb *big.Rat) (int, place) {
	n := len(p.real.States)
	s := program.StateInfo{Name: fmt.Sprint("s", n), Section: p.at, Start: big.NewRat(start, 1), Enable: program.None, Reset: program.None, ResetTo: program.None}
	p.whole.States = append(p.whole.States, program.FixedState{StateInfo: s, LSB: lsb, Real: n, Type: program.I64, Lo: -1 << 62, Hi: 1 << 62})
	s.Start = new(big.Rat).Mul(s.Start, lsb)
	p.real.States = append(p.real.States, program.RealState{StateInfo: s})
	return n, p.both(program.Op{Kind: program.State, Index: n}, lsb)
}

func (p *pair) signal(name string, x place) {
	for i, q := range p.frames() {
		q.Sections[p.at].Signals = append(q.Sections[p.at].Signals, program.Signal{Name: name, Value: [2]program.ID{x.r, x.z}[i]})
	}
}

func (p *pair) next(n int, x place) { p.real.States[n].Next, p.whole.States[n].Next = x.r, x.z }

// certify finds the claims and has them checked.
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
