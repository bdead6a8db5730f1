package c

import (
	"gainwright/model/program"
	"gainwright/model/selection"
)

// truth is the expression of a truth in the type of its local.
func (e *emitter) truth(id program.ID) string {
	if e.Ops[id].Form == selection.State {
		return texts[selection.State](e, id)
	}
	text, _ := e.logic(id)
	return "(uint8_t)(" + text + ")"
}

// flag is a value used as a truth of type uint8_t.
func (e *emitter) flag(id program.ID) string {
	if op := e.p.Ops[id]; op.Kind == program.Const {
		return op.K.Num().String() + "u"
	}
	return e.value(id)
}

// condition is a truth where C asks for one: in an if, behind an exclamation mark, beside && and ||.
func (e *emitter) condition(id program.ID) string {
	text, _ := e.conditionOf(id)
	return text
}

// chosenBy is a truth before a question mark; one that is a choice itself stands in brackets.
func (e *emitter) chosenBy(id program.ID) string {
	text, operator := e.conditionOf(id)
	if operator == "?" {
		return "(" + text + ")"
	}
	return text
}

// conditionOf also gives the operator that binds least in it: && or ||, ? for a choice, or nothing where a comparison is
// all.
func (e *emitter) conditionOf(id program.ID) (text, operator string) {
	if e.p.Ops[id].Kind != program.Const && e.Ops[id].Inline {
		return e.logic(id)
	}
	return e.flag(id) + " != 0", ""
}

// logic is a truth as an expression of C, with the operator that binds least in it.
func (e *emitter) logic(id program.ID) (text, operator string) {
	op := e.p.Ops[id]
	switch e.Ops[id].Form {
	case selection.Input:
		return texts[selection.Input](e, id) + " != 0", ""
	case selection.Less:
		return e.comparison(id, "<"), ""
	case selection.LessEqual:
		return e.comparison(id, "<="), ""
	case selection.And:
		return e.both(op.Args, "&&"), "&&"
	case selection.Or:
		return e.both(op.Args, "||"), "||"
	case selection.Choice:
		return e.chosenBy(op.Args[0]) + " ? " + e.flag(op.Args[1]) + " : " + e.flag(op.Args[2]), "?"
	case selection.Not:
		if a := op.Args[0]; !e.Ops[a].Inline {
			return e.flag(a) + " == 0", ""
		}
		return "!(" + e.condition(op.Args[0]) + ")", ""
	}
	return e.flag(id) + " != 0", ""
}

func (e *emitter) comparison(id program.ID, sign string) string {
	a, b := e.pair(id)
	return a + " " + sign + " " + b
}

// both joins two truths; one of another operator stands in brackets. The second one is looked at only
// where the first one leaves it open, which is all the same: to look changes nothing.
func (e *emitter) both(args []program.ID, operator string) string {
	var side [2]string
	for i, a := range args {
		text, inner := e.conditionOf(a)
		if inner != "" && inner != operator {
			text = "(" + text + ")"
		}
		side[i] = text
	}
	return side[0] + " " + operator + " " + side[1]
}
