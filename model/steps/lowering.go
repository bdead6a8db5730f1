package steps

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/spec"
	"gainwright/model/units"
)

// signal is a value that other steps may name.
type signal struct {
	id      program.ID
	unit    string
	isBool  bool
	angular *big.Rat
	lo, hi  *big.Rat // what the raw value can reach, inputs only
}

// Lowering is one step, or one output, on its way to the real program. Its methods read the
// step's keys (reporting what is wrong with them) and add operations. After a finding the
// methods return harmless values, so that a kind's Lower reads straight through.
type Lowering struct {
	p        *program.Real
	spec     *spec.Spec
	findings *finding.List
	signals  map[string]signal
	first    program.ID
	step     *spec.Step
	kind     *Kind
	section  int
	clock    program.Clock            // of the section
	clocks   map[string]program.Clock // by step
	uneven   map[string]bool          // steps whose last value one reads that runs at other ticks
	unit     string                   // of the step's own value
	names    map[string]bool          // of values, all that are taken
	taken    map[string]int           // by a name that several values would have: the last number that was put behind it
	units    *units.System
	kinds    map[string]*Kind      // by step
	awaited  []awaited             // last values of signals that are still to come
	last     *last                 // of the step's own signal, where its formula reads it
	prefix   string                // of the names of values
	formulas map[string]*expr      // of the step, by key
	own      map[string]*ownNumber // numbers beside the formula of the step
	gains    map[string]int        // live numbers of formulas that are gains already, by key
	spelling map[string]string     // how the spec writes units
	measures map[string]bool       // names that stand in units
}

func (l *Lowering) fail(pos finding.Pos, key, rule, remedy, format string, args ...any) {
	path := "steps." + l.step.Name
	if key != "" {
		path += "." + key
	}
	l.findings.Add(finding.Finding{Pos: pos, Severity: finding.Error, Rule: rule, Key: path, Message: fmt.Sprintf(format, args...), Remedy: remedy})
}

// warn tells of what is most likely not meant.
func (l *Lowering) warn(pos finding.Pos, key, rule, remedy, format string, args ...any) {
	l.findings.Add(finding.Finding{Pos: pos, Severity: finding.Warning, Rule: rule, Key: "steps." + l.step.Name + "." + key, Message: fmt.Sprintf(format, args...), Remedy: remedy})
}

// add appends an operation; role names the value within the step.
func (l *Lowering) add(op program.RealOp, role, doc string) program.ID {
	name := l.prefix
	if role != "" {
		name += "_" + role
	}
	for base := name; l.names[name]; {
		l.taken[base] = max(l.taken[base], 1) + 1
		name = fmt.Sprintf("%s_%s_%d", l.prefix, role, l.taken[base])
	}
	l.names[name] = true
	op.Name, op.Doc, op.Section = name, doc, l.section
	l.p.Ops = append(l.p.Ops, op)
	return program.ID(len(l.p.Ops) - 1)
}

// facts are those of the section that is being made.
func (l *Lowering) facts() *program.Facts { return &l.p.Sections[l.section].Facts }

func (l *Lowering) unitOf(id program.ID) string { return l.p.Ops[id].Unit }

// Const adds a constant. Each use of a constant has its own operation, since each may be stored in another format.
func (l *Lowering) Const(k *big.Rat, unit, role string) program.ID {
	return l.add(program.RealOp{Op: program.Op{Kind: program.Const, K: k, Unit: unit}}, role, "constant")
}

func (l *Lowering) binary(kind program.Kind, a, b program.ID, role, doc string) program.ID {
	unit := l.unitOf(a)
	if l.p.Ops[a].Kind == program.Const {
		unit = l.unitOf(b)
	}
	return l.add(program.RealOp{Op: program.Op{Kind: kind, Args: []program.ID{a, b}, Unit: unit}}, role, doc)
}

// Add adds two values.
func (l *Lowering) Add(a, b program.ID, role, doc string) program.ID {
	return l.binary(program.Add, a, b, role, doc)
}

// Sub subtracts b from a.
func (l *Lowering) Sub(a, b program.ID, role, doc string) program.ID {
	return l.binary(program.Sub, a, b, role, doc)
}

// Scale multiplies by a constant and gives the result a unit.
func (l *Lowering) Scale(k *big.Rat, a program.ID, unit, role, doc string) program.ID {
	if c := l.p.Ops[a]; c.Kind == program.Const {
		return l.Const(new(big.Rat).Mul(k, c.K), unit, role)
	}
	return l.add(program.RealOp{Op: program.Op{Kind: program.Scale, Args: []program.ID{a}, K: k, Unit: unit}, OfUnit: quotient(unit, l.unitOf(a))}, role, doc)
}

