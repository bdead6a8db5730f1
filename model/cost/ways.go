package cost

import "gainwright/model/program"

// fact is what a truth is.
type fact struct {
	id program.ID
	is bool
}

// facts lists what holds where a truth is so: of a conjunction that is true, that both sides are.
func (c *code) facts(id program.ID, is bool) []fact {
	if id == program.None {
		return nil
	}
	switch op := c.p.Ops[id]; {
	case op.Kind == program.Not:
		return c.facts(op.Args[0], !is)
	case op.Kind == program.And && is, op.Kind == program.Or && !is:
		return append(c.facts(op.Args[0], is), c.facts(op.Args[1], is)...)
	}
	return []fact{{id, is}}
}

// alone adds the operations that only this value needs, itself included, in its section.
func (c *code) alone(id program.ID, section int, into []program.ID) []program.ID {
	op := c.p.Ops[id]
	if c.times[id] != 1 || op.Section != section || op.Kind <= program.State {
		return into
	}
	into = append(into, id)
	for _, a := range op.Args {
		into = c.alone(a, section, into)
	}
	return into
}

// shorter lists the operations that the longest way does not come by: each truth that decides leads by one side or the other,
// and the side with fewer operations is left out.
func (c *code) shorter() []bool {
	sides := map[fact][]program.ID{}
	var order []program.ID
	under := func(facts []fact, ids []program.ID) {
		for _, f := range facts {
			if sides[f] == nil && sides[fact{f.id, !f.is}] == nil {
				order = append(order, f.id)
			}
			sides[f] = append(sides[f], ids...)
		}
	}
	for i, op := range c.p.Ops {
		if c.live[i] && op.Kind == program.Select {
			if t := c.facts(op.Args[0], true); len(t) == 1 {
				under(t, c.alone(op.Args[1], op.Section, nil))
				under([]fact{{t[0].id, !t[0].is}}, c.alone(op.Args[2], op.Section, nil))
			}
		}
	}
	for _, s := range c.p.States {
		under(append(c.facts(s.Enable, true), c.facts(s.Reset, false)...), c.alone(s.Next, s.Section, nil))
		if s.Reset != program.None {
			under(c.facts(s.Reset, true), c.alone(s.ResetTo, s.Section, nil))
		}
	}
	out := make([]bool, len(c.p.Ops))
	for _, id := range order {
		one, other := sides[fact{id, true}], sides[fact{id, false}]
		if len(one) > len(other) {
			one = other
		}
		for _, id := range one {
			out[id] = true
		}
	}
	return out
}
