package steps

import (
	"fmt"
	"math/big"

	"gainwright/model/finding"
	"gainwright/model/formula"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// writer makes operations of a formula.
type writer struct {
	*Lowering
	key  string
	made map[*expr]program.ID
	last int // states made for what rises or falls
}

// readFormulas reads all formulas of a step before its section begins. What a comparison in them reads is a signal, or exact from signals: else
// both programs could decide differently. So anything else becomes a signal of its own, in a section of its own before that of the step.
func (l *Lowering) readFormulas() {
	l.formulas = map[string]*expr{}
	l.readOwnNumbers()
	parts := map[string]*signal{}
	for _, a := range l.step.Args {
		if p := l.kind.param(a.Key); p == nil || p.Form != Formula && p.Form != Condition || a.Value.Shape != spec.Scalar {
			continue
		}
		e := l.readFormula(a.Key)
		if e == nil {
			continue
		}
		e = l.keep(a.Key, e, a.Key == "reset")
		l.formulas[a.Key] = e
		l.lift(a.Key, e, parts)
	}
}

// lift gives what a comparison reads a section of its own, where it is no signal and not exact from signals; the innermost first.
func (l *Lowering) lift(key string, e *expr, parts map[string]*signal) {
	for _, a := range e.args {
		l.lift(key, a, parts)
	}
	if !e.Op.Compares() || e.wild {
		return
	}
	for i, a := range e.args {
		if a.wild || a.exact() {
			continue
		}
		text := a.String()
		if parts[text] == nil {
			parts[text] = l.part(key, a)
		}
		e.args[i] = &expr{Node: a.Node, unit: a.unit, signal: parts[text]}
	}
}

// exact tells whether no rounding lies on the way from signals to a value, once they are counted alike.
func (e *expr) exact() bool {
	if e.k != nil || e.signal != nil {
		return true
	}
	switch e.Op {
	case formula.Add, formula.Sub:
	case formula.Call:
		if e.Text != "min" && e.Text != "max" && e.Text != "abs" {
			return false
		}
	default:
		return false
	}
	for _, a := range e.args {
		if !a.exact() {
			return false
		}
	}
	return true
}

// part makes a section and a signal of a part of a formula.
func (l *Lowering) part(key string, e *expr) *signal {
	role := roles[e.Op]
	if e.Op == formula.Call {
		role = e.Text
	}
	if e.own != nil {
		role = e.Text + "_now"
	}
	name := l.further(role)
	l.begin(name, "What is compared in "+key+": a signal of its own, so that it is rounded before it is compared and not after.", name+" = "+e.String())
	w := &writer{Lowering: l, key: key}
	l.Publish(w.number(e), name[len(l.prefix)+1:], nil)
	s := l.signals[name]
	return &s
}

func (l *Lowering) isSignal(name string) bool { _, is := l.signals[name]; return is }

// roles name the values of operations.
var roles = map[formula.Op]string{formula.If: "chosen", formula.Or: "either", formula.And: "both", formula.Not: "off", formula.Less: "below", formula.LessEqual: "up_to",
	formula.Greater: "above", formula.GreaterEqual: "from", formula.Add: "sum", formula.Sub: "difference", formula.Mul: "product", formula.Div: "quotient", formula.Neg: "turned"}

// emit makes a switch of a formula.
func (l *Lowering) emit(key string, e *expr) program.ID {
	w := &writer{Lowering: l, key: key}
	return w.truth(e)
}

func (w *writer) role(e *expr) string { return w.key + "_" + roles[e.Op] }

// truth is a switch.
func (w *writer) truth(e *expr) program.ID {
	switch {
	case e.signal != nil:
		return e.signal.id
	case e.wild:
		return w.unknown().id
	}
	doc := clip(e.String())
	switch {
	case e.Op == formula.Not:
		a := e.args[0]
		return w.Logic(program.Not, w.roleOf(e, a, w.key), clip(a.String())+" is off", w.truth(a))
	case e.Op == formula.And:
		return w.Logic(program.And, w.role(e), doc, w.truth(e.args[0]), w.truth(e.args[1]))
	case e.Op == formula.Or:
		return w.Logic(program.Or, w.role(e), doc, w.truth(e.args[0]), w.truth(e.args[1]))
	case e.Op == formula.If:
		return w.Select(w.truth(e.args[0]), w.truth(e.args[1]), w.truth(e.args[2]), w.role(e), doc)
	case e.Op == formula.Rises, e.Op == formula.Falls:
		return w.edge(e)
	}
	a, b := w.number(e.args[0]), w.number(e.args[1])
	for _, id := range []program.ID{a, b} {
		if op := &w.p.Ops[id]; op.Section == w.section && op.Kind != program.Const {
			w.Exact(id)
		}
	}
	kind := program.Less
	if e.Op == formula.LessEqual || e.Op == formula.GreaterEqual {
		kind = program.LessEqual
	}
	if e.Op == formula.Greater || e.Op == formula.GreaterEqual {
		a, b = b, a
	}
	return w.Logic(kind, w.role(e), doc, a, b)
}

// roleOf is the name of what is done with a signal alone, which the key gives; else that of the operation.
func (w *writer) roleOf(e, a *expr, short string) string {
	if a.signal != nil && w.formulas[w.key] == e && w.key != "value" {
		return short
	}
	return w.role(e)
}

// edge is on at the tick at which a switch comes on, or goes off.
func (w *writer) edge(e *expr) program.ID {
	a := e.args[0]
	name, now, key := clip(a.String()), w.truth(a), w.key
	if w.last++; w.last > 1 {
		key = fmt.Sprintf("%s_%d", key, w.last)
	}
	n, before := w.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Purpose: program.Copy}, Like: now}, key+"_last", name+" at the last tick")
	w.Update(n, now)
	if e.Op == formula.Rises {
		off := w.Logic(program.Not, key+"_was_off", name+" was off", before)
		return w.Logic(program.And, key+"_rises", name+" rises", now, off)
	}
	off := w.Logic(program.Not, key+"_is_off", name+" is off", now)
	return w.Logic(program.And, key+"_falls", name+" falls", before, off)
}

