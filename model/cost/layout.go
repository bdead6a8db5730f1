package cost

import "gainwright/model/program"

// Where values lie in their structs: how far an instruction reaches depends on it.

// place lays out a struct in order, each member aligned to its size; a part of 8 bits packs them.
type place struct {
	next, align int
	packed      bool
}

func (l *place) member(bytes int) (at int) {
	if l.packed {
		l.next += bytes
		return l.next - bytes
	}
	l.align = max(l.align, bytes)
	at = (l.next + bytes - 1) / bytes * bytes
	l.next = at + bytes
	return at
}

func (l *place) size() int {
	return (l.next + max(l.align, 1) - 1) / max(l.align, 1) * max(l.align, 1)
}

func bytesOf(t program.Type) int { return max(1, int(t.Bits()/8)) }

// layOut finds the offsets of inputs, states and outputs, and the size of a set of live coefficients.
func (c *code) layOut() {
	packed := c.Target.Word == 8
	in, out, set, state := place{packed: packed}, place{packed: packed}, place{packed: packed}, place{packed: packed}
	for _, i := range c.p.Inputs {
		t := i.Type
		if i.IsSwitch {
			t = program.Bool
		}
		c.inAt = append(c.inAt, in.member(bytesOf(t)))
	}
	for _, o := range c.p.Outputs {
		c.outAt = append(c.outAt, out.member(bytesOf(o.Type)))
	}
	for _, k := range c.p.Coefs {
		set.member(bytesOf(k.Type))
	}
	c.set = set.size()
	if c.set > 0 { // three of them, before the states
		state = place{3 * c.set, set.align, packed}
	}
	for _, s := range c.p.States {
		c.stateAt = append(c.stateAt, state.member(bytesOf(s.Type)))
	}
	c.inUse = state.next
}

// reach is how many instructions a load takes.
func (c *code) reach(t program.Type, at int) float64 {
	if c.Target.Short && t.Signed() && t.Bits() < 32 {
		return 2 // the offset stands in a register
	}
	return c.placed(t, at)
}

// placed is how many instructions a store takes.
func (c *code) placed(t program.Type, at int) float64 {
	bytes := bytesOf(t)
	n := 1.0
	if bytes == 8 && !c.Target.Long {
		n, bytes = 2, 4
	}
	if c.Target.Short && at+int(4*(n-1)) > 31*bytes { // five bits of offset
		n++
	}
	return n
}

// distant is 1 where a state lies further from the start than the 63 bytes that a load or store of AVR reaches (AVR Instruction Set
// Manual, LDD and STD), with room for its own bytes.
func (c *code) distant(state int) float64 {
	if c.stateAt[state] > 60 {
		return 1
	}
	return 0
}

// coef is how many instructions reading a live coefficient takes: an access that is volatile is not merged with the extension.
func (c *code) coef(index int) float64 {
	t := c.p.Coefs[index].Type
	if c.Target.Short && t.Bits() < 32 {
		return 2
	}
	return c.placed(t, 0)
}

// latch is how many instructions it takes to find the set of live coefficients.
func (c *code) latch() float64 {
	n := 3.0 // load, store, sum
	if c.Target.Short {
		n++ // an extension
		if c.inUse > 31 {
			n += 2
		}
	}
	if c.set > 1 { // the number of the set times its size
		n += float64(chain(int64(c.set), 4, c.shiftedSum()))
	}
	return n
}
