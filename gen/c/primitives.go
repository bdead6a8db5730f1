package c

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/program"
)

// primitive is a small function of the header in one width.
type primitive struct {
	kind string
	typ  program.Type
}

// primitive notes that a function is used and returns its name.
func (e *emitter) primitive(kind string, t program.Type) string {
	e.used[primitive{kind, t}] = true
	return fmt.Sprintf("%s_%s%d", e.name, kind, t.Bits())
}

// arctan is a function for one table.
type arctan struct {
	name, macro string
	table       *program.Arctan
}

// arctan returns the name of the function that evaluates the operation's table.
func (e *emitter) arctan(id program.ID) string {
	t := e.p.Ops[id].Table
	for _, a := range e.arctans {
		if a.table == t || a.table.QuotientBits == t.QuotientBits && a.table.LogEntries == t.LogEntries &&
			a.table.Quarter == t.Quarter && slices.Equal(a.table.Entries, t.Entries) {
			return a.name
		}
	}
	role := e.p.Ops[id].Name
	a := arctan{name: e.name + "_angle_" + role, table: t}
	if t.QuotientBits > 16 || t.LogEntries > t.QuotientBits {
		panic("c: an arctangent by a quotient that does not fit 32 bits")
	}
	// One name for all macros of the table: taken together, so that none of them is met elsewhere.
	for a.macro = e.upper + "_" + strings.ToUpper(role); ; a.macro += "_" {
		free := true
		for _, suffix := range []string{"_TABLE", "_QUARTER", "_QUOTIENT_BITS", "_STEP_BITS"} {
			free = free && !e.macros[a.macro+suffix]
		}
		if free {
			break
		}
	}
	e.macros.reserve(a.macro + "_TABLE")
	number := func(suffix string, v int64, text string) {
		macro := a.macro + suffix
		e.macros.reserve(macro)
		e.constants = append(e.constants, constant{macro: macro, value: v, typ: program.I16, text: text})
	}
	number("_QUOTIENT_BITS", int64(t.QuotientBits), "bits of the quotient")
	if t.QuotientBits > t.LogEntries {
		number("_STEP_BITS", int64(t.QuotientBits-t.LogEntries), "bits from entry to entry")
	}
	number("_QUARTER", t.Quarter, "a right angle")
	e.constants = append(e.constants, constant{macro: a.macro, typ: entryType(t), table: t.Entries,
		text: fmt.Sprintf("Arctangent of 0/%d, 1/%d ... 1, in counts of %s; the last entry repeats its neighbour.",
			int64(1)<<t.LogEntries, int64(1)<<t.LogEntries, role)})
	e.arctans = append(e.arctans, a)
	return a.name
}

func entryType(t *program.Arctan) program.Type {
	return program.Widest(program.I16, program.Holding(slices.Min(t.Entries), slices.Max(t.Entries)))
}

// arctanType holds every angle up to half a turn either way.
func (e *emitter) arctanType(t *program.Arctan) program.Type {
	return program.Widest(program.I16, program.Holding(-2*t.Quarter, 2*t.Quarter))
}

// primitives writes the functions that were used.
func (e *emitter) primitives() string {
	var parts []string
	for _, kind := range []string{"round", "clamp", "min", "max", "abs", "wrap"} {
		for _, t := range []program.Type{program.I16, program.I32, program.I64} {
			if e.used[primitive{kind, t}] {
				parts = append(parts, string(render(kind, map[string]any{"T": ctype(t), "N": t.Bits(), "Prefix": e.name})))
			}
		}
	}
	for _, a := range e.arctans {
		parts = append(parts, e.angle(a))
	}
	return strings.Join(parts, "\n")
}

func (e *emitter) angle(a arctan) string {
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
	return string(render("angle", map[string]any{
		"Name": a.name, "Macro": a.macro, "Upper": e.upper, "Quarter": t.Quarter, "Error": errText,
		"T": ctype(e.arctanType(t)), "Entry": ctype(entryType(t)), "W": ctype(work), "Count": len(t.Entries),
		"Steps": step > 0, "Half": half, "TwoQuarters": two,
	}))
}
