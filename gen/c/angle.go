package c

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/program"
	"gainwright/model/selection"
)

// arctan is a function for one table and one kind of sides.
type arctan struct {
	name, macro string
	table       *program.Arctan
	side        program.Type // of its arguments: I16 or I32
	yTurned     bool         // the function takes -y, a raw value, and gives the angle of y
	xTurned     bool
}

// angleCall is the call of the function for an operation's table and sides.
func (e *emitter) angleCall(id program.ID) string {
	op, o := &e.p.Ops[id], &e.Ops[id]
	name := e.arctan(id, arctan{table: op.Arctan, side: o.Args[0].Width, yTurned: o.Raw[0], xTurned: o.Raw[1]})
	e.calls[name]++
	return e.narrowed(op.Type, name+"("+e.argument(o.Args[0])+", "+e.argument(o.Args[1])+")", e.arctanType(op.Arctan))
}

// arctan returns the name of the function.
func (e *emitter) arctan(id program.ID, a arctan) string {
	t := a.table
	same := ""
	for _, b := range e.arctans {
		if b.table == t { // tables of the same angles are one
			same = b.macro
			if a.side == b.side && a.yTurned == b.yTurned && a.xTurned == b.xTurned {
				return b.name
			}
		}
	}
	role := e.p.Ops[id].Name
	a.name = e.name + "_angle_" + role
	if t.QuotientBits > 16 || t.LogEntries > t.QuotientBits {
		panic("c: an arctangent by a quotient that does not fit 32 bits")
	}
	if a.macro = same; same == "" {
		a.macro = e.defineTable(role, t)
	}
	e.arctans = append(e.arctans, a)
	return a.name
}

// defineTable adds the macros of a table and returns what their names begin with.
func (e *emitter) defineTable(role string, t *program.Arctan) string {
	prefix := e.upper + "_" + strings.ToUpper(role)
	// One name for all macros of the table: taken together, so that none of them is met elsewhere.
	for ; ; prefix += "_" {
		free := true
		for _, suffix := range []string{"_TABLE", "_QUARTER", "_STEP_BITS"} {
			free = free && !e.macros.own[prefix+suffix]
		}
		if free {
			break
		}
	}
	e.macros.reserve(prefix + "_TABLE")
	number := func(suffix string, v int64, text string) {
		macro := prefix + suffix
		e.macros.reserve(macro)
		e.constants = append(e.constants, constant{macro: macro, value: v, typ: program.I16, text: text})
	}
	if t.QuotientBits > t.LogEntries {
		number("_STEP_BITS", int64(t.QuotientBits-t.LogEntries), "bits from entry to entry")
	}
	number("_QUARTER", t.Quarter, "a right angle")
	e.constants = append(e.constants, constant{macro: prefix, typ: entryType(t), table: t.Entries,
		text: fmt.Sprintf("Arctangent of 0/%d, 1/%d ... 1, in counts of %s; the last entry repeats its neighbour.",
			int64(1)<<t.LogEntries, int64(1)<<t.LogEntries, role)})
	return prefix
}

func entryType(t *program.Arctan) program.Type {
	return program.Widest(program.I16, program.Holding(slices.Min(t.Entries), slices.Max(t.Entries)))
}

// arctanType holds every angle up to half a turn either way.
func (e *emitter) arctanType(t *program.Arctan) program.Type {
	return program.Widest(program.I16, program.Holding(-2*t.Quarter, 2*t.Quarter))
}

