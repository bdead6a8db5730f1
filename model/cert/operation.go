package cert

import (
	"fmt"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// shape is what an operation of a kind consists of, and what it needs of its arguments. Each kind has a row in shapes, translationRules,
// rangeRules, differenceRules and driftRules; one without is refused, and a test fails.
type shape struct {
	args     int
	constant bool                     // K is there; all others have none
	number   func(p program.View) int // Index is below it; all others have 0
	linear   bool                     // in real numbers, the value is a sum of its arguments times constants
	truths   int                      // so many of the first arguments are truth values
	fixed    bool                     // of integer programs alone
	within   interval.Range           // integer program: what the arguments must stay inside
	result   bool                     // and the result, too
}

// inside62 leaves room in 64 bits for the half of a rounding and for a negation.
var inside62 = interval.Ints(-1<<62, 1<<62)

var shapes = [program.Kinds]*shape{
	program.Const:     {constant: true, linear: true},
	program.Input:     {number: func(p program.View) int { return len(p.Inputs) }},
	program.Coef:      {number: func(p program.View) int { return len(p.Coefs) }},
	program.State:     {number: func(p program.View) int { return len(p.States) }, linear: true},
	program.Add:       {args: 2, linear: true},
	program.Sub:       {args: 2, linear: true},
	program.Scale:     {args: 1, constant: true, linear: true, within: inside62, result: true},
	program.Mul:       {args: 2, within: inside62, result: true},
	program.Round:     {args: 1, linear: true, fixed: true, within: inside62, result: true},
	program.Clamp:     {args: 3},
	program.Min:       {args: 2},
	program.Max:       {args: 2},
	program.Abs:       {args: 1, within: inside62, result: true},
	program.Wrap:      {args: 1, constant: true, within: inside62, result: true},
	program.Angle:     {args: 2, within: interval.Ints(-65535, 65535)},
	program.Less:      {args: 2},
	program.LessEqual: {args: 2},
	program.And:       {args: 2, truths: 2},
	program.Or:        {args: 2, truths: 2},
	program.Not:       {args: 1, truths: 1},
	program.Select:    {args: 3, truths: 1},
}

// checkOperation verifies that an operation has the form of its kind, and reads what is there.
func checkOperation(p program.View, id program.ID) error {
	op := p.Ops[id]
	if op.Kind >= program.Kinds || shapes[op.Kind] == nil {
		return fmt.Errorf("no operation has this form")
	}
	s := shapes[op.Kind]
	if len(op.Args) != s.args || s.constant != (op.K != nil) || op.Kind == program.Wrap && op.K.Sign() <= 0 {
		return fmt.Errorf("no operation has this form")
	}
	for _, a := range op.Args {
		if a < 0 || a >= id {
			return fmt.Errorf("it reads a value that is not there yet")
		}
	}
	most := 1
	if s.number != nil {
		most = s.number(p)
	}
	if op.Index < 0 || op.Index >= most {
		return fmt.Errorf("it reads number %d of %d", op.Index, most)
	}
	if op.Section < 0 || op.Section >= len(p.Sections) || id > 0 && op.Section < p.Ops[id-1].Section {
		return fmt.Errorf("it stands outside its section")
	}
	return nil
}

// checkInside verifies what an operation of an integer program needs besides the range of its result.
func checkInside(p *program.Fixed, id program.ID, ranges []interval.Range) error {
	op := &p.Ops[id]
	s := shapes[op.Kind]
	if s.within.Lo == nil {
		return nil
	}
	of := op.Args
	if s.result {
		of = append([]program.ID{id}, of...)
	}
	for _, a := range of {
		if !s.within.Holds(ranges[a]) {
			return fmt.Errorf("value %s reaches %s, %s takes %s", p.Ops[a].Name, show(ranges[a]), op.Name, show(s.within))
		}
	}
	return nil
}
