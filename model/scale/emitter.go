package scale

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/finding"
	"gainwright/model/program"
)

// rendition is one integer form of a real value, made in one section.
type rendition struct {
	lsb     *big.Rat
	section int
	id      program.ID
}

// emitter writes the integer program down.
type emitter struct {
	*chooser
	result Result
	out    *program.Fixed
	ids    [][]rendition // of each real value
	main   []program.ID  // of each real value: its form in its own format
	names  map[string]bool
	reader []program.ID // of each state: the operation that reads it
	states [][]int      // by the section behind which all that they take is there
}

// mostSquare is how many bits a number may have whose root is taken.
const mostSquare = 61

func (e *emitter) run() Result {
	p := e.Asked
	stored := *p // only constants and starts change
	stored.Ops, stored.States = slices.Clone(p.Ops), slices.Clone(p.States)
	e.result.Stored = &stored
	e.out = &program.Fixed{Frame: p.Frame.Clone(), Ops: make([]program.FixedOp, 0, 2*len(p.Ops))}
	for _, c := range p.Coefs {
		e.out.Coefs = append(e.out.Coefs, program.FixedCoef{CoefInfo: c})
	}
	for _, s := range p.States {
		e.out.States = append(e.out.States, program.FixedState{StateInfo: s.StateInfo})
	}
	e.main = make([]program.ID, len(p.Ops))
	e.reader, e.states = p.View().Readers(), make([][]int, len(p.Sections))
	for n, s := range p.States {
		at := s.Section
		for _, id := range s.Takes() {
			at = max(at, p.Ops[id].Section)
		}
		e.states[at] = append(e.states[at], n)
	}
	for i := range p.Ops {
		op := &p.Ops[i]
		if i > 0 && op.Section != p.Ops[i-1].Section {
			e.closeSection(p.Ops[i-1].Section)
		}
		e.main[i] = program.None
		if op.Kind != program.Const && op.Kind != program.Coef {
			e.main[i] = e.op(program.ID(i), op)
		}
	}
	e.closeSection(p.Ops[len(p.Ops)-1].Section)
	e.out.Frame.Renumber(e.main)
	e.result.Integer = e.out
	return e.result
}

