package proof

import (
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// plain is where an operation leads while each argument is anywhere in its certified range, whatever the
// others are: what intervals alone can say. known is false for operations that it has no rule for and needs
// none: Eva finds their ranges, or an assertion stays open.
func plain(p *program.Fixed, id program.ID) (r interval.Range, known bool) {
	op := &p.Ops[id]
	arg := func(i int) interval.Range {
		a := &p.Ops[op.Args[i]]
		return interval.Ints(a.Lo, a.Hi)
	}
	switch op.Kind {
	case program.Add:
		return arg(0).Add(arg(1)), true
	case program.Sub:
		return arg(0).Sub(arg(1)), true
	case program.Scale:
		return arg(0).Scale(op.K), true
	case program.Mul:
		return arg(0).Mul(arg(1)), true
	case program.Round:
		return interval.Range{Lo: rounded(arg(0).Lo, op.Shift), Hi: rounded(arg(0).Hi, op.Shift)}, true
	case program.Clamp:
		return arg(0).Limit(arg(1), arg(2)), true
	case program.Min:
		return arg(0).Min(arg(1)), true
	case program.Max:
		return arg(0).Max(arg(1)), true
	case program.Abs:
		return arg(0).Abs(), true
	case program.Select:
		return arg(1).Hull(arg(2)), true
	}
	return interval.Range{}, false
}

// rounded is floor((x + half)/2^n).
func rounded(x *big.Rat, n uint) *big.Rat {
	unit := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), n))
	x = new(big.Rat).Quo(x, unit)
	return new(big.Rat).SetInt(interval.Floor(x.Add(x, big.NewRat(1, 2))))
}
