package steps

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/formula"
	"gainwright/model/si"
	"gainwright/model/spec"
	"gainwright/model/units"
)

// expr is a part of a formula with its meaning. What is found wrong in one stands for an unknown number or switch, so that all the rest is looked at.
type expr struct {
	*formula.Node
	args   []*expr
	truth  bool       // it yields a switch
	unit   units.Unit // of a number
	bare   bool       // made of numbers without units alone: it takes the unit of what stands opposite
	wild   bool       // nothing is known of its unit, or of its kind either
	k      *big.Rat   // it is this number
	signal *signal    // it is this signal
	own    *ownNumber // it is this number of the step, which is live
}

func (e *expr) each(f func(*expr)) {
	f(e)
	for _, a := range e.args {
		a.each(f)
	}
}

// function is the one that an expression calls, or nil.
func (e *expr) function() *function {
	if e.Op != formula.Call {
		return nil
	}
	return functionNamed(e.Text)
}

// reader finds out what the parts of one formula mean.
type reader struct {
	*Lowering
	key  string
	text spec.Value
}

// readFormula reads the formula that a key holds; nil where it is none, which was said when the keys were read.
func (l *Lowering) readFormula(key string) *expr {
	a := l.arg(key)
	n, errs := formula.Parse(a.Value.Text)
	if n == nil || len(errs) > 0 {
		return nil
	}
	r := &reader{l, key, a.Value}
	before := len(*l.findings)
	e := r.read(n)
	if wants := l.kind.param(key).Form == Condition; wants && !e.truth && !e.wild {
		if n.Op == formula.Name {
			l.fail(r.pos(n.At), key, "number-as-switch", l.fitting("the name of a boolean input, or of a step that yields a switch", func(s signal) bool { return s.isBool }), "%s is a number, a switch is expected", n)
		} else {
			l.fail(r.pos(n.First), key, "number-as-switch", fmt.Sprintf("%s > 0, or another comparison", n), "%s is a number, a switch is expected", n)
		}
	}
	if (*l.findings)[before:].Failed() {
		return nil
	}
	return e
}

func (r *reader) pos(at int) finding.Pos { return r.spec.Inside(r.text, at) }

func (r *reader) wrong(at int, rule, remedy, format string, args ...any) *expr {
	r.fail(r.pos(at), r.key, rule, remedy, format, args...)
	return &expr{wild: true}
}

func (r *reader) read(n *formula.Node) *expr {
	e := &expr{Node: n}
	for _, a := range n.Args {
		e.args = append(e.args, r.read(a))
	}
	var out *expr
	switch {
	case n.Op == formula.Number:
		e.k, e.unit, e.bare = n.Number, unitOf(n.Unit), n.Unit == ""
		r.checkUnitBehind(n)
	case n.Op == formula.Name:
		out = r.name(e)
	case n.Op == formula.Previous:
		out = r.previous(e)
	case n.Op == formula.If:
		r.switches(e, e.args[0])
		r.alike(e, e.args[1:])
	case n.Op == formula.And, n.Op == formula.Or, n.Op == formula.Not, n.Op == formula.Rises, n.Op == formula.Falls:
		e.truth = true
		r.switches(e, e.args...)
	case n.Op.Compares():
		r.numbers(e, e.args...)
		r.alike(e, e.args)
		if e.args[0].k != nil && e.args[1].k != nil {
			out = r.wrong(n.At, "compares-numbers", "a comparison with a signal, or what it leads to alone", "%s compares two numbers: it holds always, or never", n)
		}
		e.truth, e.unit, e.bare, e.wild = true, units.Unit{}, false, false
	case n.Op == formula.Call:
		out = r.call(e)
	default:
		r.numbers(e, e.args...)
		out = r.arithmetic(e)
	}
	if out == nil {
		out = e
	}
	out.Node = n
	return r.sized(out)
}

// sized refuses numbers of no honest size, which arithmetic on numbers can lead to.
func (r *reader) sized(e *expr) *expr {
	if e.k == nil || e.k.Sign() == 0 || e.Op == formula.Number {
		return e
	}
	if size := new(big.Rat).Abs(e.k); size.Cmp(smallest) < 0 || size.Cmp(largest) > 0 {
		return r.wrong(e.First, "number-out-of-reach", "the same value in a larger or smaller unit", "%s is a number of a size below 1e-30 or above 1e30", clip(e.Node.String()))
	}
	return e
}

