package cost

import (
	"fmt"
	"math"

	"gainwright/model/program"
	"gainwright/model/selection"
)

// Features are what a tick is made of, each with how much there is of it. A number behind a name is the width in bits.
//
// On AVR:
//
//	input, output, load, store   values that are read and written; coef: a live gain
//	widened                      operands of less width than the arithmetic
//	add, fused, negate, select, less, clamp, extreme, wrap, absolute, logic, condition
//	                             operations; fused is a sum with a product; extreme a minimum or maximum; fixed is by a constant
//	product, widening            products; of 32 bits into 64
//	library                      products by a function of the compiler's library
//	up, round                    shifts; bits those that are shifted one by one
//	...form                      what a form in assembly was counted to take
//	placed                       operands of products, which want certain registers
//	saved, spilled, framed       registers to save, bytes that find none, and that there are such
//	far                          accesses to a state far from its start
//
// On parts of 32 bits, instructions as they were counted, for the most part:
//
//	load, store, coef, latch     moves from and to memory; latch finds the set of live gains
//	literal, again               constants in registers; those that were in one before
//	sign                         signs of operands that have less width than the arithmetic
//	add, round, up, chain        sums, roundings, shifts; products by constants made of these
//	product, library             products; by a function of the compiler's library, counted in calls
//	limit, less, select, wrap, absolute, logic, condition, truth
//	                             operations, counted one by one; limit is one side of a clamp; truth one that is stored
//	angle                        an arctangent, or a quotient
//	saved, spilled               registers to save, and moves of values that find none
type Features map[string]float64

// Add adds others.
func (f Features) Add(others Features) {
	for name, n := range others {
		f[name] += n
	}
}

// Features counts what a program is made of on the target. Types and ranges must be filled in.
func (t *Table) Features(p *program.Fixed) Features {
	sections, all := t.Sections(p)
	for _, s := range sections {
		all.Add(s)
	}
	return all
}

// Sections counts what each section is made of, the states it owns included, and what belongs to no section.
func (t *Table) Sections(p *program.Fixed) (sections []Features, rest Features) {
	c := read(selection.Select(p, t.Target, selection.Speed))
	rest = Features{}
	for range p.Sections {
		sections = append(sections, Features{})
	}
	at := func(section int) Features {
		if section < 0 {
			return rest
		}
		return sections[section]
	}
	c.weigh(t)
	on := c.longest()
	c.way = on
	for i, op := range c.p.Ops {
		if on.needed[i] {
			c.count(at(op.Section), program.ID(i))
		}
	}
	type condition struct {
		section       int
		enable, reset program.ID
	}
	conditions := map[condition]bool{}
	for i, s := range c.p.States {
		f := at(s.Section)
		if on.stored[i] {
			c.store(f, s.Type, i)
		}
		k := condition{s.Section, s.Enable, s.Reset}
		if (s.Enable != program.None || s.Reset != program.None) && !conditions[k] {
			conditions[k] = true
			f["condition"]++
		}
	}
	for i, o := range c.p.Outputs {
		if t.Target.Word > 8 {
			rest["store"] += c.placed(o.Type, c.outAt[i])
			c.handed(rest, o.Value)
		} else {
			rest[sized("output", o.Type.Bits())]++
		}
	}
	if t.Target.Word > 8 && len(c.p.Coefs) > 0 {
		rest["latch"] += c.latch()
	}
	c.held(at, rest)
	c.registers(rest, on.needed)
	return sections, rest
}

func sized(name string, bits uint) string { return fmt.Sprintf("%s%d", name, bits) }

// store counts the store of a state.
func (c *code) store(f Features, t program.Type, i int) {
	if c.Target.Word > 8 {
		f["store"] += c.placed(t, c.stateAt[i])
		c.handed(f, c.p.States[i].Next)
		if next := c.Ops[c.p.States[i].Next].Form; t == program.Bool && next != selection.State && next != selection.None {
			f["truth"]++
		}
	} else {
		f[sized("store", t.Bits())]++
		f["far"] += c.distant(i)
	}
}

// handed counts a constant that is stored.
func (c *code) handed(f Features, id program.ID) {
	if op := c.p.Ops[id]; op.Kind == program.Const {
		c.wanted(f, op.K.Num().Int64())
	}
}

// count counts one operation.
func (c *code) count(f Features, id program.ID) {
	count := counts[c.Ops[id].Form].bytes
	if c.Target.Word > 8 {
		count = counts[c.Ops[id].Form].words
	}
	if c.Ops[id].Width.Bits() > 32 && c.Target.Word > 8 {
		c.extended(f, id)
	}
	if count != nil {
		count(c, f, id)
	}
}

