package cost

import "gainwright/model/program"

// held counts what it takes that some sections do not run at each tick: the count of ticks for each distance between runs, the condition of each run, and
// what is held: a store where it is computed, a load where it is read.
func (c *code) held(at func(section int) Features, rest Features) {
	counted := map[int]bool{}
	for _, r := range c.Runs() {
		if r.Clock.Every == 0 {
			continue
		}
		if !counted[r.Clock.Every] {
			counted[r.Clock.Every] = true
			c.moved(rest, program.U8, "load")
			c.moved(rest, program.U8, "store")
			rest["condition"]++
		}
		rest["condition"] += 2
		for _, id := range r.Held {
			op := &c.p.Ops[id]
			c.moved(at(op.Section), op.Type, "store")
			for _, reader := range c.readers[id] {
				if of := c.p.Ops[reader].Section; of != op.Section {
					c.moved(at(of), op.Type, "load")
				}
			}
		}
	}
}

// moved counts a load or a store of a type.
func (c *code) moved(f Features, t program.Type, way string) {
	if c.Target.Word > 8 {
		f[way]++
	} else {
		f[sized(way, t.Bits())]++
	}
}
