package cost

import (
	"math/big"

	"gainwright/model/program"
	"gainwright/model/selection"
)

// code is a selection with what a price takes more: who reads what, where values lie, and what was met so far.
type code struct {
	*selection.Selection
	p                    *program.Fixed // of the selection
	way                  *way           // what is counted
	readers              [][]program.ID // the operations that read a value
	kept                 []bool         // a state or output reads it
	weight               []int64        // what an operation takes by the table, in thousandths
	storing              []int64        // and the store of a state
	have                 map[int64]bool // literals met
	signed               []bool         // values that have a sign of 64 bits
	inAt, outAt, stateAt []int          // offsets
	set, inUse           int            // bytes of a set of coefficients; the offset of the number of the one in use
}

func read(s *selection.Selection) *code {
	p, n := s.Program, len(s.Ops)
	c := &code{Selection: s, p: p, readers: make([][]program.ID, n), kept: make([]bool, n), have: map[int64]bool{}, signed: make([]bool, n)}
	for i := range p.Ops {
		if op := &p.Ops[i]; s.Target.Word > 8 && op.Kind == program.Sub && s.Is(op.Args[0], 0) && s.Ops[i].Use.Live { // the compiler sees a change of sign, however it is written
			op.Kind, op.Args, op.K = program.Scale, op.Args[1:], big.NewRat(-1, 1)
			s.Ops[i].Form, s.Ops[i].Args = selection.Negate, s.Ops[i].Args[1:]
		}
	}
	for _, o := range p.Outputs {
		c.kept[o.Value] = true
	}
	for i := range p.States {
		for _, id := range p.States[i].Takes() {
			c.kept[id] = true
		}
	}
	for i := range p.Ops {
		if s.Ops[i].Use.Live {
			for _, a := range p.Ops[i].Args {
				c.readers[a] = append(c.readers[a], program.ID(i))
			}
		}
	}
	c.layOut()
	return c
}

// words is how many words a value takes.
func (c *code) words(id program.ID) int {
	bits := uint(8)
	if t := c.p.Ops[id].Type; t != program.Bool {
		bits = max(16, t.Bits())
	}
	return int((max(bits, c.Target.Word) + c.Target.Word - 1) / c.Target.Word)
}

// crowd is how many words are alive at each operation, where all are computed in the order of the program.
func (c *code) crowd() []int {
	n := len(c.p.Ops)
	first, last := make([]int, n), make([]int, n) // where a value is read, a store of a state included
	for i := range n {
		first[i] = n
		for _, r := range c.readers[i] {
			first[i], last[i] = min(first[i], int(r)), max(last[i], int(r))
		}
	}
	old := make([]int, len(c.p.States)) // where each state's old value is read last
	for i := range c.p.Ops {
		if c.Ops[i].Form == selection.State {
			index := c.p.Ops[i].Index
			old[index] = max(old[index], last[i])
		}
	}
	for i := range c.p.States {
		ids := c.p.States[i].Takes()
		at := old[i]
		for _, id := range ids {
			at = max(at, int(id))
		}
		for _, id := range ids {
			first[id], last[id] = min(first[id], at), max(last[id], at)
		}
	}
	steps := make([]int, n+1)
	for i := range c.p.Ops {
		o := &c.Ops[i]
		if !o.Use.Live || c.p.Ops[i].Kind == program.Const {
			continue
		}
		from := i
		if o.Form.Reads() {
			from = min(first[i], n-1) // read where it is wanted
		}
		steps[from] += c.words(program.ID(i))
		steps[max(last[i], from)+1] -= c.words(program.ID(i))
	}
	for i := 1; i < n; i++ {
		steps[i] += steps[i-1]
	}
	return steps[:n]
}
