package program

import "slices"

// Dialect is a real or an integer program.
type Dialect interface{ View() View }

// View is what the two dialects have in common, for code that serves both. It points into the program that it was taken of, and
// holds until operations, states or coefficients are added to it.
type View struct {
	*Frame
	Coefs  []*CoefInfo
	States []*StateInfo
	Ops    []*Op
}

// View shows what p shares with the other dialect.
func (p *Real) View() View {
	return View{&p.Frame, parts(p.Coefs, func(c *CoefInfo) *CoefInfo { return c }), parts(p.States, func(s *RealState) *StateInfo { return &s.StateInfo }),
		parts(p.Ops, func(op *RealOp) *Op { return &op.Op })}
}

// View shows what p shares with the other dialect.
func (p *Fixed) View() View {
	return View{&p.Frame, parts(p.Coefs, func(c *FixedCoef) *CoefInfo { return &c.CoefInfo }), parts(p.States, func(s *FixedState) *StateInfo { return &s.StateInfo }),
		parts(p.Ops, func(op *FixedOp) *Op { return &op.Op })}
}

func parts[T, Part any](list []T, part func(*T) *Part) []*Part {
	out := make([]*Part, len(list))
	for i := range list {
		out[i] = part(&list[i])
	}
	return out
}

// Span is a run [First, End): of the operations of a section, or of sections.
type Span struct{ First, End int }

// Spans returns the span of each section; a section's operations are contiguous.
func (p View) Spans() []Span {
	out := make([]Span, len(p.Sections))
	for i := range out {
		out[i] = Span{First: len(p.Ops)}
	}
	for i, op := range p.Ops {
		s := &out[op.Section]
		s.First, s.End = min(s.First, i), i+1
	}
	return out
}

// Spans returns the span of each section.
func (p *Real) Spans() []Span { return p.View().Spans() }

// Spans returns the span of each section.
func (p *Fixed) Spans() []Span { return p.View().Spans() }

// Readers finds the operation that reads each state.
func (p View) Readers() []ID {
	out := make([]ID, len(p.States))
	for i, op := range p.Ops {
		if op.Kind == State {
			out[op.Index] = ID(i)
		}
	}
	return out
}

// StatesOf lists the states of each section.
func (p View) StatesOf() [][]int {
	out := make([][]int, len(p.Sections))
	for n, s := range p.States {
		out[s.Section] = append(out[s.Section], n)
	}
	return out
}

// Rings lists the sections as runs [First, End) that must be looked at together: in a run of several, a state of one becomes what a later one yields.
func (p View) Rings() (out []Span) {
	last := make([]int, len(p.Sections)) // section up to which a run that begins here reaches
	for s := range last {
		last[s] = s
	}
	for _, s := range p.States {
		for _, id := range s.Takes() {
			last[s.Section] = max(last[s.Section], p.Ops[id].Section)
		}
	}
	for first := 0; first < len(last); {
		end := first
		for s := first; s <= end; s++ {
			end = max(end, last[s])
		}
		out = append(out, Span{first, end + 1})
		first = end + 1
	}
	return out
}

// Clone returns a copy whose slices can be changed without touching p. Rational numbers are shared: they are never changed in place.
func (p *Real) Clone() *Real {
	c := &Real{p.Frame.Clone(), slices.Clone(p.Coefs), slices.Clone(p.States), slices.Clone(p.Ops)}
	c.View().ownArgs()
	return c
}

// Clone returns a copy whose slices can be changed without touching p. Rational numbers are shared: they are never changed in place.
func (p *Fixed) Clone() *Fixed {
	c := &Fixed{p.Frame.Clone(), slices.Clone(p.Coefs), slices.Clone(p.States), slices.Clone(p.Ops)}
	c.View().ownArgs()
	return c
}

// Clone returns a copy whose slices can be changed without touching f.
func (f Frame) Clone() Frame {
	f.Inputs, f.Gains, f.Sections, f.Outputs = slices.Clone(f.Inputs), slices.Clone(f.Gains), slices.Clone(f.Sections), slices.Clone(f.Outputs)
	for i := range f.Sections {
		s := &f.Sections[i]
		s.Inputs, s.Signals = slices.Clone(s.Inputs), slices.Clone(s.Signals)
	}
	return f
}

func (p View) ownArgs() {
	for _, op := range p.Ops {
		op.Args = slices.Clone(op.Args)
	}
}