func (e *emitter) op(v program.ID, op *program.RealOp) program.ID {
	lsb := e.lsb(v)
	s := op.Section
	arg := func(i int) program.ID { return e.at(op.Args[i], lsb, s) }
	own := func(i int) program.ID { return e.main[op.Args[i]] }
	if ofSignals(e.Asked, op) {
		return e.formatted(v, op, lsb)
	}
	switch op.Kind {
	case program.Mul:
		return e.product(v, op, lsb)
	case program.Input, program.State:
		return e.add(program.Op{Kind: op.Kind, Index: op.Index}, v, lsb, s, "")
	case program.Scale:
		switch {
		case op.Bool:
			return own(0)
		case isCopy(op):
			return e.copy(v, lsb)
		case !isProduct(op):
			return e.add(program.Op{Kind: program.Scale, Args: []program.ID{arg(0)}, K: op.K}, v, lsb, s, "")
		}
		x := own(0)
		unit := new(big.Rat).Quo(lsb, e.out.Ops[x].LSB)
		count := new(big.Rat).SetInt(nearest(new(big.Rat).Quo(op.K, unit)))
		e.store(v, op.K, new(big.Rat).Mul(count, unit), count, unit, op.Factor)
		return e.add(program.Op{Kind: program.Scale, Args: []program.ID{x}, K: count}, v, lsb, s, "")
	case program.Angle:
		common := e.lsb(op.Args[0])
		if o := e.lsb(op.Args[1]); o.Cmp(common) < 0 {
			common = o
		}
		e.checkSides(op, common)
		args := []program.ID{e.at(op.Args[0], common, s), e.at(op.Args[1], common, s)}
		return e.append(program.FixedOp{Op: program.Op{Kind: program.Angle, Args: args}, Arctan: e.tables[v]}, v, lsb, s, "")
	case program.Table:
		return e.table(v, op, lsb)
	case program.Root:
		square := new(big.Rat).Mul(lsb, lsb)
		if new(big.Rat).Quo(e.Ranges[op.Args[0]].Size(), square).Cmp(two(mostSquare)) > 0 {
			e.fail(s, "root-too-fine", e.Asked.Sections[s].Key(), "a coarser pinned format, or less accuracy asked for", "the root %s would be of a number of more than %d bits", op.Name, mostSquare)
			square = e.out.Ops[own(0)].LSB
		}
		return e.add(program.Op{Kind: program.Root, Args: []program.ID{e.at(op.Args[0], square, s)}}, v, lsb, s, "")
	case program.Wrap:
		return e.wrap(v, op, lsb)
	case program.Less, program.LessEqual:
		a, b := op.Args[0], op.Args[1]
		common := e.lsb(a)
		if e.Asked.Ops[a].Kind == program.Const || e.Asked.Ops[b].Kind != program.Const && e.lsb(b).Cmp(common) < 0 {
			common = e.lsb(b)
		}
		for _, id := range op.Args { // a number to compare with must not be rounded away
			if k := &e.Asked.Ops[id]; k.Kind == program.Const && k.K.Sign() != 0 {
				n := bitsFor(k.K, common)
				if new(big.Rat).Quo(k.K, common).Denom().Cmp(big.NewInt(2)) == 0 { // between two counts, so that no rounding decides: there it stays
					n = max(n, 1)
				}
				common = new(big.Rat).Mul(common, two(-max(n, 0)))
			}
		}
		return e.add(program.Op{Kind: op.Kind, Args: []program.ID{e.at(a, common, s), e.at(b, common, s)}}, v, big.NewRat(1, 1), s, "")
	}
	args := make([]program.ID, len(op.Args))
	for i := range args {
		if slices.Contains(op.Kind.Of().Truths, i) {
			args[i] = own(i)
		} else {
			args[i] = arg(i)
		}
	}
	if op.Kind == program.Clamp {
		e.checkLimits(op, args[1], args[2])
	}
	return e.add(program.Op{Kind: op.Kind, Args: args}, v, lsb, s, "")
}

// formatted writes an operation whose format follows from those of its arguments, in proportion to the first. Where it rounds, and what comes out
// is to be finer, that one is made finer before.
func (e *emitter) formatted(v program.ID, op *program.RealOp, lsb *big.Rat) program.ID {
	row, a, b := op.Kind.Of(), e.main[op.Args[0]], e.main[op.Args[1]]
	of := e.out.Ops[b].LSB
	if want := new(big.Rat).Quo(lsb, row.Format(big.NewRat(1, 1), of)); a == program.None || row.Rounds && want.Cmp(e.out.Ops[a].LSB) < 0 {
		a = e.at(op.Args[0], want, op.Section)
	}
	natural := row.Format(e.out.Ops[a].LSB, of)
	return e.convert(v, e.add(program.Op{Kind: op.Kind, Args: []program.ID{a, b}}, v, natural, op.Section, ""), lsb, op.Section)
}

// copy hands a value on, in the format of the copy.
func (e *emitter) copy(v program.ID, lsb *big.Rat) program.ID {
	a := e.Asked.Ops[v].Args[0]
	s := e.Asked.Ops[v].Section
	if e.Asked.Ops[a].Kind == program.Const {
		return e.at(a, lsb, s)
	}
	from := e.main[a]
	have := e.out.Ops[from].LSB
	if e.Asked.Ops[a].Section != s && have.Cmp(lsb) == 0 || e.Asked.ClockOf(v) != e.Asked.ClockOf(a) { // what is held is a value of its own
		from = e.add(program.Op{Kind: program.Scale, Args: []program.ID{from}, K: big.NewRat(1, 1)}, v, have, s, "")
	}
	return e.convert(v, from, lsb, s)
}

// at returns the integer form of v counted in lsb, for use in a section; it converts where needed.
func (e *emitter) at(v program.ID, lsb *big.Rat, section int) program.ID {
	for _, r := range e.ids[v] {
		if r.section == section && (r.lsb == lsb || r.lsb.Cmp(lsb) == 0) {
			return r.id
		}
	}
	var id program.ID
	op := &e.Asked.Ops[v]
	if op.Kind == program.Const {
		id = e.constant(v, lsb, section)
	} else {
		id = e.convert(v, e.main[v], lsb, section)
	}
	e.ids[v] = append(e.ids[v], rendition{lsb, section, id})
	return id
}

