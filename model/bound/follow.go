package bound

import (
	"math/big"
	"slices"

	"gainwright/model/affine"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// Reach is the ranges that a search found.
type Reach struct {
	*cert.Evaluator
	bill
	p       program.View
	fixed   *program.Fixed // nil for a real program
	spans   []program.Span
	readers []program.ID
	seeded  map[int]bool // states whose start is never used
}

func newReach(of program.Dialect) *Reach {
	p := of.View()
	r := &Reach{Evaluator: cert.NewEvaluator(of), p: p, spans: p.Spans(), readers: p.Readers(), seeded: map[int]bool{}}
	r.fixed, _ = of.(*program.Fixed)
	r.Sums = r.sums
	return r
}

// After is where a tick leads state n from the ranges last found, or its start, where that is used.
func (r *Reach) After(n int) interval.Range {
	if r.seeded[n] {
		return r.Ranges[r.p.States[n].Next]
	}
	return r.Evaluator.After(n)
}

// Declared is the declared range of an input in a program, less its offset and turned where its counts are; there must be one.
func Declared(in program.InputInfo) interval.Range {
	x := interval.Range{Lo: in.Lo, Hi: in.Hi}
	if in.Offset != nil {
		x = x.Sub(interval.Point(in.Offset))
	}
	if in.Turned {
		x = x.Neg()
	}
	return x
}

// seed lets states begin with what is taken in their place at the first tick, where their start is never used: a filter of
// temperatures about 100 was never at 0. It tells whether there were any.
func (r *Reach) seed(p *program.Real, states []int) (any bool) {
	for _, n := range states {
		s := &p.States[n]
		if s.Bool || s.Enable != program.None || s.Reset != program.None {
			continue
		}
		if x, ok := firstOf(p, r.readers[n]); ok {
			r.States[n], r.seeded[n], any = r.Ranges[x], true, true
		}
	}
	return any
}

// firstOf is the value that stands for a state at the first tick, where all that reads the state takes that value then.
func firstOf(p *program.Real, reader program.ID) (x program.ID, ok bool) {
	for _, s := range p.States {
		if slices.Contains(s.Takes(), reader) {
			return 0, false
		}
	}
	if p.SignalOf(reader) != "" {
		return 0, false
	}
	for i := range p.Ops {
		op := &p.Ops[i]
		for at, a := range op.Args {
			if a != reader {
				continue
			}
			if op.Kind != program.Select || at != 2 || !IsFirstTick(p, op.Args[0]) || ok && op.Args[1] != x {
				return 0, false
			}
			x, ok = op.Args[1], true
		}
	}
	return x, ok
}

// IsFirstTick tells whether a value is on at the first tick and never again.
func IsFirstTick(p *program.Real, id program.ID) bool {
	op := &p.Ops[id]
	for op.Kind == program.Scale && op.K.Cmp(big.NewRat(1, 1)) == 0 && p.ClockOf(id) == p.ClockOf(op.Args[0]) { // its name outside
		id = op.Args[0]
		op = &p.Ops[id]
	}
	if op.Kind != program.State {
		return false
	}
	s := &p.States[op.Index]
	next := &p.Ops[s.Next]
	return s.Bool && s.Start != nil && s.Start.Sign() > 0 && s.Enable == program.None && s.Reset == program.None && next.Kind == program.Const && next.K.Sign() == 0
}

// Section is billed.
func (r *Reach) Section(section int) {
	r.Evaluator.Section(section)
	r.section(r.spans[section], func(id program.ID) (affine.Form, bool) { return r.Form(id, section), true })
}

// Spread is the differences that a search found.
type Spread struct {
	*cert.Differences
	bill
	p       program.View
	spans   []program.Span
	readers []program.ID
}

func newSpread(stored *program.Real, integer *program.Fixed, ranges []interval.Range, chain bool) (*Spread, error) {
	d, err := cert.NewDifferences(stored, integer, ranges, chain)
	if err != nil {
		return nil, err
	}
	r := &Spread{Differences: d, p: integer.View(), spans: integer.Spans(), readers: integer.View().Readers()}
	r.Sums = r.sums
	return r, nil
}

// Section is billed.
func (r *Spread) Section(section int) {
	r.Differences.Section(section)
	r.section(r.spans[section], func(id program.ID) (affine.Form, bool) { return r.Form(id, section) })
}

// rest of state n.
func (r *Reach) rest(n int) (interval.Range, bool) {
	s := r.p.States[n]
	return rest(r.p, r.Form(s.Next, s.Section), r.readers[n], r.Of)
}

// rest of the difference of state n.
func (r *Spread) rest(n int) (interval.Range, bool) {
	s := r.p.States[n]
	f, known := r.Form(s.Next, s.Section)
	if !known {
		return interval.Range{}, false
	}
	return rest(r.p, f, r.readers[n], r.Of)
}

// matrix of a section's linear states.
func (r *Reach) matrix(section int) [][]float64 { return matrix(r.Recursion(section)) }

// matrix is the same for differences; nil where nothing is known.
func (r *Spread) matrix(section int) [][]float64 {
	c, err := r.Recursion(section)
	if err != nil {
		return nil
	}
	return matrix(c)
}

// joined tells whether a section is bounded together with others before it.
func (r *Reach) joined(section int) bool {
	c := r.Recursion(section)
	return len(c.Symbols) > c.Own
}

// joined is the same for differences.
func (r *Spread) joined(section int) bool {
	c, err := r.Recursion(section)
	return err != nil || len(c.Symbols) > c.Own
}
