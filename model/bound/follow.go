package bound

import (
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
	spans   []program.Span
	readers []program.ID
}

func newReach(of program.Dialect) *Reach {
	p := of.View()
	r := &Reach{Evaluator: cert.NewEvaluator(of), p: p, spans: p.Spans(), readers: readers(p)}
	r.Sums = r.sums
	return r
}

// declare takes the inputs of a real program inside their declared ranges: to choose formats by, never to prove anything.
func (r *Reach) declare() {
	for i, in := range r.p.Inputs {
		if in.Lo == nil {
			continue
		}
		x := interval.Range{Lo: in.Lo, Hi: in.Hi}
		if in.Offset != nil {
			x = x.Sub(interval.Point(in.Offset))
		}
		if in.Turned {
			x = x.Neg()
		}
		r.Inputs[i] = x
	}
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
	r := &Spread{Differences: d, p: integer.View(), spans: integer.Spans(), readers: readers(integer.View())}
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
