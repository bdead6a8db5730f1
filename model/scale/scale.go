// Package scale turns a real program into an integer program: it gives every value a format (a real
// number base times a power of two for one count, and a width), makes every rounding an operation, and says
// what each constant became.
package scale

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/target"
)

// Request is what the formats must be good for.
type Request struct {
	Asked    *program.Real
	Ranges   []interval.Range // of the real values, at any raw input
	Declared []interval.Range // and at inputs inside their declared ranges
	Target   *target.Target
	Want     map[string]*big.Rat // by signal: largest error asked for, in units
	Pinned   map[string]int      // by signal: fraction bits
	Place    func(section int) finding.Pos
	Adjust   map[program.ID]int // by the root of a group: fraction bits more or less than the rule gives
}

// Constant says what a number of the spec became.
type Constant struct {
	Name, Unit    string // effort_kp
	Asked, Stored *big.Rat
	Count         int64    // in the integer program
	LSB           *big.Rat // what one count stands for
	Section       int
	Line          int            // of the spec
	Live          bool           // a live gain: Stored is the value at start
	Given         bool           // the spec names it, by a key
	Start         bool           // where a state starts
	Limit         *program.Limit // of an output: stored inwards; nil: another number
}

// Result is an integer program whose types and ranges are still to be found.
type Result struct {
	Stored    *program.Real
	Integer   *program.Fixed
	Constants []Constant
	Findings  finding.List
	Root      []program.ID // of the group of each real value; None: it has none
	groups    []*group
	chooser   *chooser
}

// Free is a group of values whose common format may be changed.
type Free struct {
	Root       program.ID // of the real program
	To16, To32 int        // changes of fraction bits that make the group just fit 16 and 32 bits
}

// Groups lists the groups whose formats are free to choose.
func (r Result) Groups() (out []Free) {
	c := r.chooser
	for _, g := range r.groups {
		_, isOutput := c.outputs[g.root]
		_, isPinned := c.pinned[g.root]
		if g.purpose != fixed && g.purpose != counted && g.purpose != copied && !isOutput && !isPinned && c.tables[g.root] == nil && c.p.Ops[g.root].Section != 0 {
			reach := g.span(c.p, c.ranges)
			out = append(out, Free{Root: g.root, To16: fit(reach, g.base, narrowBits) - g.n, To32: fit(reach, g.base, wideBits) - g.n})
		}
	}
	return out
}

// Run scales a program that Align has seen.
func Run(r Request) Result {
	groups, of := grouping(r.Asked, bases(r.Asked))
	c := &chooser{p: r.Asked, spans: r.Asked.Spans(), of: of, ranges: r.Ranges, declared: r.Declared, target: r.Target, want: map[program.ID]*big.Rat{},
		pinned: map[program.ID]int{}, outputs: map[program.ID]*big.Rat{}, tables: map[program.ID]*program.Arctan{}, adjust: r.Adjust}
	for _, s := range r.Asked.Sections {
		for _, sig := range s.Signals {
			if w, ok := r.Want[sig.Name]; ok {
				c.want[sig.Value] = w
			}
			if n, ok := r.Pinned[sig.Name]; ok {
				c.pinned[sig.Value] = n
			}
		}
	}
	for _, o := range r.Asked.Outputs {
		c.outputs[o.Value] = o.LSB
	}
	for _, g := range groups {
		c.choose(g)
	}
	e := &emitter{chooser: c, request: r, ids: make([][]rendition, len(r.Asked.Ops)), names: make(map[string]bool, 2*len(r.Asked.Ops))}
	e.result.groups = groups
	e.result.chooser = c
	e.result.Root = make([]program.ID, len(of))
	for i, g := range of {
		if e.result.Root[i] = program.None; g != nil {
			e.result.Root[i] = g.root
		}
	}
	return e.run()
}

// rendition is one integer form of a real value, made in one section.
type rendition struct {
	lsb     *big.Rat
	section int
	id      program.ID
}

// emitter writes the integer program down.
type emitter struct {
	*chooser
	request Request
	result  Result
	out     *program.Fixed
	ids     [][]rendition // of each real value
	main    []program.ID  // of each real value: its form in its own format
	names   map[string]bool
	reader  []program.ID // of each state: the operation that reads it
	states  [][]int      // by section
}