// number is a number. One that is used twice is made once; a constant is made for each use, since each may be stored in another format.
func (w *writer) number(e *expr) program.ID {
	switch {
	case e.k != nil:
		id := w.Const(e.k, w.spelt(e), w.key+"_number")
		if e.Op == formula.Name {
			w.p.Ops[id].Label = w.prefix + "_" + e.Text
		}
		return id
	case e.signal != nil:
		return e.signal.id
	case e.wild:
		return w.unknown().id
	}
	if id, is := w.made[e]; is {
		return id
	}
	id := w.make(e)
	if w.made == nil {
		w.made = map[*expr]program.ID{}
	}
	w.made[e] = id
	return id
}

func (w *writer) make(e *expr) program.ID {
	switch f := e.function(); {
	case f != nil:
		return f.emit(w, e)
	case e.Op == formula.If:
		unit := w.spelt(e)
		return w.Select(w.truth(e.args[0]), w.as(w.number(e.args[1]), unit), w.as(w.number(e.args[2]), unit), w.role(e), clip(e.String()))
	case e.Op == formula.Add:
		return w.same(program.Add, e, roles[e.Op], w.number(e.args[0]), w.number(e.args[1]))
	case e.Op == formula.Sub:
		return w.same(program.Sub, e, roles[e.Op], w.number(e.args[0]), w.number(e.args[1]))
	case e.Op == formula.Div && e.args[1].k == nil:
		return w.quotient(e)
	}
	return w.product(e)
}

// same adds an operation on values of one unit.
func (w *writer) same(kind program.Kind, e *expr, role string, args ...program.ID) program.ID {
	return w.inUnit(kind, w.spelt(e), role, clip(e.String()), args...)
}

func (w *writer) inUnit(kind program.Kind, unit, role, doc string, args ...program.ID) program.ID {
	for i := range args {
		args[i] = w.as(args[i], unit)
	}
	return w.add(program.RealOp{Op: program.Op{Kind: kind, Args: args, Unit: unit}}, w.key+"_"+role, doc)
}

// as is a value in a unit that is the same but for how it is written, or that a factor of 1 leads to.
func (w *writer) as(v program.ID, unit string) program.ID {
	op := w.p.Ops[v]
	if op.Unit == unit {
		return v
	}
	return w.add(program.RealOp{Op: program.Op{Kind: program.Scale, Args: []program.ID{v}, K: big.NewRat(1, 1), Unit: unit}}, w.key+"_as", op.Doc+", in "+orNone(unit))
}

