package path

import "fmt"

// limit is the number of states that a search may look at: an answer takes a second at most.
const limit = 1 << 18

// Path is the longest path through a function.
type Path struct {
	Cycles int // from the function's first instruction to its return, the return included
	Visits []Visit
}

// Visit is one instruction on a path.
type Visit struct {
	At     uint32 // its address, in bytes
	Cycles int
	From   uint32 // the instruction of the function itself, where At lies in what that one calls; else At
}

// Worst finds the longest path through the function of that name.
func (l *Listing) Worst(function string) (Path, error) {
	entry, known := l.symbols[function]
	if !known {
		return Path{}, fmt.Errorf("the listing has no function %s", function)
	}
	w := &walk{Listing: l, procedures: map[uint32]*procedure{}, done: map[node]step{}}
	p, err := w.procedure(entry, map[uint32]bool{})
	if err != nil {
		return Path{}, err
	}
	start := node{entry: entry, at: entry}
	start.state.put(1, 0, true) // which compilers keep it at
	start.state.only(p.kept[entry])
	cycles, err := w.longest(p, start)
	if err != nil {
		return Path{}, err
	}
	path := Path{Cycles: cycles}
	w.visits(&path, start, 0)
	return path, nil
}

// walk is one search.
type walk struct {
	*Listing
	procedures map[uint32]*procedure
	done       map[node]step
}

// node is a place on the way: an address within a function, with what is kept there.
type node struct {
	entry, at uint32
	state     state
}

// step is the best way on from a node.
type step struct {
	open   bool // being looked at
	cycles int  // from here to the return
	own    int  // of this instruction, what it calls left out
	called *node
	next   *node
}

// longest is the number of cycles of the longest way from a node to the return of its function.
func (w *walk) longest(p *procedure, n node) (int, error) {
	if s, seen := w.done[n]; seen {
		if s.open {
			return 0, fmt.Errorf("the loop through %s does not count from a constant", w.place(n.at))
		}
		return s.cycles, nil
	}
	if len(w.done) >= limit {
		return 0, fmt.Errorf("more than %d states on the way through %s", limit, w.place(p.entry))
	}
	w.done[n] = step{open: true}
	in := w.code[n.at]
	best := step{own: cycles[in.name]}
	after := n.state
	in.apply(&after)
	extra := 0
	if in.calls() {
		callee := w.procedures[in.target]
		called := node{callee.entry, callee.entry, n.state}
		called.state.only(callee.kept[callee.entry])
		c, err := w.longest(callee, called)
		if err != nil {
			return 0, err
		}
		best.called, extra = &called, c
		after.only(^callee.writes)
	}
	ways, err := w.edges(in, &n.state)
	if err != nil {
		return 0, err
	}
	best.cycles = best.own + extra
	for i, e := range ways {
		next := node{n.entry, e.to, after}
		next.state.only(p.kept[e.to])
		c, err := w.longest(p, next)
		if err != nil {
			return 0, err
		}
		if c += e.cost + extra; i == 0 || c > best.cycles {
			best.cycles, best.own, best.next = c, e.cost, &next
		}
	}
	w.done[n] = best
	return best.cycles, nil
}

// visits lists the longest way from a node; from is the outermost call on the way to it.
func (w *walk) visits(p *Path, n node, from uint32) {
	for at := &n; at != nil; {
		s := w.done[*at]
		v := Visit{At: at.at, Cycles: s.own, From: from}
		if from == 0 {
			v.From = at.at
		}
		p.Visits = append(p.Visits, v)
		if s.called != nil {
			w.visits(p, *s.called, v.From)
		}
		at = s.next
	}
}
