package cert_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/tier"
)

// twin is a pair with a program that was asked for: the real one with some constants as asked.
type twin struct {
	*pair
	asked map[program.ID]*big.Rat // constants and factors of the real program
	start map[int]*big.Rat
}

func newTwin(inputs int) *twin {
	return &twin{newPair(inputs), map[program.ID]*big.Rat{}, map[int]*big.Rat{}}
}

// scaled is k*x, stored as count*2^-bits.
func (w *twin) scaled(x place, k *big.Rat, count int64, bits uint) place {
	lsb := w.whole.Ops[x.z].LSB
	step := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Lsh(big.NewInt(1), bits))
	r := w.r(program.Op{Kind: program.Scale, K: new(big.Rat).Mul(big.NewRat(count, 1), step), Args: []program.ID{x.r}})
	w.asked[r] = k
	return place{r, w.z(program.Op{Kind: program.Scale, K: big.NewRat(count, 1), Args: []program.ID{x.z}}, r, new(big.Rat).Mul(lsb, step))}
}

// program is the one that was asked for.
func (w *twin) program() *program.Real {
	q := w.real.Clone()
	for id, k := range w.asked {
		q.Ops[id].K = k
	}
	for n, k := range w.start {
		q.States[n].Start = k
	}
	return q
}

// certifyAsked adds what can be said about the program that was asked for and has it checked.
func (w *twin) certifyAsked(t *testing.T, c *cert.Certificate) {
	t.Helper()
	chain, whole, err := bound.Whole(&w.real, &w.whole, c.Ops)
	if err != nil {
		t.Fatal(err)
	}
	c.Chain = chain
	if c.Asked, err = bound.Asked(w.program(), &w.real, whole); err != nil {
		t.Fatal(err)
	}
	if err := cert.CheckAsked(w.program(), &w.real, &w.whole, c); err != nil {
		t.Fatal(err)
	}
}

var ten = new(big.Rat).SetFrac64(1, 1<<10)

// section adds y = b0*x + b1*x1 + b2*x2 - a1*y1 - a2*y2, counted in 2^-10, from [b0, b1, b2, a1, a2] as asked and as stored in 2^-bits.
func (w *twin) section(x place, asked, stored []*big.Rat, bits uint) place {
	n1, x1 := w.stateOf(0, ten)
	n2, x2 := w.stateOf(0, ten)
	m1, y1 := w.stateOf(0, ten)
	m2, y2 := w.stateOf(0, ten)
	one := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), bits))
	var sum *place
	for i, v := range []place{x, x1, x2, y1, y2} {
		k, s := asked[i], stored[i]
		if i > 2 {
			k, s = new(big.Rat).Neg(k), new(big.Rat).Neg(s)
		}
		count := new(big.Rat).Mul(s, one)
		term := w.scaled(v, k, count.Num().Int64(), bits)
		if sum == nil {
			sum = &term
			continue
		}
		both := w.both(program.Op{Kind: program.Add}, w.whole.Ops[term.z].LSB, *sum, term)
		sum = &both
	}
	y := w.rounded(*sum, bits, ten)
	w.next(n1, x)
	w.next(n2, x1)
	w.next(m1, y)
	w.next(m2, y1)
	return y
}

