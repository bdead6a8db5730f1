package c

import (
	"math"

	"gainwright/model/program"
)

// addProductsLast turns p + q + x, with products p and q that nothing else uses, into x + p + q: each
// product can then be added to a sum that is there already. It does so where the sums on the way fit 32 bits,
// and returns the operations that hold x + p now.
func addProductsLast(p *program.Fixed) (regrouped map[program.ID]bool) {
	regrouped = map[program.ID]bool{}
	times := program.Readers(p)
	product := func(id program.ID) bool {
		op := p.Ops[id]
		return (op.Kind == program.Mul || op.Kind == program.Scale) && op.Type == program.I32 && times[id] == 1
	}
	for i := range p.Ops {
		sum := &p.Ops[i]
		if sum.Kind != program.Add || sum.Type != program.I32 {
			continue
		}
		for n := range sum.Args {
			pair, x := &p.Ops[sum.Args[n]], sum.Args[1-n]
			if pair.Kind != program.Add || pair.Type != program.I32 || times[sum.Args[n]] != 1 || pair.Section != sum.Section ||
				!product(pair.Args[0]) || !product(pair.Args[1]) || product(x) {
				continue
			}
			one, two := p.Ops[pair.Args[0]], pair.Args[1]
			lo, hi := p.Ops[x].Lo+one.Lo, p.Ops[x].Hi+one.Hi
			if p.Ops[x].Type == program.I64 || lo < math.MinInt32 || hi > math.MaxInt32 {
				continue
			}
			pair.Args, pair.Lo, pair.Hi = []program.ID{x, pair.Args[0]}, lo, hi
			regrouped[sum.Args[n]] = true
			sum.Args = []program.ID{sum.Args[n], two}
			break
		}
	}
	return regrouped
}