// counts say how an operation of each form is counted: by bytes, with assembly of our own, and by words, without.
var counts = [selection.Forms]struct {
	bytes, words func(*code, Features, program.ID)
}{
	selection.Input: {func(c *code, f Features, id program.ID) {
		f[sized("input", c.p.Inputs[c.p.Ops[id].Index].Type.Bits())]++
	}, func(c *code, f Features, id program.ID) {
		index := c.p.Ops[id].Index
		f["load"] += c.reach(c.p.Inputs[index].Type, c.inAt[index])
	}},
	selection.Coef: {func(c *code, f Features, id program.ID) { f["coef"]++ }, func(c *code, f Features, id program.ID) { f["coef"] += c.coef(c.p.Ops[id].Index) }},
	selection.State: {func(c *code, f Features, id program.ID) {
		index := c.p.Ops[id].Index
		f[sized("load", c.p.States[index].Type.Bits())]++
		f["far"] += c.distant(index)
	}, func(c *code, f Features, id program.ID) {
		index := c.p.Ops[id].Index
		f["load"] += c.reach(c.p.States[index].Type, c.stateAt[index])
	}},
	selection.Sum:        {(*code).sum, (*code).summed},
	selection.Difference: {(*code).sum, (*code).summed},
	selection.Product:    {(*code).product, (*code).multiplied},
	selection.Scale:      {(*code).scale, (*code).scaled},
	selection.Copy:       {func(*code, Features, program.ID) {}, (*code).scaled},
	selection.Negate:     {each("negate"), (*code).scaled},
	selection.Choice:     {(*code).choose, (*code).chosen},
	selection.Less:       {widened(each("less")), (*code).compare},
	selection.LessEqual:  {widened(each("less")), (*code).compare},
	selection.And:        {logic, logic},
	selection.Or:         {logic, logic},
	selection.Not:        {logic, logic},
	selection.Clamp:      {widened(limited("clamp")), sided(2)},
	selection.Min:        {widened(limited("extreme")), sided(1)},
	selection.Max:        {widened(limited("extreme")), sided(1)},
	selection.Abs:        {widened(each("absolute")), byWord("absolute")},
	selection.Wrap: {widened(each("wrap")), func(c *code, f Features, id program.ID) {
		k := c.p.Ops[id].K.Num().Int64()
		c.wanted(f, k/2)
		c.wanted(f, k)
		byWord("wrap")(c, f, id)
	}},
	selection.Multiply:    {(*code).multiply, nil},
	selection.MultiplyAdd: {(*code).multiplyAdd, nil},
	selection.Up:          {func(c *code, f Features, id program.ID) { f["upform"] += upForm(c.Ops[id].Bits) }, nil},
	selection.UpWide:      {func(c *code, f Features, id program.ID) { f["upform"] += upWideForm(c.Ops[id].Bits) }, nil},
	selection.Round:       {widened((*code).round), (*code).rounded},
	selection.LessRounded: {func(c *code, f Features, id program.ID) { f["roundform"] += lessRoundedForm }, nil},
	selection.Symmetric:   {widened((*code).within), nil},
	selection.Within:      {widened((*code).within), nil},
	selection.Quotient:    {widened(func(c *code, f Features, id program.ID) { f["angleform"] += quotients[c.Ops[id].Width] }), (*code).quotient},
	selection.Root:        {widened(func(c *code, f Features, id program.ID) { f["angleform"] += roots[c.Ops[id].Width] }), (*code).root},
	selection.Table:       {widened((*code).table), func(c *code, f Features, id program.ID) { f["angle"] += c.lookedUp(id) }},
	selection.ShortTable:  {widened((*code).table), func(c *code, f Features, id program.ID) { f["angle"] += c.lookedUp(id) }},
	selection.Angle: {widened(func(c *code, f Features, id program.ID) {
		if table := c.p.Ops[id].Arctan; selection.HasTable(table, c.Ops[id].Args[0].Width) {
			f["angleform"] += angleForm(table)
		} else {
			f["angle"]++
		}
	}), func(c *code, f Features, id program.ID) { f["angle"] += c.arctangent(id) }},
}

// table counts the cycles of a table.
func (c *code) table(f Features, id program.ID) {
	op := &c.p.Ops[id]
	if c.Ops[id].Form == selection.ShortTable {
		f["angleform"] += shortTableForm(op.Curve)
	} else {
		f["angleform"] += tableForm(op.Curve, c.Ops[id].Width)
	}
	if x := &c.p.Ops[op.Args[0]]; x.Lo < math.MinInt16 || x.Hi > math.MaxUint16 {
		f["angleform"] += farForm
	}
}

// roots are the cycles of AVR that a square root takes.
var roots = map[program.Type]float64{program.I16: 170, program.I32: 615, program.I64: 8700}

// root counts the instructions of a square root.
func (c *code) root(f Features, id program.ID) {
	at := map[program.Type]int{program.I32: 1, program.I64: 2}[c.Ops[id].Width]
	switch {
	case c.Target.Short:
		f["angle"] += [3]float64{103, 164, 1425}[at]
	case c.Target.Long:
		f["angle"] += [3]float64{98, 150, 559}[at]
	default:
		f["angle"] += [3]float64{100, 126, 787}[at]
	}
}

// quotients are the cycles of AVR that a quotient takes, most of them in the division of the library.
var quotients = map[program.Type]float64{program.I16: 260, program.I32: 740, program.I64: 4760}

// quotient counts the instructions of a quotient: the division, and what makes it round.
func (c *code) quotient(f Features, id program.ID) {
	switch wide := c.wide(id); {
	case !c.Target.Divide && wide:
		f["angle"] += 800
	case !c.Target.Divide && c.p.Ops[c.p.Ops[id].Args[0]].Type.Bits() <= 16: // the library's function stops with the last bit of its sides
		f["angle"] += 90
	case !c.Target.Divide:
		f["angle"] += 190
	case wide && c.Target.Carry:
		f["angle"] += 100
	case wide:
		f["angle"] += 220
	default:
		f["angle"] += 11
	}
}
