package steps

import (
	"cmp"
	"math/big"

	"gainwright/model/formula"
	"gainwright/model/program"
	"gainwright/model/spec"
)

var formulaKind = &Kind{
	Name:     "formula",
	Doc:      "Computes a number or a switch as mathematics is written: arithmetic, comparison, logic and choice.",
	Equation: "y = value",
	Source:   "common practice, no source",
	Units:    "own = unit",
	Params: []Param{
		{Key: "value", Form: Formula, Required: true, Doc: "the formula; gainwright help formula shows what may stand in it"},
		{Key: "unit", Form: Unit, Doc: "unit of the result, which is checked; a formula of bare numbers takes it"},
		{Key: "numbers", Form: NamedNumbers, Doc: "numbers by name, such as {gain: 0.3 duty/V}; each may be live, as STEP.NAME below tuning"},
	},
	Lower: func(l *Lowering) {
		e := l.formulas["value"]
		if e == nil { // said where it was read
			return
		}
		l.checkOwnNumbers()
		if e.truth {
			if l.Has("unit") {
				l.fail(l.argPos("unit"), "unit", "unit-of-a-switch", "leave it out", "the formula yields a switch, which has no unit")
			}
			l.Equation("%s = %s", l.step.Name, e)
			v := l.emit("value", e)
			if e.signal != nil { // a switch of another section is none of this one
				v = l.Logic(program.Not, "value_same", "the same", l.Logic(program.Not, "value_off", "the other way", v))
			}
			l.Publish(v, "", nil)
			return
		}
		unit := l.resultUnit(e)
		if e.bare {
			e.take(unitOf(unit), false)
		}
		l.Equation("%s = %s", l.step.Name, e)
		w := &writer{Lowering: l, key: "value"}
		v := w.root(e, unit)
		if e.signal != nil {
			l.facts().Level, l.facts().Passes = &e.signal.id, true
			l.Publish(v, "", e.signal.angular)
			return
		}
		l.Publish(v, "", nil)
	},
}

// root is the value of a whole formula. A limit between two numbers is stored as those of other steps are: in counts of the output that it feeds.
func (w *writer) root(e *expr, unit string) program.ID {
	if e.Op == formula.Call && e.Text == "clamp" && e.k == nil && e.args[1].k != nil && e.args[2].k != nil {
		x := w.as(w.number(e.args[0]), unit)
		if of := e.args[0].signal; of != nil {
			w.facts().Level, w.facts().Passes = &of.id, true
		}
		key := "steps." + w.step.Name + "." + w.key
		return w.clamp(x, span{e.args[1].k, e.args[2].k, w.fedCount(), [2]string{key, key}}, "limited", clip(e.String()))
	}
	return w.as(w.number(e), unit)
}

// resultUnit is the unit of a formula's value: as the step says it, or as it follows.
func (l *Lowering) resultUnit(e *expr) string {
	a := l.arg("unit")
	switch {
	case a == nil && e.bare:
		unit, _ := l.units.Of(l.step.Name)
		return unit
	case a == nil && e.wild:
		return unknownUnit
	case a == nil:
		return l.spelt(e)
	}
	if !e.bare && !e.wild && !sameUnit(e.unit, unitOf(a.Value.Text)) {
		l.fail(a.Value.Pos, "unit", "unit-mismatch", unitRemedy(l.spelt(e)), "the unit is %s, that of the formula is %s", a.Value.Text, orNone(l.spelt(e)))
	}
	return a.Value.Text
}

func unitRemedy(unit string) string {
	if unit == "" {
		return "leave it out"
	}
	return "unit: " + unit
}

// spell keeps how the spec writes a unit, the first way of several.
func (l *Lowering) spell(unit string) {
	u := unitOf(unit)
	if key := u.String(); !isUnknown(unit) && l.spelling[key] == "" {
		l.spelling[key] = unit
		for name := range u.Names() {
			l.measures[name] = true
		}
	}
}

// spelt writes the unit of an expression as the spec writes it, where it does.
func (l *Lowering) spelt(e *expr) string {
	if e.wild {
		return unknownUnit
	}
	if e.signal != nil {
		return e.signal.unit
	}
	key := e.unit.String()
	return cmp.Or(l.spelling[key], key)
}

// ownNumber is a number that stands beside a formula.
type ownNumber struct {
	name string
	arg  spec.Arg
	q    spec.Quantity
	tune *spec.Tuning // nil: it is fixed in the code
	used bool
}

// readOwnNumbers reads the numbers that stand beside the formula of a step.
func (l *Lowering) readOwnNumbers() {
	l.own = map[string]*ownNumber{}
	a := l.arg("numbers")
	if a == nil || l.kind.param("numbers") == nil {
		return
	}
	for _, p := range a.Value.Pairs {
		before := len(*l.findings)
		q, _ := l.parse(p.Value, "numbers."+p.Key, "not-a-number", "a number, with its unit or without", "0.5", anyUnit, "")
		n := &ownNumber{name: p.Key, arg: p, q: q}
		for i := range l.spec.Tuning {
			if t := &l.spec.Tuning[i]; t.Key == l.step.Name+"."+p.Key {
				n.tune = t
			}
		}
		switch {
		case !spec.IsName(p.Key):
			l.fail(p.Pos, "numbers."+p.Key, "bad-name", "small letters, digits and single underscores, a letter first", "%q is no name for a number", p.Key)
		case reservedWord(p.Key):
			l.fail(p.Pos, "numbers."+p.Key, "reserved-name", p.Key+"_1", "%s is a word of formulas", p.Key)
		case l.isNamed(p.Key) != "":
			l.fail(p.Pos, "numbers."+p.Key, "name-twice", p.Key+"_1", "%s is %s of the spec, too", p.Key, l.isNamed(p.Key))
		}
		n.used = (*l.findings)[before:].Failed() // nothing more is said of it
		l.own[p.Key] = n
	}
}

// isNamed says what else in the spec has a name, with its article; empty: nothing.
func (l *Lowering) isNamed(name string) string {
	switch {
	case l.spec.Step(name) != nil:
		return "a step"
	case l.spec.Constant(name) != nil:
		return "a constant"
	}
	for _, in := range l.spec.Inputs {
		if in.Name == name {
			return "an input"
		}
	}
	return ""
}

// checkOwnNumbers warns of numbers that the formula does not use.
func (l *Lowering) checkOwnNumbers() {
	if a := l.arg("numbers"); a != nil {
		for _, p := range a.Value.Pairs {
			if n := l.own[p.Key]; n != nil && !n.used {
				l.warn(p.Pos, "numbers."+p.Key, "unused-number", "leave it out, or use it in the formula", "the formula does not use %s", p.Key)
			}
		}
	}
}

var one = big.NewRat(1, 1)