func (w *writer) extreme(kind program.Kind, e *expr, role string) program.ID {
	v := w.number(e.args[0])
	for _, a := range e.args[1:] {
		v = w.same(kind, e, role, v, w.number(a))
	}
	return v
}

// product multiplies: numbers are collected into one, which a live number takes into its coefficient.
func (w *writer) product(e *expr) program.ID {
	k := new(big.Rat).Set(one)
	var lives, rest []*expr
	var collect func(x *expr)
	collect = func(x *expr) {
		switch {
		case x.k != nil:
			k.Mul(k, x.k)
		case x.own != nil:
			lives = append(lives, x)
		case x.signal == nil && x.Op == formula.Mul:
			collect(x.args[0])
			collect(x.args[1])
		case x.signal == nil && x.Op == formula.Neg:
			k.Neg(k)
			collect(x.args[0])
		case x.signal == nil && x.Op == formula.Div && x.args[1].k != nil:
			k.Quo(k, x.args[1].k)
			collect(x.args[0])
		default:
			rest = append(rest, x)
		}
	}
	collect(e)
	unit, doc := w.spelt(e), clip(e.String())
	v := program.None
	for _, x := range rest {
		if v == program.None {
			v = w.number(x)
			continue
		}
		v = w.add(program.RealOp{Op: program.Op{Kind: program.Mul, Args: []program.ID{w.narrow(v), w.narrow(w.number(x))}, Unit: unit}}, w.key+"_product", doc)
	}
	for _, x := range lives {
		if v == program.None {
			v = w.alone(one, "")
		}
		v = w.live(x, k, w.narrow(v), unit, doc)
		k = one
	}
	switch {
	case k.Cmp(one) == 0:
		return w.as(v, unit)
	case k.Sign() == 0:
		return w.Const(k, unit, w.key+"_nothing")
	}
	of := unitOf(w.unitOf(v))
	id := w.Scale(k, w.narrow(v), unit, w.key+"_"+roles[e.Op], doc)
	w.p.Ops[id].OfUnit = unitOf(unit).Quo(of).String()
	return id
}

// alone is a number as a value that others are multiplied by or divided.
func (w *writer) alone(k *big.Rat, unit string) program.ID {
	return w.add(program.RealOp{Op: program.Op{Kind: program.Scale, Args: []program.ID{w.Const(k, unit, w.key+"_one")}, K: big.NewRat(1, 1), Unit: unit}}, w.key+"_unit", "a number as a value")
}

// live multiplies by a live number times a factor.
func (w *writer) live(x *expr, factor *big.Rat, v program.ID, unit, doc string) program.ID {
	n := x.own
	gain, known := w.gains[n.tune.Key]
	if !known {
		if value := n.q.Number; value.Cmp(n.tune.Lo) < 0 || value.Cmp(n.tune.Hi) > 0 {
			w.findings.Add(gainOutside(n.tune, fmt.Sprintf("the number is %s, which the tuning range [%s, %s] does not hold", decimal(value), decimal(n.tune.Lo), decimal(n.tune.Hi)),
				tuningFor(value, n.tune.Lo, n.tune.Hi)))
		}
		w.checkTuningUnit(n.tune, n.q.Unit)
		gain = len(w.p.Gains)
		w.gains[n.tune.Key] = gain
		w.p.Gains = append(w.p.Gains, program.Gain{Name: w.prefix + "_" + n.name, Key: n.tune.Key, Unit: n.q.Unit, Value: n.q.Number, Lo: n.tune.Lo, Hi: n.tune.Hi, Count: n.tune.Count})
	}
	name := w.prefix + "_" + n.name
	for i := 2; w.names["coefficient "+name]; i++ {
		name = fmt.Sprintf("%s_%s_%d", w.prefix, n.name, i)
	}
	w.names["coefficient "+name] = true
	w.p.Coefs = append(w.p.Coefs, program.CoefInfo{Gain: gain, Factor: factor, Name: name})
	c := w.add(program.RealOp{Op: program.Op{Kind: program.Coef, Index: len(w.p.Coefs) - 1, Unit: n.q.Unit}}, n.name+"_live", "live coefficient")
	return w.add(program.RealOp{Op: program.Op{Kind: program.Mul, Args: []program.ID{c, v}, Unit: unit}}, w.key+"_product", doc)
}

