package selection

import (
	"math/big"
	"slices"

	"gainwright/model/program"
)

// mergeRoundings makes one rounding of two, and rounds before it limits where that fits 16 bits: the numbers
// that come out are the same, since floor((floor(x/a) + b)/c) = floor((x + a*b)/(a*c)) and since rounding never changes the order
// of two numbers. On a part that computes with words of 8 bits two roundings stay two where one is no shorter. It returns the operations
// that hold another value than in the program, and those that round twice with the bits of the first rounding.
func mergeRoundings(p *program.Fixed, word uint) (changed map[program.ID]bool, twice map[program.ID]uint) {
	changed, twice = map[program.ID]bool{}, map[program.ID]uint{}
	times := readers(p)
	for i := range p.Ops {
		id, op := program.ID(i), &p.Ops[i]
		if op.Kind != program.Round || times[i] == 0 {
			continue
		}
		if first := p.Ops[op.Args[0]]; first.Kind == program.Round && p.ClockOf(op.Args[0]) == p.ClockOf(id) && times[op.Args[0]] == 1 && twice[op.Args[0]] == 0 {
			x := p.Ops[first.Args[0]]
			if x.Type == program.I32 && inside(op, program.I16) && OneRounding(word, first.Shift, op.Shift) && x.Hi < 1<<31-int64(1)<<(first.Shift+op.Shift) {
				times[op.Args[0]]--
				twice[id] = first.Shift
				op.Args, op.Shift = slices.Clone(first.Args), op.Shift+first.Shift
			}
		}
	}
	for i, op := range p.Ops {
		if op.Kind == program.Round && times[i] > 0 {
			limitLast(p, program.ID(i), times, changed, twice)
		}
	}
	return changed, twice
}

// OneRounding tells whether two roundings are better done in one. Words of 8 bits have a short way for few of them.
func OneRounding(word, first, second uint) bool {
	return word > 8 || first == 8 && second >= 6 && second <= 8
}

// limitLast turns a rounding of a limited number of 32 bits into a limited rounding of 16 bits.
func limitLast(p *program.Fixed, id program.ID, times []int, changed map[program.ID]bool, twice map[program.ID]uint) {
	op := &p.Ops[id]
	at := op.Args[0]
	limit := &p.Ops[at]
	if limit.Kind != program.Clamp || p.ClockOf(at) != p.ClockOf(id) || times[at] != 1 || limit.Type != program.I32 || !inside(op, program.I16) ||
		p.Ops[limit.Args[1]].Kind != program.Const || p.Ops[limit.Args[2]].Kind != program.Const {
		return
	}
	x := p.Ops[limit.Args[0]]
	if x.Type != program.I32 || x.Hi >= 1<<31-int64(1)<<op.Shift {
		return
	}
	half := Halves(op.Shift, twice[id])
	rounded := func(v int64) int64 { return (v + half) >> op.Shift }
	lo, hi := p.Ops[limit.Args[1]].Lo, p.Ops[limit.Args[2]].Lo
	short, least, most := *op, rounded(x.Lo), rounded(x.Hi)
	if short.Lo, short.Hi = least, most; !inside(&short, program.I16) || lo > hi {
		return
	}
	if rounded(lo) <= least && most <= rounded(hi) { // the limits are never more than half a count away
		op.Args = []program.ID{limit.Args[0]}
		return
	}
	short.Args, short.Name, short.Doc = []program.ID{limit.Args[0]}, limit.Name, "to the nearest count; the limits come behind"
	if first := twice[id]; first > 0 {
		delete(twice, id)
		twice[at] = first
	}
	ends := []program.ID{at}
	for n, v := range []int64{rounded(lo), rounded(hi)} {
		end := p.Ops[limit.Args[1+n]]
		end.Name, end.K, end.Lo, end.Hi, end.Type, end.LSB, end.Unit = op.Name+[...]string{"_low", "_high"}[n], big.NewRat(v, 1), v, v, program.Holding(v, v), op.LSB, op.Unit
		p.Ops = append(p.Ops, end)
		ends = append(ends, program.ID(len(p.Ops)-1))
	}
	op, short.Type = &p.Ops[id], program.I16
	p.Ops[at] = short
	op.Kind, op.Args, op.Shift = program.Clamp, ends, 0
	changed[at] = true
}

// Halves is what is added before a shift: half of a count, and half of a count of the first rounding where there are two.
func Halves(shift, first uint) int64 {
	half := int64(1) << (shift - 1)
	if first > 0 {
		half += int64(1) << (first - 1)
	}
	return half
}

// readers counts how often each value is read on the way to an output or a state.
func readers(p *program.Fixed) []int {
	times := make([]int, len(p.Ops))
	var count func(id program.ID)
	count = func(id program.ID) {
		if times[id]++; times[id] == 1 {
			for _, a := range p.Ops[id].Args {
				count(a)
			}
		}
	}
	for _, s := range p.States {
		for _, id := range s.Takes() {
			count(id)
		}
	}
	for _, o := range p.Outputs {
		count(o.Value)
	}
	return times
}
