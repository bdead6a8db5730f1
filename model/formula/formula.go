// Package formula reads formulas as people write them: arithmetic, comparison, logic and choice over names and numbers with units. It knows the
// syntax alone; what the names stand for, and what a formula means, is known to package steps.
package formula

import (
	"fmt"
	"math/big"
	"strings"
)

// Op is what a node of a formula does.
type Op uint8

// The operations, in the order of their strength, the weakest first.
const (
	If           Op = iota // Args[0] is the condition, Args[1] what holds where it is on, Args[2] what holds elsewhere
	Or                     // or
	And                    // and
	Not                    // not
	Less                   // <
	LessEqual              // <=
	Greater                // >
	GreaterEqual           // >=
	Add                    // +
	Sub                    // -
	Mul                    // *
	Div                    // /
	Neg                    // - before a value
	Rises                  // a condition came on at this tick
	Falls                  // a condition went off at this tick
	Previous               // what Name was when its step last ran
	Call                   // Name(Args...)
	Name                   // a signal, a constant or a number of the step
	Number                 // Number, with Unit behind it
)

// Node is a formula, or a part of one.
type Node struct {
	Op     Op
	At     int    // byte of the text: of the sign, the word or the name that the node stands for
	First  int    // byte of the text where the part begins
	End    int    // byte behind its last one
	Text   string // Name, Previous and Call: the name; Number: as it is written
	Number *big.Rat
	Unit   string // of a number; empty: none is written
	Args   []*Node

	written string // String, once it was asked for
}

// Error is one thing that is wrong with a text.
type Error struct {
	At      int // byte of the text
	Rule    string
	Message string // what was found and what was expected
	Remedy  string // what to write instead
}

// What a formula may hold: far beyond any honest one, and little enough to be looked at for each step of a spec.
const (
	MaxDepth = 32  // parts inside one another
	MaxNodes = 200 // names, numbers and signs
)

var signs = [...]string{If: "if", Or: "or", And: "and", Not: "not", Less: "<", LessEqual: "<=", Greater: ">", GreaterEqual: ">=", Add: "+", Sub: "-", Mul: "*", Div: "/",
	Neg: "-", Rises: "rises", Falls: "falls", Previous: "previous", Number: ""}

// Sign is how the operation is written; empty for what is none.
func (o Op) Sign() string { return signs[o] }

// Compares tells whether the operation compares two numbers.
func (o Op) Compares() bool { return Less <= o && o <= GreaterEqual }

// level is how strongly an operation binds: that of two neighbours with the higher one is done first.
func (o Op) level() int {
	switch {
	case o.Compares():
		return int(Less)
	case o == Sub:
		return int(Add)
	case o == Div:
		return int(Mul)
	case o == Falls:
		return int(Rises)
	}
	return int(o)
}

// String writes a formula with the fewest parentheses and one space at either side of each sign.
func (n *Node) String() string {
	if n.written == "" {
		n.written = n.write()
	}
	return n.written
}

func (n *Node) write() string {
	part := func(i int, least Op) string {
		a := n.Args[i]
		if a.Op.level() < least.level() {
			return "(" + a.String() + ")"
		}
		return a.String()
	}
	switch n.Op {
	case If:
		return fmt.Sprintf("if %s then %s else %s", part(0, Or), part(1, Or), part(2, If))
	case Not:
		return "not " + part(0, Not)
	case Neg:
		return "-" + part(0, Neg)
	case Rises, Falls:
		return part(0, Previous) + " " + n.Op.Sign()
	case Previous:
		return "previous " + n.Text
	case Call:
		var args []string
		for _, a := range n.Args {
			args = append(args, a.String())
		}
		return n.Text + "(" + strings.Join(args, ", ") + ")"
	case Name:
		return n.Text
	case Number:
		return strings.TrimSpace(n.Text + " " + n.Unit)
	}
	first, second := n.Op, n.Op+1
	switch {
	case n.Op.Compares():
		first, second = Add, Add
	case n.Op == Add || n.Op == Sub:
		first, second = Add, Mul
	case n.Op == Mul || n.Op == Div:
		first, second = Mul, Neg
	}
	return part(0, first) + " " + n.Op.Sign() + " " + part(1, second)
}

// Size is how many names, numbers and signs there are.
func (n *Node) Size() int {
	size := 1
	for _, a := range n.Args {
		size += a.Size()
	}
	return size
}

// Names calls f for every name in the formula, from left to right; previous tells that its value of the tick before is meant.
func (n *Node) Names(f func(name string, at int, previous bool)) {
	if n == nil {
		return
	}
	if n.Op == Name || n.Op == Previous {
		at := n.At
		if n.Op == Previous {
			at = n.End - len(n.Text)
		}
		f(n.Text, at, n.Op == Previous)
	}
	for _, a := range n.Args {
		a.Names(f)
	}
}
