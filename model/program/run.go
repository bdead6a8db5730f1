package program

import (
	"math"
	"slices"
)

// instr is an operation made ready to run. A negative argument -1-i reads value i as another
// section sees it, so that a section can be fed values that are not its neighbours' own.
type instr struct {
	kind    Kind
	a, b, c int32
	index   int32
	shift   uint
	k       int64
	f       float64 // of an angle: the units in a radian
	table   *Arctan
	curve   *Curve
	real    func(k, a, b, c float64) float64
	integer func(in *instr, a, b, c int64) int64
}

func compile(p View) []instr {
	code := make([]instr, len(p.Ops))
	for i, op := range p.Ops {
		row := op.Kind.Of()
		in := instr{kind: op.Kind, index: int32(op.Index), real: row.Real, integer: row.integer}
		args := [3]int32{}
		for j, a := range op.Args {
			args[j] = int32(a)
			if p.Ops[a].Section != op.Section {
				args[j] = -1 - int32(a)
			}
		}
		in.a, in.b, in.c = args[0], args[1], args[2]
		if op.K != nil {
			in.f, _ = op.K.Float64()
			if op.K.IsInt() && op.K.Num().IsInt64() {
				in.k = op.K.Num().Int64()
			}
		}
		code[i] = in
	}
	return code
}

// RealMachine runs a real program in float64. Every product is rounded on its own: no fused multiply-add.
type RealMachine struct {
	Values []float64 // of each operation in the last tick
	State  []float64
	p      *Real
	code   []instr
	parts  []stretch
	tick   int // since the start
	next   []float64
}

// NewRealMachine returns p at its start.
func NewRealMachine(p *Real) *RealMachine {
	m := &RealMachine{p: p, code: compile(p.View()), parts: p.View().stretches(), Values: make([]float64, len(p.Ops)),
		State: make([]float64, len(p.States)), next: make([]float64, len(p.States))}
	for i, op := range p.Ops {
		if op.Kind == Angle {
			turn, _ := Turn(op.Unit).Float64()
			m.code[i].f = float64(turn / (2 * math.Pi))
		}
		if op.Kind.Of().Drawn {
			m.code[i].real = polyline(op.Points)
		}
	}
	m.Start()
	return m
}

// Start puts every state to its start.
func (m *RealMachine) Start() {
	m.tick = 0
	for i, s := range m.p.States {
		m.State[i], _ = s.Start.Float64()
	}
}

// Restart puts every state back to its start, but for latches and those that are kept. Ticks are counted anew.
func (m *RealMachine) Restart(kept ...int) {
	m.tick = 0
	for i, s := range m.p.States {
		if !s.Latch && !slices.Contains(kept, i) {
			m.State[i], _ = s.Start.Float64()
		}
	}
}

// Tick runs one tick: each section whose clock says so. in holds the inputs in units (raw count times LSB; switches 0 or 1), coefs the
// live coefficients. Where fed is not nil, each section reads the values of other sections from fed
// instead of from this program's own run.
func (m *RealMachine) Tick(in, coefs, fed []float64) {
	v := m.Values
	if fed == nil {
		fed = v
	}
	get := func(a int32) float64 {
		if a < 0 {
			return fed[-1-a]
		}
		return v[a]
	}
	for _, part := range m.parts {
		if !part.Runs(m.tick) {
			continue
		}
		for i := part.First; i < part.End; i++ {
			c := &m.code[i]
			switch c.kind {
			case Const:
				v[i] = c.f
			case Input:
				v[i] = in[c.index] + 0 // + 0 turns a negative zero into zero
			case Coef:
				v[i] = coefs[c.index]
			case State:
				v[i] = m.State[c.index]
			default:
				v[i] = c.real(c.f, get(c.a), get(c.b), get(c.c))
			}
		}
	}
	for i, s := range m.p.States {
		at := func(id ID) float64 {
			if m.p.Ops[id].Section != s.Section {
				return fed[id]
			}
			return v[id]
		}
		m.next[i] = m.State[i]
		switch {
		case !m.p.At(s.Section).Runs(m.tick):
		case s.Reset != None && at(s.Reset) != 0:
			m.next[i] = at(s.ResetTo)
		case s.Enable == None || at(s.Enable) != 0:
			m.next[i] = at(s.Next)
		}
	}
	copy(m.State, m.next)
	m.tick++
}

