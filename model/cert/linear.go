package cert

import (
	"slices"

	"gainwright/model/program"
)

// Linear states are those of a section that change linearly with one another at every tick: no enable, no
// reset. Boxes of such states are rarely inductive (a second-order filter with |a1| + |a2| > 1 leaves every box
// that interval arithmetic tries), so the claims about them are of the second kind: peak gains from everything that
// enters the recursion, each of which is bounded by itself or by the claims at earlier ticks.
func Linear(p program.View, section int) (out []int) {
	for n, s := range p.States {
		if s.Section == section && isLinear(s) {
			out = append(out, n)
		}
	}
	return out
}

// linearStates tells which states of a program are linear, and in which parts they are bounded.
type linearStates struct {
	p       program.View
	of      [][]int      // linear states by section
	reader  []program.ID // the operation that reads each state
	becomes [][]int      // by value: linear states of its section that become it. Where that is marked, the value lies where the state may be next
	sums    [][]int      // by value: states of its section that become it and are the sum of others
	taps    []int        // of marked sections
	part    []int        // by section
	ring    []int        // by section: the number of those that feed one another back; of each other one, another number
}

func linearStatesOf(p program.View) linearStates {
	l := linearStates{p: p, of: make([][]int, len(p.Sections)), reader: make([]program.ID, len(p.States)), becomes: make([][]int, len(p.Ops)), sums: make([][]int, len(p.Ops))}
	for i, op := range p.Ops {
		if op.Kind == program.State {
			l.reader[op.Index] = program.ID(i)
		}
	}
	for n, s := range p.States {
		if len(s.SumOf) > 0 && p.Ops[s.Next].Section == s.Section {
			l.sums[s.Next] = append(l.sums[s.Next], n)
		}
		if isLinear(s) {
			l.of[s.Section] = append(l.of[s.Section], n)
			if p.Ops[s.Next].Section >= s.Section {
				l.becomes[s.Next] = append(l.becomes[s.Next], n)
			}
		}
	}
	for i, ring := range p.Rings() {
		for s := ring.First; s < ring.End; s++ {
			l.ring = append(l.ring, i)
		}
	}
	l.mark(nil)
	return l
}

func isLinear(s *program.StateInfo) bool {
	return !s.Bool && s.Enable == program.None && s.Reset == program.None
}

// mark takes the taps by section: 0 for none, below 0 for a section that begins a part of its own.
func (l *linearStates) mark(taps []int) { l.taps, l.part = slices.Clone(taps), parts(l.p, taps) }

// marked tells whether a section has claims of the second kind.
func (l *linearStates) marked(section int) bool { return marked(l.taps, section) }

func marked(taps []int, section int) bool { return section < len(taps) && taps[section] != 0 }

// merged lists the linear states of a section's part, up to and with the section, and behind it where they feed it back; its own come last.
func (l *linearStates) merged(section int) (out []int) {
	for s := range l.part {
		if l.part[s] == l.part[section] && s != section && (s < section || l.ring[s] == l.ring[section]) {
			out = append(out, l.of[s]...)
		}
	}
	return append(out, l.of[section]...)
}

// mostMerged is how many sections a linear part may have: eight filters of second order in series are one of sixteenth. A longer chain
// is cut, and what crosses the cut counts as an input of its own, bounded by itself.
const mostMerged = 8

// parts numbers the linear parts of a program by section. A section of sums, constant factors and roundings alone
// joins the part of the section that it reads, so that a notch behind a low-pass is bounded as one filter of fourth
// order and not by the product of two peak gains. Sections of this sort that feed one another back are one part. Any cut is sound; taps below 0 ask
// for one before a section. The sections of a part run at the same ticks: its recursion goes from run to run, and what comes in from other
// sections, be it held or passed over, is some value of theirs at each.
func parts(p program.View, taps []int) []int {
	out := make([]int, len(p.Sections))
	size := make([]int, len(p.Sections)) // in sections, of a part
	linear, states := make([]bool, len(p.Sections)), make([]bool, len(p.Sections))
	reads := make([]int, len(p.Sections)) // the section whose signal comes last among those read; -1: none
	for s := range out {
		out[s], size[s], linear[s], reads[s] = s, 1, true, -1
	}
	for _, op := range p.Ops {
		linear[op.Section] = linear[op.Section] && !op.Bool && op.Kind != program.Input && shapes[op.Kind].linear
		for _, a := range op.Args {
			if t := p.Ops[a].Section; t != op.Section {
				reads[op.Section] = max(reads[op.Section], t)
			}
		}
	}
	for _, s := range p.States {
		states[s.Section] = true
		linear[s.Section] = linear[s.Section] && isLinear(s)
	}
	for s := range out {
		t := reads[s]
		if t < 0 || !linear[s] || !linear[t] || !states[s] || p.At(s) != p.At(t) || size[out[t]] == mostMerged || s < len(taps) && taps[s] < 0 {
			continue
		}
		out[s] = out[t]
		size[out[t]]++
	}
	for _, ring := range p.Rings() {
		if ring.End > ring.First+1 {
			joinRing(p, ring, linear, out)
		}
	}
	return out
}

// joinRing makes one part of linear sections that hang together, among some that feed one another back.
func joinRing(p program.View, ring program.Span, linear []bool, part []int) {
	inside := func(s int) bool { return ring.First <= s && s < ring.End && linear[s] }
	for s := ring.First; s < ring.End; s++ {
		part[s] = s
	}
	join := func(s, t int) {
		if !inside(s) || !inside(t) || part[s] == part[t] || p.At(s) != p.At(t) {
			return
		}
		from, to := max(part[s], part[t]), min(part[s], part[t])
		for i := ring.First; i < ring.End; i++ {
			if part[i] == from {
				part[i] = to
			}
		}
	}
	for _, op := range p.Ops {
		for _, a := range op.Args {
			join(op.Section, p.Ops[a].Section)
		}
	}
	for _, s := range p.States {
		join(s.Section, p.Ops[s.Next].Section)
	}
}
