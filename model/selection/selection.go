// Package selection decides what code a fixed program becomes on a target: which operations are left, in which form and in arithmetic of
// which width each is computed, which stand in the expression of their reader, and in which order all of it happens. It is decided here
// and nowhere else: gen/c prints a selection, model/cost prices it.
package selection

import (
	"gainwright/model/program"
	"gainwright/model/target"
)

// Preference is what the code is to be good at where it cannot be both.
type Preference int

// Speed is fewest cycles in the worst tick; Size is least program memory.
const (
	Speed Preference = iota
	Size
)

// Preferred is the preference that a spec words.
func Preferred(word string) Preference {
	if word == "size" {
		return Size
	}
	return Speed
}

// Selection is a program as it is emitted for a target. Operations are tied to the values of the program by their places.
type Selection struct {
	Target *target.Target
	Prefer Preference
	// Program yields the same outputs and states as the one it was made from, with other operations. Some are of no use any more.
	Program *program.Fixed
	Same    []program.ID        // the value that stands for each of the original program
	Changed map[program.ID]bool // values that are not what they were in the original program
	Ops     []Operation         // one for each operation of Program
	Groups  []Group             // of states
	share   shares
}

// Operation is what a value of the program is computed by.
type Operation struct {
	Form   Form
	Width  program.Type // of its arithmetic, at least 16 bits
	Args   []Operand
	Inline bool // it stands in the expression of its one reader; else it has a local
	Use    Use
	Multiplication
	Fused program.ID // MultiplyAdd, LessRounded: the value that is computed in one with it
	First uint       // Round: bits of a first rounding that is made in one with this one, a part of its shift; 0: there is none
	Short bool       // Round: what comes out has 16 bits, whatever goes in
	Bits  uint       // Up, UpWide: by how many
	Least *int64     // Within, Symmetric: the limits; nil: there is none
	Most  *int64
	Raw   [2]bool // Angle: sides that are taken as they were before a change of sign
}

// Operand is an argument of an operation, with the width that it is taken at; a constant takes that of the others.
type Operand struct {
	ID    program.ID
	Width program.Type
}

// Select decides what a program becomes. Types and ranges must be filled in.
func Select(original *program.Fixed, t *target.Target, prefer Preference) *Selection {
	s := &Selection{Target: t, Prefer: prefer}
	s.Program, s.Same = simplify(original)
	var twice map[program.ID]uint
	s.Changed, twice = mergeRoundings(s.Program, t.Word)
	s.Ops = make([]Operation, len(s.Program.Ops))
	for id, first := range twice {
		s.Ops[id].First = first
	}
	s.takeRaw()
	if t.Forms {
		s.addProductsLast()
	}
	for i := range s.Ops {
		s.Ops[i].Width = s.width(program.ID(i))
	}
	s.Groups = groupStates(s.Program)
	s.findUses()
	s.findShares()
	s.inline()
	s.findSums()
	for i := range s.Ops {
		s.form(program.ID(i))
	}
	return s
}

// width is the type of an operation's arithmetic.
func (s *Selection) width(id program.ID) program.Type {
	op := &s.Program.Ops[id]
	w := program.Widest(s.Program.Width(id), program.I16)
	if op.Kind == program.Round {
		w = program.Widest(w, program.Holding(0, Halves(op.Shift, s.Ops[id].First))) // the sum may fit where half alone does not
	}
	return w
}

// inside tells whether a value lies in the range of a type, whatever its own.
func inside(op *program.FixedOp, t program.Type) bool {
	lo, hi := t.Range()
	return op.Lo >= lo && op.Hi <= hi
}

// Is tells whether a value is always a number.
func (s *Selection) Is(id program.ID, v int64) bool { return is(s.Program, id, v) }

// constant is the number that a value always is, where it is a constant.
func (s *Selection) constant(id program.ID) *int64 {
	op := &s.Program.Ops[id]
	if op.Kind != program.Const {
		return nil
	}
	v := op.K.Num().Int64()
	return &v
}
