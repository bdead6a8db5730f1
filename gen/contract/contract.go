// Package contract writes what a section of a controller promises, in the same
// words for every language that is emitted: sentence, equation, input bounds,
// output bounds, error bound, in that order.
//
// Lines are plain printable ASCII without comment markers, and nothing in them can end or
// continue a C or Go comment, whatever the spec holds.
package contract

import (
	"cmp"
	"fmt"
	"math/big"
	"sort"
	"strings"

	"gainwright/model"
	"gainwright/model/program"
)

// Width is the largest length of a line; a comment marker and an indent still fit into 100 columns.
const Width = 90

// Section returns the contract of section s of the integer program.
func Section(u *model.Unit, s int) []string {
	p := u.Integer
	sec := p.Sections[s]
	lines := Wrap("", Plain(sec.Sentence))
	if sec.Equation != "" {
		lines = append(lines, Wrap("    ", Plain(sec.Equation))...)
	}
	title := "In:  "
	for _, id := range Reads(p.View(), s) {
		lines = append(lines, Wrap(title, Value(p, id))...)
		title = "     "
	}
	title = "Out: "
	for _, sig := range sec.Signals {
		lines = append(lines, Wrap(title, value(p, sig.Value, sig.Name))...)
		title = "     "
	}
	return append(lines, errors(u, s)...)
}

// Reads returns the values of earlier sections and the program inputs that section s uses, in the
// order of first use. It speaks of any program, real or integer, whose sections stand in order.
func Reads(p program.View, s int) []program.ID {
	var ids []program.ID
	seen := map[program.ID]bool{}
	use := func(id program.ID) {
		if !seen[id] && (p.Ops[id].Section != s || p.Ops[id].Kind == program.Input) {
			seen[id] = true
			ids = append(ids, id)
		}
	}
	first := sort.Search(len(p.Ops), func(i int) bool { return p.Ops[i].Section >= s })
	for i := first; i < len(p.Ops) && p.Ops[i].Section == s; i++ {
		use(program.ID(i))
		for _, a := range p.Ops[i].Args {
			use(a)
		}
	}
	for _, st := range p.States {
		if st.Section == s {
			for _, id := range st.Takes() {
				use(id)
			}
		}
	}
	for _, sig := range p.Sections[s].Signals {
		use(sig.Value)
	}
	return ids
}

// Value says what a value of the integer program is called, what it can reach and what one count of it stands for.
func Value(p *program.Fixed, id program.ID) string {
	return value(p, id, Name(p.View(), id))
}

// Name returns what a reader knows a value by: the signal or input that it is, or else its role.
func Name(p program.View, id program.ID) string {
	op := p.Ops[id]
	if op.Kind == program.Input {
		return p.Inputs[op.Index].Name
	}
	return cmp.Or(p.SignalOf(id), op.Name)
}

func value(p *program.Fixed, id program.ID, name string) string {
	op := p.Ops[id]
	if op.Type == program.Bool {
		return Plain(name) + ", true or false"
	}
	for _, o := range p.Outputs {
		if o.Value == id && o.Turned {
			return fmt.Sprintf("%s in %s", Plain(name), Range(op.Lo, op.Hi, o.Count(), op.Unit))
		}
	}
	return fmt.Sprintf("%s in %s", Plain(name), Range(op.Lo, op.Hi, op.LSB, op.Unit))
}

// Range says what the counts from lo to hi stand for: first in units, then in counts. A negative lsb is that of counts that are turned round.
func Range(lo, hi int64, lsb *big.Rat, unit string) string {
	if unit = Plain(unit); unit != "" {
		unit = " " + unit
	}
	if lsb == nil {
		return fmt.Sprintf("[%d, %d]", lo, hi)
	}
	at := func(n int64) string { return Decimal(new(big.Rat).Mul(new(big.Rat).SetInt64(n), lsb)) }
	low, high := at(lo), at(hi)
	if lsb.Sign() < 0 {
		low, high = high, low
	}
	return fmt.Sprintf("[%s, %s]%s, counts [%d, %d] of %s%s", low, high, unit, lo, hi, Exact(lsb), unit)
}

// Stored is what rounding is measured against. A retuned constant is not rounding.
const Stored = "real numbers with the stored constants"

// errors says how far each signal of a section is from the same section, and from the whole controller, in real numbers with the stored
// constants.
func errors(u *model.Unit, s int) []string {
	var exact, lines []string
	for _, b := range u.Bounds {
		if b.Section != s || b.Local == nil {
			continue
		}
		sig := u.Integer.Sections[s].Signals[b.Signal]
		unit := u.Integer.Ops[sig.Value].Unit
		if b.Local.Sign() == 0 && b.LocalTurn == nil {
			exact = append(exact, Plain(sig.Name))
		} else {
			lines = append(lines, Wrap("Error: ", fmt.Sprintf("%s at most %s against %s, fed the same inputs", Plain(sig.Name), Amount(b.Local, unit, b.LocalTurn), Stored))...)
		}
		lines = append(lines, whole(b, Plain(sig.Name), unit, u.Integer.Sections[s].Role == program.Stage)...)
	}
	if len(exact) > 0 {
		lines = append(lines, Wrap("Error: ", "none in "+strings.Join(exact, ", ")+" against "+Stored+", fed the same inputs")...)
	}
	return lines
}

// whole says how far a signal is from the whole controller in real numbers, with the stored constants and with those of the spec. What is
// nothing is not said; that the second is not proven is said of outputs.
func whole(b model.Bound, name, unit string, isOutput bool) (lines []string) {
	say := func(r, turn *big.Rat, of string) {
		lines = append(lines, Wrap("Error: ", fmt.Sprintf("%s at most %s against the whole controller in real numbers with %s", name, Amount(r, unit, turn), of))...)
	}
	some := func(r, turn *big.Rat) bool { return r != nil && (r.Sign() != 0 || turn != nil) }
	both := b.Asked != nil && b.Chain != nil && b.Asked.Cmp(b.Chain) == 0 && (b.AskedTurn == nil) == (b.ChainTurn == nil)
	switch {
	case some(b.Chain, b.ChainTurn) && both:
		say(b.Chain, b.ChainTurn, "the stored constants, and as asked")
		return lines
	case some(b.Chain, b.ChainTurn):
		say(b.Chain, b.ChainTurn, "the stored constants")
	}
	switch {
	case some(b.Asked, b.AskedTurn):
		say(b.Asked, b.AskedTurn, "the constants as asked")
	case b.Asked == nil && isOutput:
		lines = append(lines, Wrap("Error: ", name+" against the whole controller with the constants as asked is not proven: gainwright verify measures it")...)
	}
	return lines
}

// Amount is a bound of a difference, rounded up, with its unit. Where turn is not nil the difference is taken around a circle of that turn.
func Amount(r *big.Rat, unit string, turn *big.Rat) string {
	text := strings.TrimRight(Up(r)+" "+Plain(unit), " ")
	if turn != nil {
		text += " " + Around
	}
	return text
}

// Around says that a difference is taken the short way round: on either side of the seam, -180 and 179.99 degrees are 0.01 apart.
const Around = "around the circle"