// WrapReal takes whole turns off v, leaving [-turn/2, turn/2). A value less than turn*1e-12 below turn/2,
// closer than an integer format of 32 bits can tell, counts as on the seam, so that the float64 error does
// not choose the side: it comes out as much below -turn/2.
func WrapReal(v, turn float64) float64 {
	half := turn / 2
	v -= float64(turn * math.Floor((v+half)/turn)) // a product of its own: no fused multiply-add
	if half-v < turn*1e-12 {
		v -= turn
	}
	return v
}

// FixedMachine runs an integer program bit-exactly.
type FixedMachine struct {
	Values []int64 // of each operation in the last tick
	State  []int64
	p      *Fixed
	code   []instr
	parts  []stretch
	tick   int // since the start
	next   []int64
}

// NewFixedMachine returns p at its start.
func NewFixedMachine(p *Fixed) *FixedMachine {
	m := &FixedMachine{p: p, code: compile(p.View()), parts: p.View().stretches(), Values: make([]int64, len(p.Ops)), State: make([]int64, len(p.States)), next: make([]int64, len(p.States))}
	for i := range m.code {
		c := &m.code[i]
		c.shift, c.table, c.curve = p.Ops[i].Shift, p.Ops[i].Arctan, p.Ops[i].Curve
		for _, a := range []*int32{&c.a, &c.b, &c.c} {
			if *a < 0 {
				*a = -1 - *a
			}
		}
	}
	m.Start()
	return m
}

// Start puts every state to its start.
func (m *FixedMachine) Start() {
	m.tick = 0
	for i, s := range m.p.States {
		m.State[i] = s.Start.Num().Int64()
	}
}

// Restart puts every state back to its start, but for latches and those that are kept. Ticks are counted anew.
func (m *FixedMachine) Restart(kept ...int) {
	m.tick = 0
	for i, s := range m.p.States {
		if !s.Latch && !slices.Contains(kept, i) {
			m.State[i] = s.Start.Num().Int64()
		}
	}
}

// Tick runs one tick on raw inputs (switches 0 or 1) and live coefficients, both in counts.
func (m *FixedMachine) Tick(in, coefs []int64) {
	v := m.Values
	for _, part := range m.parts {
		if !part.Runs(m.tick) {
			continue
		}
		for i := part.First; i < part.End; i++ {
			c := &m.code[i]
			switch c.kind {
			case Const:
				v[i] = c.k
			case Input:
				v[i] = in[c.index]
			case Coef:
				v[i] = coefs[c.index]
			case State:
				v[i] = m.State[c.index]
			default:
				v[i] = c.integer(c, v[c.a], v[c.b], v[c.c])
			}
		}
	}
	for i := range m.p.States {
		s := &m.p.States[i]
		m.next[i] = m.State[i]
		switch {
		case !m.p.At(s.Section).Runs(m.tick):
		case s.Reset != None && v[s.Reset] != 0:
			m.next[i] = v[s.ResetTo]
		case s.Enable == None || v[s.Enable] != 0:
			m.next[i] = v[s.Next]
		}
	}
	copy(m.State, m.next)
	m.tick++
}

// Eval is the integer arctangent of y over x, in counts of which a right angle has Quarter.
// |y| and |x| are at most 65535.
func (t *Arctan) Eval(y, x int64) int64 {
	ay, ax := max(y, -y), max(x, -x)
	small, large := min(ay, ax), max(ay, ax)
	if large == 0 {
		return 0
	}
	q := small << t.QuotientBits / large
	down := t.QuotientBits - t.LogEntries
	i, frac := q>>down, q&(1<<down-1)
	r := t.Entries[i] + ((t.Entries[i+1]-t.Entries[i])*frac+1<<(down-1))>>down
	if ay > ax {
		r = t.Quarter - r
	}
	if x < 0 {
		r = 2*t.Quarter - r
	}
	if y < 0 {
		r = -r
	}
	return r
}