func (e *emitter) convert(v, from program.ID, lsb *big.Rat, section int) program.ID {
	have := e.out.Ops[from].LSB
	if have == lsb || have.Cmp(lsb) == 0 || e.Asked.Ops[v].Bool {
		return from
	}
	k, ok := powerOfTwo(new(big.Rat).Quo(have, lsb))
	if !ok {
		panic(fmt.Sprintf("scale: no shift leads from the format of %s to that of its use", e.Asked.Ops[v].Name))
	}
	if k > 0 {
		return e.add(program.Op{Kind: program.Scale, Args: []program.ID{from}, K: two(k)}, v, lsb, section, "_fine")
	}
	if -k > program.MostShift {
		e.fail(section, "formats-apart", e.Asked.Ops[v].Name, "numbers of a size closer to one another, or a pinned format", "the value is %d bits finer than what reads it", -k)
		k = -program.MostShift
	}
	return e.append(program.FixedOp{Op: program.Op{Kind: program.Round, Args: []program.ID{from}}, Shift: uint(-k)}, v, lsb, section, "_rounded")
}

// closeSection gives the section's states what they become, in their own formats.
func (e *emitter) closeSection(section int) {
	for _, n := range e.states[section] {
		s := &e.out.States[n]
		s.Real, s.LSB = n, big.NewRat(1, 1)
		if !s.Bool {
			s.LSB = e.lsb(e.reader[n])
		}
		asked := s.Start
		s.Start = new(big.Rat).SetInt(nearest(new(big.Rat).Quo(asked, s.LSB)))
		stored := new(big.Rat).Mul(s.Start, s.LSB)
		e.result.Stored.States[n].Start = stored
		if !s.Bool && asked.Sign() != 0 && s.Start.Num().IsInt64() {
			e.note(Constant{Of: program.None, Name: s.Name + "_start", Unit: s.Unit, Asked: asked, Stored: stored, Count: s.Start.Num().Int64(),
				LSB: s.LSB, Section: section, Start: true})
		}
		for _, id := range []*program.ID{&s.Next, &s.Enable, &s.Reset, &s.ResetTo} {
			switch {
			case *id == program.None:
			case e.Asked.Ops[*id].Bool && e.Asked.Ops[*id].Kind != program.Const:
				*id = e.main[*id]
			default:
				*id = e.at(*id, s.LSB, section)
			}
		}
	}
}

// add appends an integer operation that stands for real value v.
func (e *emitter) add(op program.Op, v program.ID, lsb *big.Rat, section int, suffix string) program.ID {
	return e.append(program.FixedOp{Op: op}, v, lsb, section, suffix)
}

func (e *emitter) append(op program.FixedOp, v program.ID, lsb *big.Rat, section int, suffix string) program.ID {
	real := e.Asked.Ops[v]
	name := real.Name + suffix
	for k := 2; e.names[name]; k++ {
		name = fmt.Sprintf("%s%s_%d", real.Name, suffix, k)
	}
	e.names[name] = true
	op.Doc = real.Doc + map[string]string{"_fine": ", rescaled", "_rounded": ", rounded"}[suffix]
	op.Name, op.Unit, op.Bool, op.Section, op.LSB, op.Real = name, real.Unit, real.Bool, section, lsb, v
	e.out.Ops = append(e.out.Ops, op)
	return program.ID(len(e.out.Ops) - 1)
}

func (e *emitter) lsb(v program.ID) *big.Rat {
	if g := e.of[v]; g != nil {
		return g.lsb()
	}
	return big.NewRat(1, 1)
}

func (e *emitter) fail(section int, rule, key, remedy, format string, args ...any) {
	e.result.Findings.Add(finding.Finding{Pos: e.Place(section), Severity: finding.Error, Rule: rule, Key: key, Message: fmt.Sprintf(format, args...), Remedy: remedy})
}
