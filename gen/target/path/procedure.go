package path

import "fmt"

// procedure is the code that a function can reach without returning, jumps into other functions included.
type procedure struct {
	entry uint32
	code  []*instruction // in the order found
	// kept are, for each address, the registers and flags that can decide how a loop goes on from there.
	kept   map[uint32]set
	writes set // by it and by what it calls
}

// procedure finds the code of a function. busy holds the functions that are being looked at.
func (w *walk) procedure(entry uint32, busy map[uint32]bool) (*procedure, error) {
	if p := w.procedures[entry]; p != nil {
		return p, nil
	}
	if busy[entry] {
		return nil, fmt.Errorf("the function at %s calls itself", w.place(entry))
	}
	busy[entry] = true
	defer delete(busy, entry)
	p := &procedure{entry: entry, kept: map[uint32]set{}}
	ways := map[uint32][]edge{}
	for todo := []uint32{entry}; len(todo) > 0; {
		at := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if _, seen := ways[at]; seen {
			continue
		}
		in := w.code[at]
		if in == nil {
			return nil, fmt.Errorf("the listing has nothing at %s", w.place(at))
		}
		next, err := w.edges(in, &state{})
		if err != nil {
			return nil, err
		}
		ways[at] = next
		p.code = append(p.code, in)
		p.writes |= in.writes
		if in.calls() {
			callee, err := w.procedure(in.target, busy)
			if err != nil {
				return nil, err
			}
			p.writes |= callee.writes
		}
		for _, e := range next {
			todo = append(todo, e.to)
		}
	}
	w.procedures[entry] = p
	w.keep(p, ways)
	return p, nil
}

// keep fills in what is to be kept: it goes backwards from the conditions inside loops, to what they
// are computed from, until nothing changes.
func (w *walk) keep(p *procedure, ways map[uint32][]edge) {
	looping := loops(p.entry, ways)
	for changed := true; changed; {
		changed = false
		for i := len(p.code) - 1; i >= 0; i-- {
			in := p.code[i]
			var after set
			for _, e := range ways[in.at] {
				after |= p.kept[e.to]
			}
			before := after &^ in.writes
			switch {
			case in.calls():
				callee := w.procedures[in.target]
				before = after&^callee.writes | callee.kept[callee.entry]
			case looping[in.at] && len(ways[in.at]) > 1:
				before |= in.reads
			case in.run != nil && after&in.writes != 0:
				before |= in.reads
			}
			if before != p.kept[in.at] {
				p.kept[in.at] = before
				changed = true
			}
		}
	}
}

// loops finds the addresses that can be reached again from themselves: the strongly connected
// components of more than one address (Tarjan), and those that lead to themselves.
func loops(entry uint32, ways map[uint32][]edge) map[uint32]bool {
	looping := map[uint32]bool{}
	order, low, onStack := map[uint32]int{}, map[uint32]int{}, map[uint32]bool{}
	var stack []uint32
	var visit func(at uint32)
	visit = func(at uint32) {
		order[at] = len(order) + 1
		low[at] = order[at]
		stack = append(stack, at)
		onStack[at] = true
		for _, e := range ways[at] {
			switch {
			case e.to == at:
				looping[at] = true
			case order[e.to] == 0:
				visit(e.to)
				low[at] = min(low[at], low[e.to])
			case onStack[e.to]:
				low[at] = min(low[at], order[e.to])
			}
		}
		if low[at] != order[at] {
			return
		}
		for n := len(stack) - 1; ; n-- {
			member := stack[n]
			onStack[member] = false
			if member != at {
				looping[member], looping[at] = true, true
				continue
			}
			stack = stack[:n]
			return
		}
	}
	visit(entry)
	return looping
}