// frame is what the templates of both forms take.
func (e *emitter) frame(a arctan) map[string]any {
	t := a.table
	step := t.QuotientBits - t.LogEntries
	var rise, half int64
	for i := 1; i < len(t.Entries); i++ {
		d := t.Entries[i] - t.Entries[i-1]
		rise = max(rise, d, -d)
	}
	if step > 0 {
		half = 1 << (step - 1)
	}
	most := rise*(1<<step-1) + half
	work := program.Widest(program.I32, program.Widest(program.Holding(-most, most), e.arctanType(t)))
	errText := ""
	if t.MaxError != nil {
		errText = contract.Up(t.MaxError)
	}
	two := "2 * " + a.macro + "_QUARTER"
	if e.arctanType(t) != program.I16 {
		two = "2 * (" + ctype(e.arctanType(t)) + ")" + a.macro + "_QUARTER"
	}
	negative := func(side string, turned bool) string {
		if turned {
			return side + " > 0"
		}
		return side + " < 0"
	}
	sides := map[[2]bool]string{{false, false}: "y over x", {true, false}: "-y over x", {false, true}: "y over -x", {true, true}: "-y over -x"}
	return map[string]any{
		"Name": a.name, "Macro": a.macro, "Upper": e.upper, "Quarter": t.Quarter, "Error": errText,
		"T": localType(e.arctanType(t)), "Side": localType(a.side), "Entry": ctype(entryType(t)), "W": ctype(work), "Count": len(t.Entries),
		"Steps": step > 0, "Half": half, "TwoQuarters": two, "Down": negative("y", a.yTurned), "Back": negative("x", a.xTurned),
		"Quotient": e.quotient(a), "Sides": sides[[2]bool{a.yTurned, a.xTurned}], "Wide": a.side == program.I32,
	}
}

// quotient notes that a division of sides is used and returns the name of its function.
func (e *emitter) quotient(a arctan) string {
	return e.primitive(primitive{form: selection.Angle, typ: a.side, shift: a.table.QuotientBits})
}

// quotientText is the function that divides sides. On ARMv6-M a bit of the quotient is five instructions: the
// comparison leaves it in the carry, and a subtraction that succeeds leaves it there. Four are enough for sides of up to
// 2^15, which stand in the upper half of their registers: what is taken off is one less, and so the lower half counts
// the bits.
func (e *emitter) quotientText(p primitive, name string) string {
	code, operands := []string{".syntax unified"}, `: "+l"(lesser), "+l"(q) : "l"(larger) : "cc"`
	short := p.typ != program.I32 && p.shift < 16
	if short {
		code, operands = append(code, "cmp %0, %1", "bls 1f", "subs %0, %0, %1", "1:"), `: "+l"(rest) : "l"(less) : "cc"`
	}
	for range p.shift {
		if short {
			code = append(code, "adds %0, %0, %0", "cmp %0, %1", "bls 1f", "subs %0, %0, %1", "1:")
		} else {
			code = append(code, "adds %0, %0, %0", "cmp %0, %2", "bcc 1f", "subs %0, %0, %2", "1: adcs %1, %1")
		}
	}
	most := "65535"
	if short {
		most = "32768"
	}
	return string(render("quotient", map[string]any{"Name": name, "Upper": e.upper, "Bits": p.shift, "Short": short, "Most": most,
		"Code": assembly(code, operands)}))
}

// angle is the function in C that means the same everywhere.
func (e *emitter) angle(a arctan) string { return string(render("angle", e.frame(a))) }

// angleForm is the function with a short division, one step a bit of the quotient, and its table in program
// memory.
func (e *emitter) angleForm(a arctan) string {
	data := e.frame(a)
	t := a.table
	short := e.Prefer == selection.Size
	data["Keep"], data["Short"] = e.keep(a.name), short
	out := `: "=&r"(lesser), "=&r"(larger), "=&d"(entry), "=&d"(part), "=&r"(steep)`
	if short {
		out += `, "=&d"(bits)`
	}
	data["Divide"] = assembly(quotientAVR(t.LogEntries, t.QuotientBits-t.LogEntries, short), out+` : "r"(y), "r"(x)`)
	data["Look"] = assembly(lookAVR(a.yTurned, a.xTurned),
		`: "=&d"(angle), "=&r"(rise), "+z"(at) : "r"(part), "r"(steep), "r"(y), "r"(x), "i"(`+a.macro+`_QUARTER)`)
	return string(render("avr_angle", data))
}