func (e *emitter) run() Result {
	p := e.p
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
	e.reader, e.states = make([]program.ID, len(p.States)), make([][]int, len(p.Sections))
	for i, op := range p.Ops {
		if op.Kind == program.State {
			e.reader[op.Index] = program.ID(i)
		}
	}
	for n, s := range p.States {
		e.states[s.Section] = append(e.states[s.Section], n)
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
	for i := range e.out.Sections {
		s := &e.out.Sections[i]
		for j := range s.Inputs {
			s.Inputs[j] = e.main[s.Inputs[j]]
		}
		for j := range s.Signals {
			s.Signals[j].Value = e.main[s.Signals[j].Value]
		}
	}
	for i := range e.out.Outputs {
		e.out.Outputs[i].Value = e.main[e.out.Outputs[i].Value]
	}
	e.result.Integer = e.out
	return e.result
}

func (e *emitter) fail(section int, rule, key, remedy, format string, args ...any) {
	e.result.Findings.Add(finding.Finding{Pos: e.request.Place(section), Severity: finding.Error, Rule: rule, Key: key, Message: fmt.Sprintf(format, args...), Remedy: remedy})
}

// key is the place of a section in the spec.
func (e *emitter) key(section int) string {
	s := e.p.Sections[section]
	if s.Kind == "output" {
		return "outputs." + s.Name
	}
	return strings.TrimPrefix("steps."+s.Name, "steps.inputs")
}

func (e *emitter) lsb(v program.ID) *big.Rat {
	if g := e.of[v]; g != nil {
		return g.lsb()
	}
	return big.NewRat(1, 1)
}

// add appends an integer operation that stands for real value v.
func (e *emitter) add(op program.Op, v program.ID, lsb *big.Rat, section int, suffix string) program.ID {
	return e.append(program.FixedOp{Op: op}, v, lsb, section, suffix)
}

func (e *emitter) append(op program.FixedOp, v program.ID, lsb *big.Rat, section int, suffix string) program.ID {
	real := e.p.Ops[v]
	name := real.Name + suffix
	for k := 2; e.names[name]; k++ {
		name = fmt.Sprintf("%s%s_%d", real.Name, suffix, k)
	}
	e.names[name] = true
	op.Name, op.Doc, op.Unit, op.Bool, op.Section, op.LSB, op.Real = name, real.Doc, real.Unit, real.Bool, section, lsb, v
	e.out.Ops = append(e.out.Ops, op)
	return program.ID(len(e.out.Ops) - 1)
}

// at returns the integer form of v counted in lsb, for use in a section; it converts where needed.
func (e *emitter) at(v program.ID, lsb *big.Rat, section int) program.ID {
	for _, r := range e.ids[v] {
		if r.section == section && r.lsb.Cmp(lsb) == 0 {
			return r.id
		}
	}
	var id program.ID
	op := &e.p.Ops[v]
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
	if have.Cmp(lsb) == 0 || e.p.Ops[v].Bool {
		return from
	}
	k, ok := powerOfTwo(new(big.Rat).Quo(have, lsb))
	if !ok {
		panic(fmt.Sprintf("scale: no shift leads from the format of %s to that of its use", e.p.Ops[v].Name))
	}
	if k > 0 {
		return e.add(program.Op{Kind: program.Scale, Args: []program.ID{from}, K: two(k)}, v, lsb, section, "_fine")
	}
	if -k > mostShift {
		e.fail(section, "formats-apart", e.p.Ops[v].Name, "numbers of a size closer to one another, or a pinned format", "the value is %d bits finer than what reads it", -k)
		k = -mostShift
	}
	return e.append(program.FixedOp{Op: program.Op{Kind: program.Round, Args: []program.ID{from}}, Shift: uint(-k)}, v, lsb, section, "_rounded")
}

// mostShift is the longest shift of a rounding.
const mostShift = 61

// nearest is the whole number next to x, halves up.
func nearest(x *big.Rat) *big.Int {
	n := new(big.Int).Lsh(x.Num(), 1)
	n.Add(n, x.Denom())
	return n.Div(n, new(big.Int).Lsh(x.Denom(), 1))
}

// constant stores a constant in the format of its use.
func (e *emitter) constant(v program.ID, lsb *big.Rat, section int) program.ID {
	op := &e.p.Ops[v]
	if op.Bool {
		return e.add(program.Op{Kind: program.Const, K: op.K}, v, big.NewRat(1, 1), section, "")
	}
	limit := onGrid(op, lsb)
	count := new(big.Rat).SetInt(inCounts(limit, new(big.Rat).Quo(limit.Inward(op.K), lsb)))
	e.store(v, op.K, new(big.Rat).Mul(count, lsb), count, lsb, nil)
	return e.add(program.Op{Kind: program.Const, K: count}, v, lsb, section, "")
}

// store notes what a constant became.
func (e *emitter) store(v program.ID, asked, stored, count, lsb, factor *big.Rat) {
	op := &e.p.Ops[v]
	e.result.Stored.Ops[v].K = stored
	if !count.Num().IsInt64() {
		e.fail(op.Section, "constant-too-large", e.key(op.Section), "a smaller number, or a coarser pinned format", "the constant %s needs more than 64 bits", op.K.FloatString(6))
		return
	}
	if stored.Sign() == 0 && asked.Sign() != 0 && onGrid(op, lsb) == nil {
		value, _ := asked.Float64()
		count, _ := lsb.Float64()
		e.fail(op.Section, "constant-vanishes", e.key(op.Section), "a larger number, a finer pinned format, or 0", "the constant %.6g (%s) is stored as 0: it is counted in steps of %.3g", value, op.Name, count)
	}
	if asked.Sign() == 0 {
		return
	}
	unit := op.Unit
	if op.Kind == program.Scale {
		unit = op.OfUnit
	}
	c := Constant{Name: op.Label, Unit: unit, Asked: asked, Stored: stored, Count: count.Num().Int64(), LSB: lsb, Section: op.Section, Given: op.Label != "", Limit: onGrid(op, lsb)}
	if c.Name == "" {
		c.Name = op.Name
	}
	if factor != nil {
		c.Asked, c.Stored = new(big.Rat).Quo(asked, factor), new(big.Rat).Quo(stored, factor)
		c.LSB = new(big.Rat).Quo(lsb, factor)
	}
	e.note(c)
}

func (e *emitter) note(c Constant) {
	c.Line = e.request.Place(c.Section).Line
	e.result.Constants = append(e.result.Constants, c)
}

func (e *emitter) op(v program.ID, op *program.RealOp) program.ID {
	lsb := e.lsb(v)
	s := op.Section
	arg := func(i int) program.ID { return e.at(op.Args[i], lsb, s) }
	own := func(i int) program.ID { return e.main[op.Args[i]] }
	switch op.Kind {
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
	case program.Mul:
		return e.product(v, op, lsb)
	case program.Angle:
		common := e.lsb(op.Args[0])
		if o := e.lsb(op.Args[1]); o.Cmp(common) < 0 {
			common = o
		}
		e.checkSides(op, common)
		args := []program.ID{e.at(op.Args[0], common, s), e.at(op.Args[1], common, s)}
		return e.append(program.FixedOp{Op: program.Op{Kind: program.Angle, Args: args}, Table: e.tables[v]}, v, lsb, s, "")
	case program.Wrap:
		return e.wrap(v, op, lsb)
	case program.Less, program.LessEqual:
		a, b := op.Args[0], op.Args[1]
		common := e.lsb(a)
		if e.p.Ops[a].Kind == program.Const || e.p.Ops[b].Kind != program.Const && e.lsb(b).Cmp(common) < 0 {
			common = e.lsb(b)
		}
		for _, id := range op.Args { // a number to compare with must not be rounded away
			if k := &e.p.Ops[id]; k.Kind == program.Const && k.K.Sign() != 0 {
				n := bitsFor(k.K, common)
				if new(big.Rat).Quo(k.K, common).Denom().Cmp(big.NewInt(2)) == 0 { // between two counts, so that no rounding decides: there it stays
					n = max(n, 1)
				}
				common = new(big.Rat).Mul(common, two(-max(n, 0)))
			}
		}
		return e.add(program.Op{Kind: op.Kind, Args: []program.ID{e.at(a, common, s), e.at(b, common, s)}}, v, big.NewRat(1, 1), s, "")
	case program.And, program.Or, program.Not:
		args := make([]program.ID, len(op.Args))
		for i := range args {
			args[i] = own(i)
		}
		return e.add(program.Op{Kind: op.Kind, Args: args}, v, big.NewRat(1, 1), s, "")
	case program.Select:
		return e.add(program.Op{Kind: program.Select, Args: []program.ID{own(0), arg(1), arg(2)}}, v, lsb, s, "")
	}
	args := make([]program.ID, len(op.Args))
	for i := range args {
		args[i] = arg(i)
	}
	if op.Kind == program.Clamp {
		e.checkLimits(op, args[1], args[2])
	}
	return e.add(program.Op{Kind: op.Kind, Args: args}, v, lsb, s, "")
}

// checkSides refuses sides of an angle that the arctangent cannot take as they are: near the zero vector a rounded side
// turns the angle by any amount, so they must have a format in common in which both are at most 65535.
func (e *emitter) checkSides(op *program.RealOp, lsb *big.Rat) {
	for _, a := range op.Args {
		side := &e.p.Ops[a]
		if side.Change {
			from := &e.p.Ops[side.Args[0]]
			e.fail(op.Section, "angle-counts", op.Name, "the same counts_per_unit for both sides", "%s is counted in other units than the other side of the angle", from.Name)
			return
		}
	}
	for _, a := range op.Args {
		side := &e.p.Ops[a]
		if reach := new(big.Rat).Quo(e.ranges[a].Size(), lsb); reach.Cmp(mostSide) > 0 {
			e.fail(op.Section, "angle-too-wide", op.Name, "formats: one of 16 bits for both sides, inputs of at most 16 bits, or limits for a side", "%s reaches %s counts, an arctangent takes at most 65535", side.Name, reach.FloatString(0))
			return
		}
	}
}

var mostSide = big.NewRat(65535, 1)

// copy hands a value on, in the format of the copy.
func (e *emitter) copy(v program.ID, lsb *big.Rat) program.ID {
	a := e.p.Ops[v].Args[0]
	s := e.p.Ops[v].Section
	if e.p.Ops[a].Kind == program.Const {
		return e.at(a, lsb, s)
	}
	if e.p.Ops[a].Section != s && e.out.Ops[e.main[a]].LSB.Cmp(lsb) == 0 {
		return e.add(program.Op{Kind: program.Scale, Args: []program.ID{e.main[a]}, K: big.NewRat(1, 1)}, v, lsb, s, "")
	}
	return e.convert(v, e.main[a], lsb, s)
}

// product multiplies by a live coefficient, whose format follows from that of the value and that of the product.
func (e *emitter) product(v program.ID, op *program.RealOp, lsb *big.Rat) program.ID {
	x := e.main[op.Args[1]]
	unit := new(big.Rat).Quo(lsb, e.out.Ops[x].LSB)
	c := op.Args[0]
	info := &e.out.Coefs[e.p.Ops[c].Index]
	gain := e.p.Gains[info.Gain]
	info.LSB = unit
	setter, err := newSetter(gain, new(big.Rat).Quo(info.Factor, unit))
	if err != nil {
		e.fail(op.Section, "gain-range", "tuning."+gain.Key, "a narrower tuning range", "%v", err)
		gain.Value = new(big.Rat) // nothing more is said of it
	}
	info.Setter = setter
	id := e.add(program.Op{Kind: program.Coef, Index: e.p.Ops[c].Index}, c, unit, op.Section, "")
	e.main[c] = id
	count := setter.Apply(setter.XStart)
	stored := new(big.Rat).Quo(new(big.Rat).Mul(new(big.Rat).SetInt64(count), unit), info.Factor)
	if count == 0 && gain.Value.Sign() != 0 {
		value, _ := gain.Value.Float64()
		count, _ := new(big.Rat).Quo(unit, info.Factor).Float64()
		remedy := fmt.Sprintf("a gain of %.3g or more, or a narrower range below tuning", math.Abs(count))
		e.fail(op.Section, "gain-vanishes", "steps."+gain.Key, remedy, "the gain %.6g is stored as 0: its tuning range leaves steps of %.3g", value, math.Abs(count))
	}
	e.note(Constant{Name: gain.Name, Unit: gain.Unit, Asked: gain.Value, Stored: stored, Count: count,
		LSB: new(big.Rat).Quo(unit, info.Factor), Section: op.Section, Live: true})
	return e.add(program.Op{Kind: program.Mul, Args: []program.ID{id, x}}, v, lsb, op.Section, "")
}

// wrap takes off one turn, after twice, four times ... as much where the value can be that far out.
// countedBy is the key of the input whose counts a value is counted in, and what to write there so that a turn is an even whole number of them.
func (e *emitter) countedBy(lsb, turn *big.Rat) (key, remedy string) {
	for _, in := range e.p.Inputs {
		if in.IsSwitch {
			continue
		}
		if _, ok := powerOfTwo(new(big.Rat).Quo(in.LSB, lsb)); !ok {
			continue
		}
		counts := nearest(new(big.Rat).Quo(turn, new(big.Rat).Mul(in.LSB, big.NewRat(2, 1))))
		counts.Lsh(counts, 1)
		if counts.Sign() == 0 {
			continue
		}
		per := new(big.Rat).Quo(new(big.Rat).SetInt(counts), turn)
		text := counts.String() + "/" + turn.RatString()
		if per.IsInt() {
			text = per.RatString()
		}
		if in.Turned {
			text = "-" + text
		}
		return "inputs." + in.Name + ".counts_per_unit", text + ", which makes a turn " + counts.String() + " counts"
	}
	return "", "counts_per_unit: 100 at the input, or another that makes a turn an even whole number of counts"
}

func (e *emitter) wrap(v program.ID, op *program.RealOp, lsb *big.Rat) program.ID {
	turn := new(big.Rat).Quo(op.K, lsb)
	if !turn.IsInt() || turn.Num().Bit(0) != 0 {
		key, remedy := e.countedBy(lsb, op.K)
		if key == "" {
			key = e.key(op.Section)
		}
		digits := 3
		for digits < 12 && strings.HasSuffix(turn.FloatString(digits), "000") {
			digits += 3 // 65535.99999984 is no whole number
		}
		e.fail(op.Section, "turn-not-whole", key, remedy, "a turn is %s counts of what the angle of %s is counted in, an even whole number is expected", turn.FloatString(digits), e.p.Sections[op.Section].Name)
		turn = big.NewRat(2, 1)
	}
	id := e.at(op.Args[0], lsb, op.Section)
	reach := new(big.Rat).Quo(e.ranges[op.Args[0]].Size(), op.K)
	stages := 0
	for two(stages).Cmp(new(big.Rat).Add(reach, big.NewRat(1, 2))) < 0 {
		stages++
	}
	if stages > 8 {
		e.fail(op.Section, "too-many-turns", e.key(op.Section), "a narrower raw type, or a larger counts_per_unit", "the angle can be %s turns out, at most 255 are taken off", reach.FloatString(1))
		stages = 0
	}
	for k := max(stages-1, 0); k >= 0; k-- {
		suffix := ""
		if k > 0 {
			suffix = "_turns"
		}
		id = e.add(program.Op{Kind: program.Wrap, Args: []program.ID{id}, K: new(big.Rat).Mul(turn, two(k))}, v, lsb, op.Section, suffix)
	}
	return id
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
			e.note(Constant{Name: s.Name + "_start", Unit: s.Unit, Asked: asked, Stored: stored, Count: s.Start.Num().Int64(),
				LSB: s.LSB, Section: section, Start: true})
		}
		for _, id := range []*program.ID{&s.Next, &s.Enable, &s.Reset, &s.ResetTo} {
			switch {
			case *id == program.None:
			case e.p.Ops[*id].Bool && e.p.Ops[*id].Kind != program.Const:
				*id = e.main[*id]
			default:
				*id = e.at(*id, s.LSB, section)
			}
		}
	}
}
