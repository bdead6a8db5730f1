package path

import (
	"errors"
	"fmt"
	"strconv"
)

// limit is the number of states that a search may look at: an answer takes about a second at most.
const limit = 1 << 18

// Worst is the number of cycles of the longest path through the function of that name, from its first instruction to its return, the return
// included.
func (l *Listing) Worst(function string) (int, error) {
	entry, known := l.symbols[function]
	if !known {
		return 0, fmt.Errorf("the listing has no function %s", function)
	}
	longest, err := l.worst(entry, true)
	if errors.As(err, new(tooMany)) {
		longest, err = l.worst(entry, false)
	}
	return longest, err
}

// worst finds the longest path. thorough: numbers that decide any branch are kept, so that ways that exclude
// each other are not added up; else those that decide loops.
func (l *Listing) worst(entry uint32, thorough bool) (int, error) {
	w := &walk{Listing: l, thorough: thorough, procedures: map[uint32]*procedure{}, kept: map[use]kept{},
		frames: map[call]*frame{}, done: map[node]step{}}
	if err := w.procedure(entry, map[uint32]bool{}); err != nil {
		return 0, err
	}
	start := node{frame: &frame{kept: w.keep(use{entry, 0})}, at: entry}
	start.state.put(1, 0, true) // which compilers keep it at
	start.state.only(start.frame.kept[entry])
	return w.longest(start)
}

// tooMany says that a search has become too long.
type tooMany string

func (t tooMany) Error() string { return string(t) }

// walk is one search.
type walk struct {
	*Listing
	thorough   bool
	procedures map[uint32]*procedure
	kept       map[use]kept
	frames     map[call]*frame
	done       map[node]step
}

// frame is a function that has been entered: each way of calls that leads there has its own.
type frame struct {
	call // nil and 0: of the function that is asked about
	kept kept
}

type call struct {
	by *frame
	at uint32
}

// node is a place on the way, with what is kept there.
type node struct {
	frame *frame
	at    uint32
	state state
}

// step is the best way on from a node.
type step struct {
	open   bool // being looked at
	cycles int  // from here to the end
}

// longest is the number of cycles of the longest way from a node to the return of the function asked about.
func (w *walk) longest(n node) (int, error) {
	if s, seen := w.done[n]; seen {
		if s.open {
			return 0, fmt.Errorf("the loop through %s does not count from a constant", w.place(n.at))
		}
		return s.cycles, nil
	}
	if len(w.done) >= limit {
		return 0, tooMany("more than " + strconv.Itoa(limit) + " states on the way through " + w.place(n.at))
	}
	w.done[n] = step{open: true}
	in := w.code[n.at]
	ways, err := w.edges(in, &n.state)
	if err != nil {
		return 0, err
	}
	f := n.frame
	switch {
	case in.calls():
		ways = []edge{{in.target, cycles[in.name]}}
		f = w.enter(n.frame, in)
	case in.name == "ret" && n.frame.by != nil:
		ways = []edge{{w.code[n.frame.call.at].next, cycles[in.name]}}
		f = n.frame.by
	}
	after := n.state
	in.apply(&after)
	best := cycles[in.name]
	for i, e := range ways {
		next := node{f, e.to, after}
		next.state.only(f.kept[e.to])
		c, err := w.longest(next)
		if err != nil {
			return 0, err
		}
		if c += e.cost; i == 0 || c > best {
			best = c
		}
	}
	w.done[n] = step{cycles: best}
	return best, nil
}

// enter is the frame of a call.
func (w *walk) enter(by *frame, in *instruction) *frame {
	c := call{by, in.at}
	if w.frames[c] == nil {
		w.frames[c] = &frame{c, w.keep(use{in.target, by.kept[in.next]})}
	}
	return w.frames[c]
}