// Clamp limits a to [lo, hi], which are constants.
func (l *Lowering) Clamp(a program.ID, lo, hi *big.Rat, role, doc string) program.ID {
	u := l.unitOf(a)
	args := []program.ID{a, l.Const(lo, u, role+"_low"), l.Const(hi, u, role+"_high")}
	return l.add(program.RealOp{Op: program.Op{Kind: program.Clamp, Args: args, Unit: u}}, role, doc)
}

// Wrap takes whole turns off.
func (l *Lowering) Wrap(a program.ID, turn *big.Rat, role, doc string) program.ID {
	return l.add(program.RealOp{Op: program.Op{Kind: program.Wrap, Args: []program.ID{a}, K: turn, Unit: l.unitOf(a)}}, role, doc)
}

// Root takes the square root of a, of 0 where it is less, and gives the result a unit.
func (l *Lowering) Root(a program.ID, unit, role, doc string) program.ID {
	return l.add(program.RealOp{Op: program.Op{Kind: program.Root, Args: []program.ID{a}, Unit: unit}}, role, doc)
}

// Logic adds an operation that yields a truth value.
func (l *Lowering) Logic(kind program.Kind, role, doc string, args ...program.ID) program.ID {
	return l.add(program.RealOp{Op: program.Op{Kind: kind, Args: args, Bool: true}}, role, doc)
}

// Select yields a where cond is true, else b.
func (l *Lowering) Select(cond, a, b program.ID, role, doc string) program.ID {
	unit := l.unitOf(a)
	if l.p.Ops[a].Kind == program.Const {
		unit = l.unitOf(b)
	}
	return l.add(program.RealOp{Op: program.Op{Kind: program.Select, Args: []program.ID{cond, a, b}, Unit: unit, Bool: l.p.Ops[a].Bool && l.p.Ops[b].Bool}}, role, doc)
}

// State declares a state and returns its number and the value read at the start of the tick.
func (l *Lowering) State(s program.RealState, role, doc string) (int, program.ID) {
	s.Name, s.Doc, s.Section = l.prefix+"_"+role, doc, l.section
	s.Next, s.Enable, s.Reset, s.ResetTo = program.None, program.None, program.None, program.None
	if s.Start == nil {
		s.Start = new(big.Rat)
	}
	l.p.States = append(l.p.States, s)
	n := len(l.p.States) - 1
	before := "before"
	if role != "" {
		before = role + "_before"
	} else {
		l.p.States[n].Name = l.prefix
	}
	id := l.add(program.RealOp{Op: program.Op{Kind: program.State, Index: n, Unit: s.Unit, Bool: s.Bool}}, before, doc+", as the tick starts")
	return n, id
}

// Update sets what state n becomes at the end of a tick.
func (l *Lowering) Update(n int, next program.ID) *program.RealState {
	s := &l.p.States[n]
	s.Next = next
	return s
}

// Exact marks values that feed a recursion with a pole at one: no rounding may be made on the way to them.
func (l *Lowering) Exact(ids ...program.ID) {
	for _, id := range ids {
		l.p.Ops[id].Exact = true
	}
}

// Publish makes v the step's own signal, or the further signal role of the step.
func (l *Lowering) Publish(v program.ID, role string, angular *big.Rat) {
	name := l.prefix
	if role != "" {
		name += "." + role
	}
	if role == "" {
		l.becomes(v)
	}
	op := l.p.Ops[v]
	if op.Bool && l.p.ClockOf(v) != l.clock { // held, and no copy
		off := l.Logic(program.Not, strings.TrimPrefix(role+"_held_off", "_"), "the other way than what is held", v)
		v = l.Logic(program.Not, strings.TrimPrefix(role+"_held", "_"), "held from run to run", off)
	}
	id := l.add(program.RealOp{Op: program.Op{Kind: program.Scale, Args: []program.ID{v}, K: big.NewRat(1, 1), Unit: op.Unit, Bool: op.Bool}}, role, "the signal "+name)
	l.signals[name] = signal{id: id, unit: op.Unit, isBool: op.Bool, angular: angular}
	l.spell(op.Unit)
	s := &l.p.Sections[l.section]
	s.Signals = append(s.Signals, program.Signal{Name: name, Value: id, Angular: angular})
}

