package cost

import (
	"slices"

	"gainwright/model/program"
)

// registers counts what the crowd of values costs. On AVR 12 bytes find room in registers that need not be saved, three pointers included,
// and 18 more in others; what finds none lies on the stack, and so do pointers. Short instructions of 32-bit parts compute in eight registers, four of which are saved in one push; to save the others that keep values takes
// a move each, and so does it to get them back.
func (c *code) registers(f Features, on []bool) {
	switch {
	case c.Target.Word == 8:
		const pointers, free, crowded, all = 6, 12, 24, 30
		most, over := 0, 0
		for i, n := range c.crowd() {
			most = max(most, n+pointers)
			if c.Ops[i].Use.Live {
				over += max(0, n+pointers-crowded)
			}
		}
		f["saved"] += float64(min(all-free, max(0, most-free)))
		f["spilled"] += float64(over)
		if most > crowded { // what an operation works with takes some
			f["framed"]++
		}
	case c.Target.Registers.Far > 0:
		most, moves := c.crowded(on, 4)
		if f["library64"] > 0 || most > 3 {
			f["saved"] += 2
		}
		if more := min(4, most-4); more > 0 {
			f["saved"] += 2 + 2*float64(more)
		}
		f["spilled"] += float64(moves)
	default:
		r := c.Target.Registers
		most, moves := c.crowded(on, r.Free+r.Saved)
		saves := min(r.Saved, max(0, most-r.Free))
		if r.Push {
			saves = min(saves, 1)
		}
		f["saved"] += 2 * float64(saves)
		f["spilled"] += float64(moves)
	}
}

// interval is the time that a value, or a pointer, wants a register for.
type interval struct {
	from, to int
	words    int
	reads    int
	again    bool // it can be read again from where it came
}

// order is when each operation of a way is computed: where its first reader wants it, as the code is emitted. -1 is never.
func (c *code) order(on []bool) (at []int) {
	steps := 0
	at = make([]int, len(c.p.Ops))
	for i := range at {
		at[i] = -1
	}
	var define func(id program.ID)
	define = func(id program.ID) {
		if at[id] >= 0 || !on[id] || c.p.Ops[id].Kind == program.Const {
			return
		}
		for _, a := range c.p.Ops[id].Args {
			define(a)
		}
		steps++
		at[id] = steps
	}
	for i := range c.p.Ops {
		op := &c.p.Ops[i]
		waits := c.Ops[i].Use.Times == 1 && c.Ops[i].Use.By != program.None && c.p.Ops[c.Ops[i].Use.By].Section == op.Section
		if op.Kind > program.State && !waits {
			define(program.ID(i))
		}
	}
	for i := range c.p.Ops {
		define(program.ID(i))
	}
	return at
}

// intervals are those of a way, in order of their beginning.
func (c *code) intervals(on []bool) (out []interval) {
	at := c.order(on)
	until := slices.Clone(at)
	reads := make([]int, len(c.p.Ops))
	old := make([]int, len(c.p.States)) // when each state's old value is read
	for i := range c.p.Ops {
		op := &c.p.Ops[i]
		if at[i] < 0 {
			continue
		}
		for _, a := range op.Args {
			until[a] = max(until[a], at[i])
			reads[a]++
		}
		if op.Kind == program.State {
			old[op.Index] = max(old[op.Index], at[i])
		}
	}
	for n := range c.p.States {
		stored, s := old[n], &c.p.States[n]
		for _, id := range s.Takes() {
			stored = max(stored, at[id])
		}
		for _, id := range s.Takes() {
			until[id] = max(until[id], stored)
			reads[id]++
		}
	}
	input, output := 0, 0
	for i := range c.p.Ops {
		if at[i] < 0 {
			continue
		}
		kind := c.p.Ops[i].Kind
		words := c.words(program.ID(i))
		out = append(out, interval{at[i], until[i], words, max(1, reads[i]), kind <= program.State})
		if kind == program.Input {
			input = max(input, at[i])
		}
	}
	for _, o := range c.p.Outputs {
		output = max(output, at[o.Value])
	}
	if output > 1 {
		out = append(out, interval{0, output, 1, len(c.p.Outputs), false})
	}
	if input > 1 {
		out = append(out, interval{0, input, 1, 1, false})
	}
	slices.SortStableFunc(out, func(a, b interval) int { return a.from - b.from })
	return out
}

// crowded tells how many words want a register at once, at most, and how many moves it takes where those are too few: the value that is
// wanted last goes to the stack, or to a register that cannot compute, and comes back for each reader.
func (c *code) crowded(on []bool, registers int) (most, moves int) {
	var alive, held []interval
	for _, v := range c.intervals(on) {
		ended := func(a interval) bool { return a.to <= v.from }
		alive = append(slices.DeleteFunc(alive, ended), v)
		held = append(slices.DeleteFunc(held, ended), v)
		most = max(most, words(alive))
		for words(held) > registers {
			at := 0
			for i, a := range held {
				if a.to > held[at].to {
					at = i
				}
			}
			a := held[at]
			held = slices.Delete(held, at, at+1)
			moves += a.words * a.reads
			if !a.again {
				moves += a.words
			}
		}
	}
	return most, moves
}

func words(list []interval) (n int) {
	for _, v := range list {
		n += v.words
	}
	return n
}
