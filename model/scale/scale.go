// Package scale turns a real program into an integer program: it gives every value a format (a real
// number base times a power of two for one count, and a width), makes every rounding an operation, and says
// what each constant became.
package scale

import (
	"math/big"

	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/target"
)

// Request is what the formats must be good for.
type Request struct {
	Asked    *program.Real
	Ranges   []interval.Range // of the real values, at any raw input
	Declared []interval.Range // and at inputs inside their declared ranges
	Target   *target.Target
	Want     map[program.ID]*big.Rat // of signals: largest error asked for, in units
	Pinned   map[program.ID]int      // of signals: fraction bits
	Place    func(section int) finding.Pos
	Adjust   map[program.ID]int // by the root of a group: fraction bits more or less than the rule gives
}

// Result is an integer program whose types and ranges are still to be found.
type Result struct {
	Stored    *program.Real
	Integer   *program.Fixed
	Constants []Constant
	Findings  finding.List
	Root      []program.ID // of the group of each real value; None: it has none
	groups    []*group
	chooser   *chooser
}

// Free is a group of values whose common format may be changed.
type Free struct {
	Root program.ID // of the real program
	To   []int      // changes of fraction bits by which the group just fits 16 bits, or 32, or the state alone 16 while sums on the way to it are wider
}

// Groups lists the groups whose formats are free to choose.
func (r Result) Groups() (out []Free) {
	c := r.chooser
	for _, g := range r.groups {
		_, isOutput := c.outputs[g.root]
		_, isPinned := c.Pinned[g.root]
		if g.purpose != fixed && g.purpose != counted && g.purpose != copied && !isOutput && !isPinned && c.tables[g.root] == nil && c.Asked.Ops[g.root].Section != 0 {
			reach := g.span(c.Asked, c.Ranges)
			f := Free{Root: g.root, To: []int{fit(reach, g.base, narrowBits) - g.n, fit(reach, g.base, wideBits) - g.n}}
			if g.purpose == accumulated {
				f.To = append(f.To, fit(c.Ranges[g.root], g.base, narrowBits)-g.n)
			}
			out = append(out, f)
		}
	}
	return out
}

// Run scales a program that Align has seen.
func Run(r Request) Result {
	groups, of := grouping(r.Asked, bases(r.Asked))
	c := &chooser{Request: r, spans: r.Asked.Spans(), of: of, outputs: map[program.ID]*big.Rat{}, tables: map[program.ID]*program.Arctan{}}
	for _, o := range r.Asked.Outputs {
		c.outputs[o.Value] = o.LSB
	}
	for _, g := range groups {
		c.choose(g)
	}
	e := &emitter{chooser: c, ids: make([][]rendition, len(r.Asked.Ops)), names: make(map[string]bool, 2*len(r.Asked.Ops))}
	e.result.groups = groups
	e.result.chooser = c
	e.result.Root = make([]program.ID, len(of))
	for i, g := range of {
		if e.result.Root[i] = program.None; g != nil {
			e.result.Root[i] = g.root
		}
	}
	return e.run()
}
