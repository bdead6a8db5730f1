package bound

import (
	"gainwright/model/affine"
	"gainwright/model/program"
)

// Effort is work done, in about the nanoseconds that it takes on a machine of our day. It is counted, not measured: the same on
// every machine and at every time, so that a search that stops for it stops at the same place.
type Effort int64

const (
	perOp   = 2000 // of one operation's range or difference
	perTerm = 1500 // that each term of its form adds
)

// bill adds up efforts. What is remembered from before it began counts as if it were not; what was paid for since is free.
type bill struct {
	sum  Effort
	paid map[string]bool
}

// Effort is what all that was asked for so far has cost.
func (b *bill) Effort() Effort { return b.sum }

// section adds the effort of following a section once; form is that of each of its values.
func (b *bill) section(s program.Span, form func(program.ID) (affine.Form, bool)) {
	for id := program.ID(s.First); id < program.ID(s.End); id++ {
		b.sum += perOp
		if f, known := form(id); known && !f.Is(int(id)) {
			b.sum += Effort(perTerm * len(f.Terms))
		}
	}
}

// once adds the effort of what key stands for, unless it was paid for.
func (b *bill) once(key string, e float64) {
	if b.paid[key] {
		return
	}
	if b.paid == nil {
		b.paid = map[string]bool{}
	}
	b.paid[key] = true
	b.sum += Effort(e)
}