// TestDriftOfFilters holds the drift of filters against testdata/reference/filters_apart.csv: sums of |h - h'| by scipy.signal.lfilter. What is
// proven is never below half the range of the input times that sum, and above it by a fiftieth at most.
func TestDriftOfFilters(t *testing.T) {
	text, err := os.ReadFile("../../testdata/reference/filters_apart.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(text)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 7 {
		t.Fatal(len(rows), err)
	}
	rows = rows[1:]
	for len(rows) > 0 {
		name, norm := rows[0][0], rat(rows[0][12])
		n := 1
		for n < len(rows) && rows[n][0] == name {
			n++
		}
		t.Run(name, func(t *testing.T) {
			w := newTwin(1)
			y := place{0, w.z(program.Op{Kind: program.Scale, K: big.NewRat(1024, 1), Args: []program.ID{0}}, 0, ten)}
			for _, row := range rows[:n] {
				var k []*big.Rat
				bits := uint(0)
				for _, cell := range row[2:12] {
					k = append(k, rat(cell))
				}
				for _, s := range k[5:] {
					bits = max(bits, uint(s.Denom().BitLen()-1))
				}
				y = w.section(y, k[:5], k[5:], bits)
			}
			w.signal("y", y)
			c := w.certify(t)
			w.certifyAsked(t, c)
			got, rounding := c.Asked.Signals[0][0], c.Chain.Signals[0][0]
			if got == nil {
				t.Fatal("nothing is proven")
			}
			drift := new(big.Rat).Sub(got.Size(), rounding.Size())
			ratio, _ := new(big.Rat).Quo(drift, new(big.Rat).Mul(norm, big.NewRat(65535, 2))).Float64()
			off, _ := new(big.Rat).Quo(got.Size(), rounding.Size()).Float64()
			t.Logf("%d taps, drift %s, %.6f of what scipy gives; in all %.3g times the rounding", c.Asked.Taps[0], drift.FloatString(4), ratio, off)
			if ratio < 1-1e-9 || ratio > 1.02 {
				t.Errorf("the drift is %v times what scipy gives", ratio)
			}
		})
		rows = rows[n:]
	}
}

func rat(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		panic(text)
	}
	return r
}

// drifter puts random pairs of one section together whose constants are stored roughly: sums, filters of first and second order with and without a
// start of their own, limits, extremes, sizes, choices, states that hold. All values are counted in 2^-10.
type drifter struct {
	*twin
	*rand.Rand
	values []place
	first  place
}

func (m *drifter) any() place {
	if m.IntN(2) == 0 {
		return m.values[len(m.values)-1]
	}
	return m.values[m.IntN(len(m.values))]
}

// rough is k as asked for, and its count at so many bits.
func (m *drifter) rough(low, high float64, bits uint) (*big.Rat, int64) {
	k := new(big.Rat).SetFloat64(math.Round((low+(high-low)*m.Float64())*1e4) / 1e4)
	f, _ := k.Float64()
	return k, int64(math.Round(math.Ldexp(f, int(bits))))
}

func (m *drifter) times(x place, low, high float64, bits uint) place {
	k, count := m.rough(low, high, bits)
	return m.rounded(m.scaled(x, k, count, bits), bits, ten)
}

func (m *drifter) constant(low, high float64) place {
	k := new(big.Rat).SetFloat64(low + (high-low)*m.Float64())
	f, _ := k.Float64()
	v := m.both(program.Op{Kind: program.Const, K: big.NewRat(int64(math.Round(f*1024)), 1)}, ten)
	m.asked[v.r] = k
	return v
}

func newDrifter(seed uint64) *drifter {
	m := &drifter{twin: newTwin(2), Rand: rand.New(rand.NewPCG(seed, 23))}
	for i := range 2 {
		m.real.Inputs[i].Type, m.whole.Inputs[i].Type = program.I8, program.I8
		m.values = append(m.values, place{program.ID(i), m.z(program.Op{Kind: program.Scale, K: big.NewRat(1024, 1), Args: []program.ID{program.ID(i)}}, program.ID(i), ten)})
	}
	n, first := m.state(1)
	for _, q := range []program.View{m.real.View(), m.whole.View()} {
		q.States[n].Bool, q.Ops[len(q.Ops)-1].Bool = true, true
	}
	m.first = first
	m.next(n, m.both(program.Op{Kind: program.Const, K: new(big.Rat), Bool: true}, one))
	for range 2 + m.IntN(5) {
		m.step()
	}
	for i, v := range m.values[2:] {
		m.signal(fmt.Sprint("v", i), v)
	}
	return m
}

