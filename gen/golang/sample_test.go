package golang

import (
	"math"
	"math/big"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// both is one value in the real and in the integer program.
type both struct{ real, integer program.ID }

// builder makes a pair of programs by hand, operation by operation, in binary formats.
type builder struct {
	u       *model.Unit
	section int
}

func newBuilder(name string) *builder {
	u := &model.Unit{Spec: &spec.Spec{File: "some/where/" + name + ".yaml", Hash: "0123456789abcdef", Name: name, About: "made by hand */ for a test"},
		Stored: &program.Real{Frame: program.Frame{Name: name, Rate: big.NewRat(100, 1)}}, Integer: &program.Fixed{Frame: program.Frame{Name: name, Rate: big.NewRat(100, 1)}}, Constants: nil}
	return &builder{u: u, section: -1}
}

func (b *builder) programs(do func(p *program.Frame)) { do(&b.u.Stored.Frame); do(&b.u.Integer.Frame) }

func (b *builder) begin(name string) {
	b.section++
	b.programs(func(p *program.Frame) {
		p.Sections = append(p.Sections, program.Section{Name: name, Kind: "sample", Sentence: "Does what " + name + " does.", Equation: name + " = f(x)"})
	})
}

func pow(n int) *big.Rat { return new(big.Rat).SetFloat64(math.Ldexp(1, n)) }

// op adds an operation to both programs. bits is the number of fraction bits of its integer value; t 0 means a truth value.
func (b *builder) op(kind program.Kind, name string, t program.Type, bits int, edit func(r *program.RealOp, i *program.FixedOp), args ...both) both {
	lo, hi := t.Range()
	if t == program.I64 {
		lo, hi = -1<<38, 1<<38
	}
	op := program.Op{Kind: kind, Name: name, Doc: "value " + name, Section: b.section, Unit: "turn", Bool: t == program.Bool}
	r, i := program.RealOp{Op: op}, program.FixedOp{Op: op}
	i.Type, i.Lo, i.Hi, i.LSB = t, lo, hi, pow(-bits)
	for _, a := range args {
		r.Args = append(r.Args, a.real)
		i.Args = append(i.Args, a.integer)
	}
	if edit != nil {
		edit(&r, &i)
	}
	i.Real = program.ID(len(b.u.Stored.Ops))
	b.u.Stored.Ops = append(b.u.Stored.Ops, r)
	b.u.Integer.Ops = append(b.u.Integer.Ops, i)
	return both{program.ID(len(b.u.Stored.Ops) - 1), program.ID(len(b.u.Integer.Ops) - 1)}
}

// round takes n fraction bits off, in the integer program only.
func (b *builder) round(v both, name string, t program.Type, n uint) both {
	a := b.u.Integer.Ops[v.integer]
	lo, hi := t.Range()
	b.u.Integer.Ops = append(b.u.Integer.Ops, program.FixedOp{Op: program.Op{Kind: program.Round, Name: name, Doc: "rounded", Section: b.section, Unit: a.Unit,
		Args: []program.ID{v.integer}}, Shift: n, Type: t, Lo: lo, Hi: hi, LSB: new(big.Rat).Mul(a.LSB, pow(int(n))), Real: v.real})
	return both{v.real, program.ID(len(b.u.Integer.Ops) - 1)}
}

func (b *builder) constant(name string, k float64, t program.Type, bits int) both {
	return b.op(program.Const, name, t, bits, func(r *program.RealOp, i *program.FixedOp) {
		r.K, i.K = new(big.Rat).SetFloat64(k), new(big.Rat).SetFloat64(math.Ldexp(k, bits))
	})
}

func (b *builder) scale(name string, k float64, kBits int, t program.Type, bits int, v both) both {
	return b.op(program.Scale, name, t, bits, func(r *program.RealOp, i *program.FixedOp) {
		r.K, i.K = new(big.Rat).SetFloat64(k), new(big.Rat).SetFloat64(math.Ldexp(k, kBits))
	}, v)
}

func (b *builder) input(name string, t program.Type, bits int) both {
	n := len(b.u.Stored.Inputs)
	b.programs(func(p *program.Frame) {
		p.Inputs = append(p.Inputs, program.InputInfo{Name: name, Unit: "turn", Type: t, LSB: pow(-bits), IsSwitch: t == program.Bool})
	})
	return b.op(program.Input, name+"_raw", t, bits, func(r *program.RealOp, i *program.FixedOp) { r.Index, i.Index = n, n })
}

func (b *builder) state(name string, t program.Type, bits int, start float64) (int, both) {
	n := len(b.u.Stored.States)
	none := program.StateInfo{Name: name, Doc: "state " + name, Section: b.section, Bool: t == program.Bool, Next: program.None, Enable: program.None, Reset: program.None, ResetTo: program.None}
	r, i := program.RealState{StateInfo: none}, program.FixedState{StateInfo: none}
	r.Start, i.Start = new(big.Rat).SetFloat64(start), new(big.Rat).SetFloat64(math.Ldexp(start, bits))
	i.Type, i.LSB, i.Real = t, pow(-bits), n
	i.Lo, i.Hi = t.Range()
	b.u.Stored.States = append(b.u.Stored.States, r)
	b.u.Integer.States = append(b.u.Integer.States, i)
	return n, b.op(program.State, name+"_before", t, bits, func(r *program.RealOp, i *program.FixedOp) { r.Index, i.Index = n, n })
}

// update sets what a state becomes; nil stands for an absent condition.
func (b *builder) update(n int, next both, enable, reset, to *both) {
	r, i := &b.u.Stored.States[n], &b.u.Integer.States[n]
	r.Next, i.Next = next.real, next.integer
	if enable != nil {
		r.Enable, i.Enable = enable.real, enable.integer
	}
	if reset != nil {
		r.Reset, i.Reset, r.ResetTo, i.ResetTo = reset.real, reset.integer, to.real, to.integer
	}
}

func (b *builder) signal(name string, v both, local float64, turn *big.Rat) {
	r, i := &b.u.Stored.Sections[b.section], &b.u.Integer.Sections[b.section]
	b.u.Bounds = append(b.u.Bounds, model.Bound{Section: b.section, Signal: len(r.Signals), Local: new(big.Rat).SetFloat64(local)})
	r.Signals = append(r.Signals, program.Signal{Name: name, Value: v.real, Angular: turn})
	i.Signals = append(i.Signals, program.Signal{Name: name, Value: v.integer, Angular: turn})
}

func (b *builder) output(name string, v both, t program.Type, bits int) {
	b.u.Stored.Outputs = append(b.u.Stored.Outputs, program.Output{Name: name, Unit: "turn", Type: t, LSB: pow(-bits), Value: v.real})
	b.u.Integer.Outputs = append(b.u.Integer.Outputs, program.Output{Name: name, Unit: "turn", Type: t, LSB: pow(-bits), Value: v.integer})
}

// gain adds a live gain in [0, 4] whose coefficient has 8 fraction bits.
func (b *builder) gain(name string) both {
	n := len(b.u.Stored.Gains)
	b.programs(func(p *program.Frame) {
		p.Gains = append(p.Gains, program.Gain{Name: name, Key: "mix." + name, Unit: "1", Value: big.NewRat(3, 2), Lo: new(big.Rat), Hi: big.NewRat(4, 1)})
	})
	c := program.CoefInfo{Gain: n, Factor: big.NewRat(1, 1), Name: name}
	b.u.Stored.Coefs = append(b.u.Stored.Coefs, c)
	b.u.Integer.Coefs = append(b.u.Integer.Coefs, program.FixedCoef{CoefInfo: c, Type: program.I16, LSB: pow(-8),
		Setter: program.Setter{Digits: 3, XLo: 0, XHi: 4000, XStart: 1500, M: 16777, Shift: 16}})
	return b.op(program.Coef, name+"_live", program.I16, 8, func(r *program.RealOp, i *program.FixedOp) { r.Index, i.Index = n, n; i.Lo, i.Hi = 0, 1024 })
}

// arctan makes a table of 32 pieces with a right angle of 16384 counts.
func arctan() *program.Arctan {
	t := &program.Arctan{QuotientBits: 13, LogEntries: 5, Quarter: 16384, MaxError: big.NewRat(20, 1)}
	for k := range 34 {
		t.Entries = append(t.Entries, int64(math.Round(math.Atan(float64(min(k, 32))/32)*32768/math.Pi)))
	}
	return t
}

func (b *builder) logic(kind program.Kind, name string, args ...both) both {
	return b.op(kind, name, program.Bool, 0, nil, args...)
}