// quotient divides by a value, which must keep away from 0: that is proven once ranges are known.
func (w *writer) quotient(e *expr) program.ID {
	over, under := e.args[0], e.args[1]
	a := w.number(over)
	if over.k != nil {
		a = w.alone(over.k, w.spelt(over))
	}
	id := w.add(program.RealOp{Op: program.Op{Kind: program.Quotient, Args: []program.ID{w.narrow(a), w.narrow(w.number(under))}, Unit: w.spelt(e)}}, w.key+"_quotient", clip(e.String()))
	pos := w.spec.Inside(w.step.Arg(w.key).Value, under.First)
	w.p.Ops[id].Divisor = &program.Place{Text: clip(under.String()), Line: pos.Line, Col: pos.Col}
	return id
}

// narrow rounds what is about to be multiplied or divided to a signal's width, where it is a product itself: else widths would grow without end.
func (w *writer) narrow(v program.ID) program.ID {
	if !w.isWide(v) {
		return v
	}
	op := w.p.Ops[v]
	return w.add(program.RealOp{Op: program.Op{Kind: program.Scale, Args: []program.ID{v}, K: big.NewRat(1, 1), Unit: op.Unit}}, w.key+"_factor", op.Doc+", before it is multiplied or divided")
}

func (w *writer) isWide(v program.ID) bool {
	op := &w.p.Ops[v]
	switch {
	case op.Section != w.section:
		return false
	case op.Kind == program.Mul, op.Kind == program.Quotient, op.Kind == program.Scale && op.K.Cmp(one) != 0:
		return true
	case op.Kind == program.Scale:
		return false
	}
	for _, n := range op.Kind.Of().Aligned {
		if w.isWide(op.Args[n]) {
			return true
		}
	}
	return false
}

// move goes a share of the way from one value to another. By a share that is a number the result is a sum of the two with weights that sum to 1, which keeps
// its range; by any other share a limit between the two says so, which moves nothing in real numbers.
func (w *writer) move(e *expr) program.ID {
	from, to, share := e.args[0], e.args[1], e.args[2]
	switch {
	case share.k != nil && share.k.Sign() == 0:
		return w.number(from)
	case share.k != nil && share.k.Cmp(one) == 0:
		return w.number(to)
	}
	unit, doc := w.spelt(e), clip(e.String())
	var way program.ID
	if from.k != nil && to.k != nil {
		way = w.alone(new(big.Rat).Sub(to.k, from.k), unit)
	} else {
		way = w.same(program.Sub, e, "way", w.number(to), w.number(from))
	}
	var step program.ID
	switch {
	case share.k != nil:
		step = w.Scale(share.k, w.narrow(way), unit, w.key+"_step", "share of the way")
		w.p.Ops[step].OfUnit = ""
	case share.own != nil:
		step = w.live(share, one, w.narrow(way), unit, "share of the way")
	default:
		s := w.Clamp(w.number(share), new(big.Rat), one, w.key+"_share", "share, from 0 to 1")
		step = w.add(program.RealOp{Op: program.Op{Kind: program.Mul, Args: []program.ID{w.narrow(s), w.narrow(way)}, Unit: unit}}, w.key+"_step", "share of the way")
	}
	moved := w.inUnit(program.Add, unit, "moved", "moved by the share", w.number(from), step)
	if share.k != nil {
		return moved
	}
	end := func(kind program.Kind, role string) program.ID {
		if from.k != nil && to.k != nil {
			low := (from.k.Cmp(to.k) <= 0) == (kind == program.Min)
			k := to.k
			if low {
				k = from.k
			}
			return w.Const(k, unit, w.key+"_"+role)
		}
		return w.inUnit(kind, unit, role, "end of the way", w.number(from), w.number(to))
	}
	return w.inUnit(program.Clamp, unit, "inside", doc, moved, end(program.Min, "lower"), end(program.Max, "upper"))
}

func gainOutside(t *spec.Tuning, message, remedy string) finding.Finding {
	return finding.Finding{Pos: t.RangePos, Severity: finding.Error, Rule: "gain-outside-tuning", Key: "tuning." + t.Key, Message: message, Remedy: remedy}
}
