package trial

import (
	"math/big"

	"gainwright/model/bound"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// span is the counts that an input takes.
type span struct{ lo, hi int64 }

func (s span) width() int64 { return s.hi - s.lo }

func (s span) limit(v int64) int64 { return min(max(v, s.lo), s.hi) }

func (s span) holds(v int64) bool { return s.lo <= v && v <= s.hi }

// register is everything that the raw register holds.
func register(in program.InputInfo) span {
	lo, hi := in.Type.Range()
	return span{lo, hi}
}

// declared is the declared range of an input in counts, inwards.
func declared(in program.InputInfo) span {
	all := register(in)
	if in.IsSwitch || in.Lo == nil || in.Hi == nil {
		return all
	}
	r := bound.Declared(in).Scale(new(big.Rat).Inv(in.LSB))
	inside, ok := r.Meet(interval.Ints(all.lo, all.hi))
	if ok {
		inside, ok = inside.Whole()
	}
	if !ok { // a range between two counts
		v := all.limit(new(big.Int).Set(interval.Floor(r.Lo)).Int64())
		return span{v, v}
	}
	return span{inside.Lo.Num().Int64(), inside.Hi.Num().Int64()}
}
