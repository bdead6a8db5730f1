package selection

import (
	"math"
	"math/big"

	"gainwright/model/program"
)

// addProductsLast turns p + q + x, with products p and q that nothing else uses, into x + p + q: each
// product can then be added to a sum that is there already. It does so where the sums on the way fit 32 bits. What was p + q is x + p then,
// and is called by the sum that it leads to.
func (s *Selection) addProductsLast() {
	p := s.Program
	times := readers(p)
	product := func(id program.ID) bool {
		op := &p.Ops[id]
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
			one, two := &p.Ops[pair.Args[0]], pair.Args[1]
			lo, hi := p.Ops[x].Lo+one.Lo, p.Ops[x].Hi+one.Hi
			if p.Ops[x].Type == program.I64 || lo < math.MinInt32 || hi > math.MaxInt32 {
				continue
			}
			pair.Args, pair.Lo, pair.Hi, pair.Name = []program.ID{x, pair.Args[0]}, lo, hi, sum.Name+"_so_far"
			s.Changed[sum.Args[n]] = true
			sum.Args = []program.ID{sum.Args[n], two}
			break
		}
	}
}

// takeRaw makes an angle of a side that has been turned round one of the raw side, and notes which: the
// lengths are the same, and the raw one takes 16 bits where the turned one, [-32767, 32768], takes 32.
func (s *Selection) takeRaw() {
	p := s.Program
	for i := range p.Ops {
		op := &p.Ops[i]
		if op.Kind != program.Angle {
			continue
		}
		for n, a := range op.Args {
			side := &p.Ops[a]
			if side.Kind == program.Scale && p.ClockOf(a) == p.ClockOf(program.ID(i)) && side.K.Cmp(big.NewRat(-1, 1)) == 0 && inside(&p.Ops[side.Args[0]], program.I16) {
				op.Args[n], s.Ops[i].Raw[n] = side.Args[0], true
			}
		}
	}
}