func (m *drifter) step() {
	var v place
	switch x := m.any(); m.IntN(9) {
	case 0:
		v = m.both(program.Op{Kind: program.Add}, ten, m.times(x, -2, 2, 5), m.times(m.any(), -2, 2, 5))
	case 1, 2: // y += a*(x - y), started at the first x, at a constant, or at another value
		n, y := m.stateOf(m.Int64N(2000)-1000, ten)
		if m.IntN(2) == 0 {
			m.start = map[int]*big.Rat{n: big.NewRat(m.Int64N(2000)-1000, 1000)}
		} else {
			from := x
			if m.IntN(3) == 0 {
				from = m.any()
			}
			y = m.both(program.Op{Kind: program.Select}, ten, m.first, from, y)
		}
		k, count := m.rough(0.02, 0.9, 6)
		count = max(count, 1)
		d := m.both(program.Op{Kind: program.Sub}, ten, x, y)
		v = m.both(program.Op{Kind: program.Add}, ten, y, m.rounded(m.scaled(d, k, count, 6), 6, ten))
		m.next(n, v)
	case 3, 4: // poles r*exp(+-i*th)
		r, th := 0.3+0.6*m.Float64(), math.Pi*m.Float64()
		var asked, stored []*big.Rat
		for _, f := range []float64{m.Float64(), m.Float64(), m.Float64(), -2 * r * math.Cos(th), r * r} {
			k := new(big.Rat).SetFloat64(math.Round(f*1e4) / 1e4)
			asked, stored = append(asked, k), append(stored, big.NewRat(int64(math.Round(f*64)), 64))
		}
		v = m.section(x, asked, stored, 6)
	case 5:
		lo, hi := m.constant(-60, -10), m.constant(10, 60)
		v = m.both(program.Op{Kind: program.Clamp}, ten, x, lo, hi)
	case 6:
		v = m.both(program.Op{Kind: []program.Kind{program.Min, program.Max}[m.IntN(2)]}, ten, x, m.any())
	case 7:
		v = m.both(program.Op{Kind: program.Abs}, ten, x)
	case 8: // holds a value while one input is small
		n, y := m.stateOf(0, ten)
		small := m.both(program.Op{Kind: program.Less, Bool: true}, one, place{0, 0}, place{1, 1})
		v = m.both(program.Op{Kind: program.Select}, ten, small, x, y)
		m.next(n, v)
	}
	m.values = append(m.values, v)
}

// TestDriftsAgainstInputs runs random programs beside what was asked for, on random inputs and on those that drive a signal as far from there as the
// response of the difference tells: no difference may leave what is claimed, and most claims are nearly reached.
func TestDriftsAgainstInputs(t *testing.T) {
	tier.Slow(t)
	claims, reached := 0, 0
	for seed := range uint64(120) {
		m := newDrifter(seed)
		c := m.tryCertify(t)
		if c == nil {
			continue
		}
		m.certifyAsked(t, c)
		asked := m.program()
		real, whole := program.NewRealMachine(asked), program.NewFixedMachine(&m.whole)
		signals := m.whole.Sections[0].Signals
		worst := make([]float64, len(signals))
		run := func(in [][2]int64) {
			real.Start()
			whole.Start()
			for tick, x := range in {
				whole.Tick(x[:], nil)
				real.Tick([]float64{float64(x[0]), float64(x[1])}, nil, nil)
				for j, s := range signals {
					claim := c.Asked.Signals[0][j]
					if claim == nil {
						continue
					}
					off := float64(whole.Values[s.Value])/1024 - real.Values[m.real.Sections[0].Signals[j].Value]
					lo, _ := claim.Lo.Float64()
					hi, _ := claim.Hi.Float64()
					if off < lo-1e-9 || off > hi+1e-9 {
						t.Fatalf("seed %d, tick %d: %s is %v off, claimed [%v, %v]", seed, tick, s.Name, off, lo, hi)
					}
					worst[j] = max(worst[j], math.Abs(off))
				}
			}
		}
		rng := rand.New(rand.NewPCG(seed, 29))
		ends := func() int64 { return []int64{-128, 127}[rng.IntN(2)] }
		for range 12 {
			var in [][2]int64
			for range 300 {
				in = append(in, [2]int64{rng.Int64N(256) - 128, rng.Int64N(256) - 128})
			}
			run(in)
			x := [2]int64{ends(), ends()}
			for i := range in {
				for k := range x {
					if rng.IntN(4) == 0 {
						x[k] = ends()
					}
				}
				in[i] = x
			}
			run(in)
		}
		for j := range signals {
			if c.Asked.Signals[0][j] == nil {
				continue
			}
			for _, in := range m.adversary(asked, j) {
				run(in)
			}
			claims++
			if most, _ := c.Asked.Signals[0][j].Size().Float64(); worst[j] > 0.8*most {
				reached++
			}
		}
	}
	t.Logf("%d claims, %d of them reached to four fifths", claims, reached)
	if claims < 250 || reached < claims/4 {
		t.Errorf("%d claims, %d reached to four fifths: this test tests little", claims, reached)
	}
}

