package cost

import (
	"math/big"

	"gainwright/model/program"
	"gainwright/model/selection"
	"gainwright/model/target"
)

// code is a program as it is emitted, with who needs what.
type code struct {
	way                  *way // what is counted
	p                    *program.Fixed
	target               *target.Target
	twice                map[program.ID]uint // roundings that are two in one, with the bits of the first
	live                 []bool
	times                []int          // by how many a value is read
	by                   []program.ID   // the last operation that reads it, or None
	readers              [][]program.ID // the operations that read it
	kept                 []bool         // a state or output reads it
	first                []int          // where it is first read
	last                 []int          // and last, a store of a state included
	weight               []int64        // what an operation takes by the table, in thousandths
	storing              []int64        // and the store of a state
	have                 map[int64]bool // literals met
	signed               []bool         // values that have a sign of 64 bits
	inAt, outAt, stateAt []int          // offsets
	set, inUse           int            // bytes of a set of coefficients; the offset of the number of the one in use
}

func read(p *program.Fixed, t *target.Target) *code {
	s := selection.Select(p, t, selection.Speed)
	p = s.Program
	n := len(p.Ops)
	twice := map[program.ID]uint{}
	for i, o := range s.Ops {
		if o.First > 0 {
			twice[program.ID(i)] = o.First
		}
	}
	c := &code{p: p, target: t, twice: twice, live: make([]bool, n), times: make([]int, n), by: make([]program.ID, n),
		readers: make([][]program.ID, n), kept: make([]bool, n), first: make([]int, n), last: make([]int, n),
		have: map[int64]bool{}, signed: make([]bool, n)}
	for i := range c.by {
		c.by[i], c.first[i] = program.None, n
	}
	for i := range p.Ops {
		if op := &p.Ops[i]; t.Word > 8 && op.Kind == program.Sub && s.Program.Ops[op.Args[0]].Kind == program.Const && s.Program.Ops[op.Args[0]].K.Sign() == 0 { // a change of sign is one, however it is written
			op.Kind, op.Args, op.K = program.Scale, op.Args[1:], big.NewRat(-1, 1)
		}
	}
	for _, o := range p.Outputs {
		c.need(o.Value)
		c.kept[o.Value] = true
	}
	for _, s := range p.States {
		for _, id := range storing(s) {
			c.need(id)
			c.kept[id] = true
		}
	}
	for i := range p.Ops { // reads in order
		if c.live[i] {
			for _, a := range p.Ops[i].Args {
				c.readers[a] = append(c.readers[a], program.ID(i))
				c.by[a], c.last[a] = program.ID(i), i
				c.first[a] = min(c.first[a], i)
			}
		}
	}
	old := make([]int, len(p.States)) // where each state's old value is read last
	for i, op := range p.Ops {
		if c.live[i] && op.Kind == program.State {
			old[op.Index] = max(old[op.Index], c.last[i])
		}
	}
	for n, s := range p.States {
		at := old[n]
		for _, id := range storing(s) {
			at = max(at, int(id))
		}
		for _, id := range storing(s) {
			c.last[id] = max(c.last[id], at)
			c.first[id] = min(c.first[id], at)
		}
	}
	c.layOut()
	return c
}

// storing are the values that storing a state takes.
func storing(s program.FixedState) (ids []program.ID) {
	for _, id := range []program.ID{s.Next, s.Enable, s.Reset} {
		if id != program.None {
			ids = append(ids, id)
		}
	}
	if s.Reset != program.None {
		ids = append(ids, s.ResetTo)
	}
	return ids
}

// need notes that a value is read once more.
func (c *code) need(id program.ID) {
	c.times[id]++
	if c.live[id] {
		return
	}
	c.live[id] = true
	for _, a := range c.p.Ops[id].Args {
		c.need(a)
	}
}

// bits is the size of a value: at least a word.
func (c *code) bits(id program.ID) uint {
	switch t := c.p.Ops[id].Type; {
	case t == program.Bool:
		return max(8, c.target.Word)
	default:
		return max(16, c.target.Word, t.Bits())
	}
}

// crowd is how many words are alive at each operation.
func (c *code) crowd() []int {
	steps := make([]int, len(c.p.Ops)+1)
	for i, op := range c.p.Ops {
		if !c.live[i] || op.Kind == program.Const {
			continue
		}
		from, to := i, c.last[i]
		if op.Kind == program.Input || op.Kind == program.State || op.Kind == program.Coef {
			from = min(c.first[i], len(c.p.Ops)-1) // read where it is wanted
		}
		to = max(to, from)
		words := int((c.bits(program.ID(i)) + c.target.Word - 1) / c.target.Word)
		steps[from] += words
		steps[to+1] -= words
	}
	for i := 1; i < len(steps); i++ {
		steps[i] += steps[i-1]
	}
	return steps[:len(c.p.Ops)]
}