var (
	largest  = new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(30), nil))
	smallest = new(big.Rat).Inv(largest)
)

// checkUnitBehind tells of a name that was taken for the unit of the number before it.
func (r *reader) checkUnitBehind(n *formula.Node) {
	for _, part := range strings.FieldsFunc(n.Unit, func(c rune) bool { return c == '/' }) {
		if _, is := r.signals[part]; si.Known(part) || r.measures[part] || !is && r.own[part] == nil && r.spec.Constant(part) == nil {
			continue
		}
		remedy := n.Text + " * " + n.Unit
		if strings.Contains(n.Unit, "/") {
			remedy = n.Text + " " + strings.ReplaceAll(n.Unit, "/", " / ") + ", with spaces around the sign"
			if part == strings.Split(n.Unit, "/")[0] {
				remedy = n.Text + " * " + strings.ReplaceAll(n.Unit, "/", " / ")
			}
		}
		r.wrong(n.At, "name-as-unit", remedy, "%s stands behind a number as its unit, and is the name of a value", part)
		return
	}
}

// name looks up what stands for a value: a number of the step, a constant, or a signal.
func (r *reader) name(e *expr) *expr {
	if n := r.own[e.Text]; n != nil {
		n.used = true
		e.unit, e.bare = unitOf(n.q.Unit), n.q.Unit == ""
		if n.tune == nil {
			e.k = n.q.Number
		} else {
			e.own = n
		}
		return e
	}
	if c := r.spec.Constant(e.Text); c != nil {
		e.k, e.unit, e.bare = c.Value.Number, unitOf(c.Value.Unit), c.Value.Unit == ""
		if e.wild = c.Wrong; c.Wrong {
			e.k = nil
		}
		return e
	}
	s, ok := r.signals[e.Text]
	if !ok {
		return &expr{wild: true} // said when the keys were read
	}
	if isUnknown(s.unit) {
		e.wild = true
	}
	e.signal, e.truth, e.unit = &s, s.isBool, unitOf(s.unit)
	return e
}

// previous is what a signal was when its step last ran.
func (r *reader) previous(e *expr) *expr {
	owner, _, _ := strings.Cut(e.Text, ".")
	s, ok := r.signals[previousOf(e.Text)]
	switch {
	case e.Text == r.step.Name && !ok:
		s, ok = r.ownLast(r.pos(e.At), r.key), true
		e.signal = &r.last.signal
	case owner == r.step.Name && !ok:
		return r.wrong(e.At, "no-previous", "previous "+owner, "a formula reads what its own signal was, and not %s", e.Text)
	default:
		e.signal = &s
	}
	if !ok {
		return &expr{wild: true} // said when the keys were read
	}
	e.wild, e.truth, e.unit = isUnknown(s.unit), s.isBool, unitOf(s.unit)
	return e
}

// switches wants arguments that are switches.
func (r *reader) switches(e *expr, args ...*expr) {
	for _, a := range args {
		if !a.truth && !a.wild {
			what := "of " + e.Op.Sign()
			r.wrong(a.First, "number-as-switch", fmt.Sprintf("%s > 0, or another comparison", a.guarded()), "%s is a number, a switch is expected %s", clip(a.String()), what)
		}
	}
}

// guarded writes a number so that a comparison can stand behind it.
func (e *expr) guarded() string {
	if e.Op < formula.Add {
		return "(" + clip(e.String()) + ")"
	}
	return clip(e.String())
}

// numbers wants arguments that are numbers.
func (r *reader) numbers(e *expr, args ...*expr) {
	for _, a := range args {
		if a.truth && !a.wild {
			r.wrong(a.First, "switch-as-number", fmt.Sprintf("(if %s then 1 else 0)", clip(a.String())), "%s is a switch, a number is expected", clip(a.String()))
			a.wild = true
		}
	}
}