// adversary drives signal j away from what was asked for: the signs of the difference of the two programs' responses, in reverse.
func (m *drifter) adversary(asked *program.Real, j int) (out [][][2]int64) {
	const n = 200
	var taps [2][]float64
	for k := range 2 {
		respond := func(p *program.Real) (list []float64) {
			rest, hit := program.NewRealMachine(p), program.NewRealMachine(p)
			for tick := range n + 3 {
				in := []float64{0, 0}
				rest.Tick(in, nil, nil)
				if tick == 2 { // past the start
					in[k] = 1e-3
				}
				hit.Tick(in, nil, nil)
				if v := p.Sections[0].Signals[j].Value; tick > 2 {
					list = append(list, hit.Values[v]-rest.Values[v])
				}
			}
			return list
		}
		a, s := respond(asked), respond(&m.real)
		for i := range a {
			taps[k] = append(taps[k], s[i]-a[i])
		}
	}
	for _, flip := range []bool{false, true} {
		for _, before := range [][2]int64{{-128, -128}, {127, 127}, {-128, 127}, {127, -128}} {
			var in [][2]int64
			for range 40 {
				in = append(in, before)
			}
			for i := range n {
				var x [2]int64
				for k := range 2 {
					if x[k] = -128; (taps[k][n-1-i] > 0) != flip {
						x[k] = 127
					}
				}
				in = append(in, x)
			}
			out = append(out, in, in[40:])
		}
	}
	return out
}