// Equation says what the step computes with the names and numbers of the spec in it; till then it is the kind's.
func (l *Lowering) Equation(format string, args ...any) {
	l.p.Sections[l.section].Equation = fmt.Sprintf(format, args...)
}

// written is a value in an equation: the number that a constant is, else what the key names.
func (l *Lowering) written(id program.ID, key string) string {
	if op := l.p.Ops[id]; op.Kind == program.Const {
		return decimal(op.K)
	}
	return l.arg(key).Value.Text
}

// Term multiplies a by the gain that the key names, times factor. A gain under `tuning` becomes a live
// coefficient; another becomes a constant.
func (l *Lowering) Term(key string, value, factor *big.Rat, gainUnit string, a program.ID, unit, role, doc string) program.ID {
	if t := l.live(key); t != nil {
		if value.Cmp(t.Lo) < 0 || value.Cmp(t.Hi) > 0 {
			l.findings.Add(gainOutside(t, fmt.Sprintf("the gain is %s, which the tuning range [%s, %s] does not hold", decimal(value), decimal(t.Lo), decimal(t.Hi)), tuningFor(value, t.Lo, t.Hi)))
		}
		l.checkTuningUnit(t, gainUnit)
		l.p.Gains = append(l.p.Gains, program.Gain{Name: l.prefix + "_" + key, Key: t.Key, Unit: gainUnit, Value: value, Lo: t.Lo, Hi: t.Hi, Count: t.Count})
		l.p.Coefs = append(l.p.Coefs, program.CoefInfo{Gain: len(l.p.Gains) - 1, Factor: factor, Name: l.prefix + "_" + key})
		c := l.add(program.RealOp{Op: program.Op{Kind: program.Coef, Index: len(l.p.Coefs) - 1, Unit: gainUnit}}, key+"_live", "live coefficient")
		return l.add(program.RealOp{Op: program.Op{Kind: program.Mul, Args: []program.ID{c, a}, Unit: unit}}, role, doc)
	}
	id := l.Scale(new(big.Rat).Mul(value, factor), a, unit, role, doc)
	op := &l.p.Ops[id]
	op.Factor, op.Label, op.OfUnit = factor, l.prefix+"_"+key, gainUnit
	return id
}

// checkTuningUnit holds the unit of a constant in the range of a gain against that of the gain.
func (l *Lowering) checkTuningUnit(t *spec.Tuning, unit string) {
	if t.Unit != "" && !isUnknown(unit) && !sameUnit(unitOf(t.Unit), unitOf(unit)) {
		l.findings.Add(finding.Finding{Pos: t.RangePos, Severity: finding.Error, Rule: "unit-mismatch", Key: "tuning." + t.Key,
			Message: fmt.Sprintf("the unit of a constant in the range is %s, that of the gain is %s", t.Unit, orNone(unit)), Remedy: "a constant in " + orNone(unit)})
	}
}

// live is the range in which the gain of that key may change while running, or nil.
func (l *Lowering) live(key string) *spec.Tuning {
	for i := range l.spec.Tuning {
		if t := &l.spec.Tuning[i]; t.Key == l.step.Name+"."+key {
			return t
		}
	}
	return nil
}

func decimal(r *big.Rat) string {
	f, _ := r.Float64()
	return fmt.Sprintf("%.10g", f)
}

// quotient is the unit of a constant that leads from one unit to another.
func quotient(to, from string) string {
	switch {
	case to == from:
		return ""
	case from == to+"/s":
		return "s"
	case from == "":
		return to
	}
	return to + "/" + from
}

// tuningFor is a range that holds a gain. Where the gain has the other sign than all of the range, the range is turned round: one of both
// signs would let the loop be turned round while it runs.
func tuningFor(value, lo, hi *big.Rat) string {
	switch zero := new(big.Rat); {
	case value.Sign() < 0 && lo.Sign() >= 0:
		return fmt.Sprintf("[%s, %s], if the gain is meant to be negative", decimal(interval.Min(new(big.Rat).Neg(hi), value)), decimal(zero.Neg(lo)))
	case value.Sign() > 0 && hi.Sign() <= 0:
		return fmt.Sprintf("[%s, %s], if the gain is meant to be positive", decimal(zero.Neg(hi)), decimal(interval.Max(new(big.Rat).Neg(lo), value)))
	}
	return fmt.Sprintf("[%s, %s], or a gain inside the range", decimal(interval.Min(lo, value)), decimal(interval.Max(hi, value)))
}
