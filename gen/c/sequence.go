package c

import (
	"math"
	"math/big"
	"math/rand/v2"

	"gainwright/model/bound"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// sequence makes raw inputs for a self-test: the same ones for the same program, each inside its
// declared range, and chosen so that the outputs move. A quarter of the ticks each:
//
//	rest, and then every switch on; one input after the other off zero by a small step;
//	a slow walk, switches on; anything at all, the ends of the ranges and switches included.
//
// Readings keep to what the controller believes of them until the last eighth.
func sequence(p *program.Fixed, ticks int) [][]int64 {
	rng := rand.NewPCG(0x6761696e, 0x77726967)
	below := func(n uint64) int64 { return int64(rng.Uint64() % n) }
	spans := make([]span, len(p.Inputs))
	now := make([]int64, len(p.Inputs))
	for i, in := range p.Inputs {
		spans[i] = declared(in)
		now[i] = spans[i].rest()
	}
	rows := make([][]int64, ticks)
	for t := range rows {
		for i, in := range p.Inputs {
			s := spans[i]
			width := uint64(s.hi - s.lo)
			switch phase := 4 * t / ticks; {
			case inputType(in) == program.Bool:
				now[i] = 1
				if phase == 0 && t < ticks/8 || phase == 3 && below(4) == 0 {
					now[i] = 0
				}
			case phase == 0:
				now[i] = s.rest()
			case phase == 1:
				now[i] = s.rest()
				if t%len(p.Inputs) == i {
					now[i] = s.limit(s.rest() + int64(width/16) + 1)
				}
			case phase == 2:
				now[i] = s.limit(now[i] + below(width/16+3) - int64(width/32) - 1)
			default:
				switch below(8) {
				case 0:
					now[i] = s.lo
				case 1:
					now[i] = s.hi
				default:
					now[i] = s.lo + below(width+1)
				}
			}
		}
		if t < ticks*7/8 {
			var last []int64
			if t > 0 {
				last = rows[t-1]
			}
			p.Believe(last, now)
		}
		rows[t] = append([]int64(nil), now...)
	}
	return rows
}

// span is the counts that an input takes inside its declared range.
type span struct{ lo, hi int64 }

func (s span) limit(v int64) int64 { return min(max(v, s.lo), s.hi) }

// rest is the count nearest to zero.
func (s span) rest() int64 { return s.limit(0) }

// declared turns the declared range of an input into counts, inwards.
func declared(in program.InputInfo) span {
	lo, hi := inputType(in).Range()
	if inputType(in) == program.Bool || in.Lo == nil || in.Hi == nil {
		return span{lo, hi}
	}
	s := within(bound.Declared(in).Scale(new(big.Rat).Inv(in.LSB)), span{lo, hi})
	s.lo = min(s.lo, s.hi) // a range between two counts
	return s
}

// within are the whole numbers inside a range, as far as another span holds them.
func within(r interval.Range, all span) span {
	limit := func(whole *big.Int) int64 {
		if !whole.IsInt64() {
			return int64(whole.Sign()) * math.MaxInt64
		}
		return whole.Int64()
	}
	return span{all.limit(limit(interval.Ceil(r.Lo))), all.limit(limit(interval.Floor(r.Hi)))}
}