// TestAskedIsChecked spoils each number of the claims about the program that was asked for, and that program itself. What is accepted must still
// be true: fewer claims, or the same claims of a program that is the same where they look.
func TestAskedIsChecked(t *testing.T) {
	tier.Slow(t)
	refused, accepted := 0, 0
	for seed := range uint64(40) {
		m := newDrifter(seed)
		c := m.tryCertify(t)
		if c == nil {
			continue
		}
		m.certifyAsked(t, c)
		check := func(q *program.Real, claims cert.Errors) bool {
			d := *c
			d.Asked = claims
			return cert.CheckAsked(q, &m.real, &m.whole, &d) == nil
		}
		copied := func() cert.Errors {
			e := c.Asked
			e.States, e.Taps = slices.Clone(e.States), slices.Clone(e.Taps)
			e.Signals = [][]*interval.Range{slices.Clone(e.Signals[0])}
			return e
		}
		must := func(ok bool, format string, args ...any) {
			t.Helper()
			if !ok {
				refused++
				return
			}
			t.Errorf("seed %d, accepted: "+format, append([]any{seed}, args...)...)
		}
		asked := m.program()
		wider := func(r interval.Range) *interval.Range {
			x := r.Hull(r.Scale(big.NewRat(3, 2)))
			return &x
		}
		drifts := false
		for j, claim := range c.Asked.Signals[0] {
			e := copied()
			if claim == nil {
				for _, most := range []int64{0, 1, 1000} {
					r := interval.Ints(-most, most)
					e.Signals[0][j] = &r
					must(check(asked, e), "signal %d, of which nothing is known, in %d", j, most)
				}
				continue
			}
			for _, high := range []bool{false, true} {
				end := map[bool]*big.Rat{false: claim.Lo, true: claim.Hi}[high]
				by := new(big.Rat).Mul(new(big.Rat).Abs(end), big.NewRat(1, 1000))
				if by.Sign() == 0 {
					by.SetFrac64(1, 1<<20)
				}
				r := tighter(*claim, high, by)
				e.Signals[0][j] = &r
				must(check(asked, e), "signal %d in %v, high %v", j, r, high)
			}
			if e.Signals[0][j] = wider(*claim); !check(asked, e) {
				t.Errorf("seed %d: a wider claim about signal %d was refused", seed, j)
			}
			e.Signals[0][j] = nil
			if !check(asked, e) {
				t.Errorf("seed %d: no claim about signal %d was refused", seed, j)
			}
			drifts = drifts || claim.Size().Cmp(c.Chain.Signals[0][j].Size()) > 0
		}
		for n, claim := range c.Asked.States {
			e := copied()
			if claim == nil { // another way to follow the state: as good, or refused
				zero := interval.Ints(0, 0)
				if e.States[n] = &zero; check(asked, e) {
					accepted++
					m.holds(t, seed, e)
				} else {
					refused++
				}
				continue
			}
			if e.States[n] = nil; check(asked, e) {
				accepted++
			} else {
				refused++
			}
			if !claim.IsZero() {
				for _, high := range []bool{false, true} {
					r := tighter(*claim, high, new(big.Rat).Mul(claim.Size(), big.NewRat(1, 100)))
					e.States[n] = &r
					must(check(asked, e), "state %d in %v", n, r)
				}
			}
		}
		if c.Asked.Taps[0] > 1 {
			e := copied()
			for _, taps := range []int{-1, 0, 1, 1 << 30} {
				e.Taps[0] = taps
				must(check(asked, e) && drifts, "%d taps", taps)
			}
		}
		for id, k := range m.asked {
			q := asked.Clone()
			q.Ops[id].K = new(big.Rat).Add(k, big.NewRat(1, 7))
			if check(q, c.Asked) { // nothing that is claimed reads it
				accepted++
				m.holdsOf(t, seed, q, c.Asked)
			} else {
				refused++
			}
		}
		for i := range asked.Ops {
			q := asked.Clone()
			if op := &q.Ops[i]; len(op.Args) == 2 && op.Args[0] != op.Args[1] {
				slices.Reverse(op.Args)
				must(check(q, c.Asked), "arguments of %s turned round", op.Name)
			}
			if op := &q.Ops[i]; op.Kind == program.Add {
				op.Kind = program.Sub
				must(check(q, c.Asked), "another operation at %s", op.Name)
			}
		}
		for n := range asked.States {
			q := asked.Clone()
			q.States[n].Next = (q.States[n].Next + 1) % program.ID(len(q.Ops))
			must(check(q, c.Asked), "state %d becomes another value", n)
			q = asked.Clone()
			q.States[n].Enable = 0
			must(check(q, c.Asked), "state %d waits", n)
		}
	}
	t.Logf("%d refused, %d accepted and still true", refused, accepted)
	if refused < 1000 {
		t.Errorf("only %d were refused", refused)
	}
}

func (m *drifter) holds(t *testing.T, seed uint64, e cert.Errors) { m.holdsOf(t, seed, m.program(), e) }

// holdsOf runs claims that were accepted against random and driven inputs.
func (m *drifter) holdsOf(t *testing.T, seed uint64, asked *program.Real, e cert.Errors) {
	t.Helper()
	real, whole := program.NewRealMachine(asked), program.NewFixedMachine(&m.whole)
	rng := rand.New(rand.NewPCG(seed, 31))
	for tick := range 3000 {
		if tick%100 == 0 {
			real.Start()
			whole.Start()
		}
		x := []int64{rng.Int64N(256) - 128, rng.Int64N(256) - 128}
		if tick%200 > 100 {
			x = []int64{[]int64{-128, 127}[rng.IntN(2)], []int64{-128, 127}[tick/7%2]}
		}
		whole.Tick(x, nil)
		real.Tick([]float64{float64(x[0]), float64(x[1])}, nil, nil)
		for j, claim := range e.Signals[0] {
			if claim == nil {
				continue
			}
			off := float64(whole.Values[m.whole.Sections[0].Signals[j].Value])/1024 - real.Values[m.real.Sections[0].Signals[j].Value]
			lo, _ := claim.Lo.Float64()
			hi, _ := claim.Hi.Float64()
			if off < lo-1e-9 || off > hi+1e-9 {
				t.Fatalf("seed %d: accepted, but signal %d is %v off, claimed [%v, %v]", seed, j, off, lo, hi)
			}
		}
	}
}
