package program

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func whole(x *big.Rat) *big.Rat { return x }

// double is the float64 next to x: what IEEE 754 asks of every single operation.
func double(x *big.Rat) *big.Rat {
	f, _ := x.Float64()
	return new(big.Rat).SetFloat64(f)
}

// TestIntegerIsNaive runs random integer programs beside the definitions in whole numbers without end.
func TestIntegerIsNaive(t *testing.T) {
	used := map[Kind]int{}
	for seed := range uint64(400) {
		g := &maker{Rand: rand.New(rand.NewPCG(seed, 1)), whole: true}
		p := g.random(40)
		for _, op := range p.Ops {
			used[op.Kind]++
		}
		m, want := NewFixedMachine(p), newNaive(p, whole)
		for tick := range 20 {
			in := []int64{g.Int64N(256) - 128, g.Int64N(65536) - 32768, g.Int64N(2)}
			coefs := []int64{g.Int64N(200)}
			m.Tick(in, coefs)
			want.tick(rats(in), rats(coefs))
			for i, v := range want.values {
				if !v.IsInt() || m.Values[i] != v.Num().Int64() {
					t.Fatalf("seed %d, tick %d: value %d, %v, is %d, want %v", seed, tick, i, p.Ops[i].Kind, m.Values[i], v)
				}
			}
			if d := cmp.Diff(ints(want.state), m.State); d != "" {
				t.Fatalf("seed %d, tick %d: states (-want +got)\n%s", seed, tick, d)
			}
		}
	}
	for k := Const; k <= Select; k++ {
		if k != Angle && used[k] < 50 {
			t.Errorf("%v was tried %d times", k, used[k])
		}
	}
}

func rats(xs []int64) (out []*big.Rat) {
	for _, x := range xs {
		out = append(out, big.NewRat(x, 1))
	}
	return out
}

func ints(xs []*big.Rat) (out []int64) {
	for _, x := range xs {
		out = append(out, x.Num().Int64())
	}
	return out
}

// TestRealIsNaive holds every operation of the float64 run to the nearest float64 of the exact result: a
// fused multiply-add, on whatever machine this runs, would round once where twice is right.
func TestRealIsNaive(t *testing.T) {
	for seed := range uint64(150) {
		g := &maker{Rand: rand.New(rand.NewPCG(seed, 2))}
		p := real(g.random(40))
		m, want := NewRealMachine(p), newNaive(p, double)
		for tick := range 20 {
			in := []float64{float64(g.IntN(65536)-32768) / 131, g.NormFloat64(), float64(g.IntN(2))}
			coefs := []float64{g.Float64() * 60}
			m.Tick(in, coefs, nil)
			want.tick(doubles(in), doubles(coefs))
			for i, v := range want.values {
				if f, _ := v.Float64(); f != m.Values[i] || math.Signbit(m.Values[i]) && f == 0 && p.Ops[i].Kind != Sub {
					t.Fatalf("seed %d, tick %d: value %d, %v, is %v, want %v", seed, tick, i, p.Ops[i].Kind, m.Values[i], f)
				}
			}
			for i, v := range want.state {
				if f, _ := v.Float64(); f != m.State[i] {
					t.Fatalf("seed %d, tick %d: state %d is %v, want %v", seed, tick, i, m.State[i], f)
				}
			}
		}
	}
}

func doubles(xs []float64) (out []*big.Rat) {
	for _, x := range xs {
		out = append(out, new(big.Rat).SetFloat64(x))
	}
	return out
}

// TestStateContract: Reset beats Enable, Enable off keeps, all states change together, Restart goes back.
func TestStateContract(t *testing.T) {
	p := &Fixed{Frame: Frame{Sections: make([]Section, 1)}}
	add := func(op Op) ID { p.Ops = append(p.Ops, FixedOp{Op: op}); return ID(len(p.Ops) - 1) }
	enable, reset := add(Op{Kind: Input, Index: 0, Bool: true}), add(Op{Kind: Input, Index: 1, Bool: true})
	a, b, c := add(Op{Kind: State, Index: 0}), add(Op{Kind: State, Index: 1}), add(Op{Kind: State, Index: 2})
	seven := add(Op{Kind: Const, K: big.NewRat(7, 1)})
	p.States = []FixedState{ // a and b change places; c follows a
		{StateInfo: StateInfo{Start: big.NewRat(1, 1), Next: b, Enable: enable, Reset: reset, ResetTo: seven}},
		{StateInfo: StateInfo{Start: big.NewRat(2, 1), Next: a, Enable: enable, Reset: None, ResetTo: None}},
		{StateInfo: StateInfo{Start: big.NewRat(3, 1), Next: a, Enable: None, Reset: reset, ResetTo: c}},
	}
	type row struct {
		Enable, Reset int64
		State         []int64
	}
	rows := []row{
		{0, 0, []int64{1, 2, 1}}, // kept; c took a's old value
		{1, 0, []int64{2, 1, 1}}, // changed places: neither saw the other's new value
		{1, 1, []int64{7, 2, 1}}, // reset beats enable for a; c is reset to its own old value, though a was 2
		{0, 1, []int64{7, 2, 1}}, // reset beats enable off
		{1, 0, []int64{2, 7, 7}},
	}
	m, r := NewFixedMachine(p), NewRealMachine(real(p))
	for range 2 {
		for i, want := range rows {
			m.Tick([]int64{want.Enable, want.Reset}, nil)
			r.Tick([]float64{float64(want.Enable), float64(want.Reset)}, nil, nil)
			got, real := row{want.Enable, want.Reset, m.State}, row{want.Enable, want.Reset, nil}
			for _, s := range r.State {
				real.State = append(real.State, int64(s))
			}
			if d := cmp.Diff([]row{want, want}, []row{got, real}); d != "" {
				t.Errorf("tick %d (-want +got):\n%s", i, d)
			}
		}
		m.Restart()
		r.Restart()
	}
}

// TestFed: a section that is fed reads other sections' values from outside, its own from itself.
func TestFed(t *testing.T) {
	p := &Fixed{Frame: Frame{Sections: make([]Section, 2), Inputs: make([]InputInfo, 1)}, Ops: []FixedOp{
		{Op: Op{Kind: Input}}, {Op: Op{Kind: Scale, Args: []ID{0}, K: big.NewRat(2, 1)}},
		{Op: Op{Kind: Scale, Args: []ID{1}, K: big.NewRat(10, 1), Section: 1}}, {Op: Op{Kind: Add, Args: []ID{1, 2}, Section: 1}}, {Op: Op{Kind: State, Section: 1}}},
		States: []FixedState{{StateInfo: StateInfo{Start: new(big.Rat), Next: 1, Enable: None, Reset: None, Section: 1}}}}
	m := NewRealMachine(real(p))
	m.Tick([]float64{3}, nil, nil)
	if d := cmp.Diff([]float64{3, 6, 60, 66, 0}, m.Values); d != "" || m.State[0] != 6 {
		t.Errorf("on its own: state %v, values %s", m.State, d)
	}
	m.Tick([]float64{3}, nil, []float64{0, 5, -1, -1, -1})
	if d := cmp.Diff([]float64{3, 6, 50, 55, 6}, m.Values); d != "" || m.State[0] != 5 {
		t.Errorf("fed: state %v, values %s", m.State, d)
	}
}
