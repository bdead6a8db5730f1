package proof

import (
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// plain is where an operation leads while each argument is anywhere in its certified range, whatever the
// others are: what intervals alone can say. known is false for operations that have no rule and need
// none: Eva finds their ranges, or an assertion stays open.
func plain(p *program.Fixed, id program.ID) (r interval.Range, known bool) {
	op := &p.Ops[id]
	var in [3]interval.Range
	for i, a := range op.Args {
		in[i] = interval.Ints(p.Ops[a].Lo, p.Ops[a].Hi)
	}
	return plainRules[op.Kind](op, in[0], in[1], in[2])
}

type plainRule func(op *program.FixedOp, a, b, c interval.Range) (r interval.Range, known bool)

// plainRules say by kind where an operation leads.
var plainRules = [program.Kinds]plainRule{
	program.Const: bySight,
	program.Input: bySight,
	program.Coef:  bySight,
	program.State: bySight,
	program.Add:   of(interval.Range.Add),
	program.Sub:   of(interval.Range.Sub),
	program.Scale: func(op *program.FixedOp, a, _, _ interval.Range) (interval.Range, bool) { return a.Scale(op.K), true },
	program.Mul:   of(interval.Range.Mul),
	program.Round: func(op *program.FixedOp, a, _, _ interval.Range) (interval.Range, bool) {
		return interval.Range{Lo: rounded(a.Lo, op.Shift), Hi: rounded(a.Hi, op.Shift)}, true
	},
	program.Clamp:     func(_ *program.FixedOp, a, b, c interval.Range) (interval.Range, bool) { return a.Limit(b, c), true },
	program.Min:       of(interval.Range.Min),
	program.Max:       of(interval.Range.Max),
	program.Abs:       func(_ *program.FixedOp, a, _, _ interval.Range) (interval.Range, bool) { return a.Abs(), true },
	program.Wrap:      bySight,
	program.Angle:     bySight,
	program.Quotient:  bySight,
	program.Root:      bySight,
	program.Table:     bySight,
	program.Less:      bySight,
	program.LessEqual: bySight,
	program.And:       bySight,
	program.Or:        bySight,
	program.Not:       bySight,
	program.Select:    func(_ *program.FixedOp, _, b, c interval.Range) (interval.Range, bool) { return b.Hull(c), true },
}

// bySight leaves it to Eva.
func bySight(*program.FixedOp, interval.Range, interval.Range, interval.Range) (r interval.Range, known bool) {
	return r, false
}

func of(rule func(a, b interval.Range) interval.Range) plainRule {
	return func(_ *program.FixedOp, a, b, _ interval.Range) (interval.Range, bool) { return rule(a, b), true }
}

// rounded is floor((x + half)/2^n).
func rounded(x *big.Rat, n uint) *big.Rat {
	unit := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), n))
	x = new(big.Rat).Quo(x, unit)
	return new(big.Rat).SetInt(interval.Floor(x.Add(x, big.NewRat(1, 2))))
}
