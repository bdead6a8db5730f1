package path

import (
	"fmt"

	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
)

// procedure is the code that a function can reach without returning, jumps into other functions included.
type procedure struct {
	code  []*instruction // in the order found
	ways  map[uint32][]edge
	loops map[uint32]bool // addresses inside loops
}

// procedure finds the code of a function and of what it calls. busy holds the functions that are being
// looked at.
func (w *walk) procedure(entry uint32, busy map[uint32]bool) error {
	if w.procedures[entry] != nil {
		return nil
	}
	if busy[entry] {
		return fmt.Errorf("the function at %s calls itself", w.place(entry))
	}
	busy[entry] = true
	defer delete(busy, entry)
	p := &procedure{ways: map[uint32][]edge{}}
	for todo := []uint32{entry}; len(todo) > 0; {
		at := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if _, seen := p.ways[at]; seen {
			continue
		}
		in := w.code[at]
		if in == nil {
			return fmt.Errorf("the listing has nothing at %s", w.place(at))
		}
		next, err := w.edges(in, &state{})
		if err != nil {
			return err
		}
		p.ways[at] = next
		p.code = append(p.code, in)
		if in.calls() {
			if err := w.procedure(in.target, busy); err != nil {
				return err
			}
		}
		for _, e := range next {
			todo = append(todo, e.to)
		}
	}
	p.loops = loops(p.ways)
	w.procedures[entry] = p
	return nil
}

// use is a procedure with what is wanted of it when it returns.
type use struct {
	entry  uint32
	wanted set
}

// kept are, for each address of a procedure, the registers and flags that can decide how it goes on from
// there, in the procedure or behind it.
type kept map[uint32]set

// keep finds what is to be kept: it goes backwards from the conditions, those inside loops at least, to what
// they are computed from, until nothing changes.
func (w *walk) keep(u use) kept {
	if k := w.kept[u]; k != nil {
		return k
	}
	p, k := w.procedures[u.entry], kept{}
	for changed := true; changed; {
		changed = false
		for i := len(p.code) - 1; i >= 0; i-- {
			in := p.code[i]
			var after set
			for _, e := range p.ways[in.at] {
				after |= k[e.to]
			}
			if in.name == "ret" {
				after = u.wanted
			}
			before := after &^ in.writes
			switch {
			case in.calls():
				before = w.keep(use{in.target, after})[in.target]
			case (w.thorough || p.loops[in.at]) && len(p.ways[in.at]) > 1:
				before |= in.reads
			case in.run != nil && after&in.writes != 0:
				before |= in.reads
			}
			if before != k[in.at] {
				k[in.at] = before
				changed = true
			}
		}
	}
	w.kept[u] = k
	return k
}

// loops finds the addresses that can be reached again from themselves: the strongly connected
// components of more than one address, and those that lead to themselves.
func loops(ways map[uint32][]edge) map[uint32]bool {
	looping, g := map[uint32]bool{}, simple.NewDirectedGraph()
	for at, next := range ways {
		for _, e := range next {
			if e.to == at {
				looping[at] = true
			} else {
				g.SetEdge(simple.Edge{F: simple.Node(at), T: simple.Node(e.to)})
			}
		}
	}
	for _, component := range topo.TarjanSCC(g) {
		for _, node := range component {
			if len(component) > 1 {
				looping[uint32(node.ID())] = true
			}
		}
	}
	return looping
}
