package cert

import "gainwright/model/program"

// Effort is work done, in about the nanoseconds that it takes on a machine of our day. It is counted, not measured: the same on
// every machine and at every time, so that a search that stops for it stops at the same place.
type Effort int64

// perOp is the effort of one operation's range or difference.
const perOp = 2000

// perTerm is what each term of its form adds.
const perTerm = 1500

// bill adds up efforts. What is remembered from before it began counts as if it were not; what was paid for since is free.
type bill struct {
	sum  Effort
	paid map[string]bool
}

func (b *bill) add(e Effort) { b.sum += e }

// ops adds the effort of following the operations of a section once.
func (b *bill) ops(s program.Span) { b.add(perOp * Effort(max(0, s.End-s.First))) }

// once adds the effort of what key stands for, unless it was paid for.
func (b *bill) once(key string, e Effort) {
	if b == nil || b.paid[key] {
		return
	}
	if b.paid == nil {
		b.paid = map[string]bool{}
	}
	b.paid[key] = true
	b.add(e)
}

// Effort is what all that was asked for so far has cost.
func (e *Evaluator) Effort() Effort { return e.effort.sum }

// Effort is what all that was asked for so far has cost.
func (d *Differences) Effort() Effort { return d.effort.sum }
