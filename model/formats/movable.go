package formats

import (
	"slices"

	"gainwright/model/program"
	"gainwright/model/scale"
)

// movable is what the search changes the fraction bits of: one group of values, or all free groups of a section together.
type movable struct {
	roots   []program.ID // one for each group
	section int          // whose groups they are; -1 for a single group
	to      []int        // changes that make a single group just fit a word
}

// movables lists the groups one by one, then the sections that have several.
func movables(asked *program.Real, r scale.Result) (out []movable) {
	whole := make([]movable, len(asked.Sections))
	for _, g := range r.Groups() {
		out = append(out, movable{[]program.ID{g.Root}, -1, g.To})
		if s := asked.Ops[g.Root].Section; s >= 0 {
			whole[s].section = s
			whole[s].roots = append(whole[s].roots, g.Root)
		}
	}
	for _, m := range whole {
		if len(m.roots) > 1 {
			out = append(out, m)
		}
	}
	return out
}

// named lists the values that are moved.
func (m movable) named(asked *program.Real) string {
	if m.section >= 0 {
		return "all of " + asked.Sections[m.section].Name
	}
	return asked.Ops[m.roots[0]].Name
}

// worthTrying lists changes of fraction bits that can save something by the tables: those that make a rounding into or out of what is moved one of
// whole bytes, and those that make a group fit a narrower word.
func worthTrying(r scale.Result, moved movable) []int {
	var out []int
	add := func(m int) {
		if m != 0 && m >= -40 && m <= 16 && !slices.Contains(out, m) {
			out = append(out, m)
		}
	}
	p := r.Integer
	rest := func(shift int, sign int) {
		if over := shift % 8; over != 0 {
			add(-sign * over)
			add(sign * (8 - over))
		}
	}
	in := func(real program.ID) bool {
		return r.Root[real] != program.None && slices.Contains(moved.roots, r.Root[real])
	}
	for i := range p.Ops {
		op := &p.Ops[i]
		var shift int
		switch {
		case op.Kind == program.Round:
			shift = int(op.Shift)
		default:
			k, ok := doubled(op)
			if !ok {
				continue
			}
			shift = -k
		}
		at := op.Args[0]
		for p.Ops[at].Kind == program.Clamp && !in(p.Ops[at].Real) { // a limit counts like what it limits
			at = p.Ops[at].Args[0]
		}
		from, to := p.Ops[at].Real, op.Real
		if moved.section >= 0 && in(from) && in(to) {
			continue // they move together
		}
		if in(from) && shift > 0 {
			rest(shift, 1)
		}
		if to != from && in(to) && shift > 0 {
			rest(shift, -1)
		}
		for _, reader := range readersOf(p, program.ID(i)) { // a conversion for the sake of its reader's format
			if in(p.Ops[reader].Real) {
				rest(abs(shift), -1)
				rest(abs(shift), 1)
			}
		}
		if shift < 0 && in(from) {
			rest(-shift, -1)
		}
	}
	for i := range p.Ops { // what others are made finer for, only to meet it
		for _, a := range p.Ops[i].Args {
			if from := p.Ops[a].Real; !in(from) || in(p.Ops[i].Real) {
				continue
			}
			for _, b := range p.Ops[i].Args {
				if k, ok := doubled(&p.Ops[b]); ok && b != a {
					add(-k)
				}
			}
		}
	}
	for _, m := range moved.to {
		add(m)
	}
	return out
}

// doubled tells how many times an operation doubles its argument, if that is all it does.
func doubled(op *program.FixedOp) (times int, ok bool) {
	if op.Kind != program.Scale || !op.K.IsInt() || op.K.Sign() <= 0 {
		return 0, false
	}
	times = op.K.Num().BitLen() - 1
	return times, op.K.Num().TrailingZeroBits() == uint(times)
}

func abs(x int) int { return max(x, -x) }

// readersOf lists the operations of the same section that read a value.
func readersOf(p *program.Fixed, id program.ID) []program.ID {
	var out []program.ID
	for i := int(id) + 1; i < len(p.Ops) && p.Ops[i].Section == p.Ops[id].Section; i++ {
		if slices.Contains(p.Ops[i].Args, id) {
			out = append(out, program.ID(i))
		}
	}
	return out
}