// alike wants arguments of one unit, which e then has: numbers without one take it. Choices may be between switches, too.
func (r *reader) alike(e *expr, args []*expr) {
	first := args[0]
	for _, a := range args {
		if a.truth != args[0].truth && !a.wild && !args[0].wild {
			of, other := args[0], a
			if of.truth {
				of, other = a, of
			}
			r.wrong(other.First, "switch-as-number", fmt.Sprintf("(if %s then 1 else 0)", clip(other.String())), "%s is a switch, and %s is a number", clip(other.String()), clip(of.String()))
			e.wild = true
			return
		}
		e.truth = a.truth
		e.wild = e.wild || a.wild
		if first.bare || first.wild {
			first = a
		}
	}
	if e.truth {
		return
	}
	e.unit, e.bare = first.unit, first.bare
	for _, a := range args {
		switch {
		case a.bare:
			a.take(e.unit, e.bare)
		case a.wild || first.wild || sameUnit(a.unit, e.unit):
		default:
			r.wrong(a.First, "unit-mismatch", r.inUnit(a, e.unit), "%s is in %s, and %s in %s", clip(a.String()), orNone(r.spelt(a)), clip(first.String()), orNone(r.spelt(first)))
			e.wild = true
			return
		}
	}
}

// inUnit says what to write for a value in the unit of what stands opposite.
func (r *reader) inUnit(a *expr, unit units.Unit) string {
	from, to := r.spelt(a), r.spelt(&expr{Node: a.Node, unit: unit})
	if a.Op == formula.Number {
		return spec.Quantity{Number: a.k, Unit: from}.In(to)
	}
	if zero, ok := si.Value(0, from, to); ok && zero == 0 && from != "" && to != "" {
		factor, _ := si.Value(1, from, to)
		return fmt.Sprintf("%.10g %s * %s", factor, unit.Quo(a.unit), a.guarded())
	}
	if to == "" {
		return "values without a unit"
	}
	return "a value in " + to
}

// take gives a number that has no unit the one of what stands opposite.
func (e *expr) take(unit units.Unit, bare bool) {
	e.unit, e.bare = unit, bare
	switch {
	case e.Op == formula.Number, e.Op == formula.Name:
	case e.Op == formula.If:
		e.args[1].take(unit, bare)
		e.args[2].take(unit, bare)
	case e.Op == formula.Mul || e.Op == formula.Div: // factors have no unit
		e.args[0].take(unit, bare)
	default:
		for i, a := range e.args {
			if f := e.function(); f == nil || f.alike(i) {
				a.take(unit, bare)
			}
		}
	}
}

func (r *reader) arithmetic(e *expr) *expr {
	a := e.args[0]
	for _, x := range e.args {
		e.wild = e.wild || x.wild
	}
	if e.Op == formula.Neg {
		e.unit, e.bare = a.unit, a.bare
		if a.k != nil {
			e.k = new(big.Rat).Neg(a.k)
		}
		return e
	}
	b := e.args[1]
	numbers := a.k != nil && b.k != nil
	switch e.Op {
	case formula.Add, formula.Sub:
		r.alike(e, e.args)
		if numbers {
			e.k = new(big.Rat)
			if e.Op == formula.Add {
				e.k.Add(a.k, b.k)
			} else {
				e.k.Sub(a.k, b.k)
			}
		}
	case formula.Mul:
		e.unit, e.bare = a.unit.Mul(b.unit), a.bare && b.bare
		if numbers {
			e.k = new(big.Rat).Mul(a.k, b.k)
		}
	case formula.Div:
		e.unit, e.bare = a.unit.Quo(b.unit), a.bare && b.bare
		switch {
		case b.k != nil && b.k.Sign() == 0:
			return r.wrong(b.First, "divided-by-zero", "a number that is not 0", "%s is divided by 0", clip(a.String()))
		case numbers:
			e.k = new(big.Rat).Quo(a.k, b.k)
		}
	}
	return e
}

func unitOf(text string) units.Unit { return units.Parse(text) }

// sameUnit tells whether two units measure alike and in the same steps: V.A and W do, degC and K do not.
func sameUnit(a, b units.Unit) bool {
	if a.Equal(b) {
		return true
	}
	zero, ok := si.Value(0, a.String(), b.String())
	one, _ := si.Value(1, a.String(), b.String())
	return ok && zero == 0 && one == 1
}

// clip cuts what is shown of a formula.
func clip(text string) string {
	if len(text) > 60 {
		return text[:57] + "..."
	}
	return text
}

func reservedWord(name string) bool { return formula.IsWord(name) || functionNamed(name) != nil }
