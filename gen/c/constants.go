package c

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gainwright/model/program"
)

// constant is a macro of the header: one number, or the entries of a table.
type constant struct {
	macro string
	value int64
	typ   program.Type
	text  string
	table []int64
}

// define adds a macro and returns its name. Numbers that say nothing by themselves (-1, 0 and 1)
// stay literals.
func (e *emitter) define(role string, typ program.Type, value int64, text string) string {
	if -1 <= value && value <= 1 {
		return literal(value, program.I16)
	}
	return e.macro(role, typ, value, text)
}

// macro adds a macro and returns its name.
func (e *emitter) macro(role string, typ program.Type, value int64, text string) string {
	macro := e.macros.unique(e.upper + "_" + strings.ToUpper(role))
	e.constants = append(e.constants, constant{macro: macro, value: value, typ: typ, text: text})
	return macro
}

// literal writes a number so that it has at least the type t where int has 16 bits, and so that its
// digits fit a type although C has no negative literals.
func literal(v int64, t program.Type) string {
	t = program.Widest(t, program.Holding(v, v))
	if v == math.MinInt64 {
		return "(-INT64_C(9223372036854775807) - 1)"
	}
	if v == math.MinInt32 && t == program.I32 {
		return "(-INT32_C(2147483647) - 1)"
	}
	digits := fmt.Sprint(max(v, -v))
	switch {
	case t == program.I64:
		digits = "INT64_C(" + digits + ")"
	case t == program.I32 || v == math.MinInt16:
		digits = "INT32_C(" + digits + ")"
	}
	if v < 0 {
		return "(-" + digits + ")"
	}
	return digits
}

// definitions is the block of macros, in the order of their first use.
func (e *emitter) definitions() string {
	width := 0
	for _, k := range e.constants {
		if k.table == nil && len(k.macro) <= 44 {
			width = max(width, len(k.macro))
		}
	}
	var lines []remark
	for _, k := range e.constants {
		if k.table == nil {
			lines = append(lines, remark{fmt.Sprintf("#define %-*s %s", width, k.macro, literal(k.value, k.typ)), k.text})
		}
	}
	var b strings.Builder
	b.WriteString(tabulated("", lines))
	if len(e.arctans)+len(e.curves) > 0 {
		fmt.Fprintf(&b, "\n/* A table names each entry with its weight in the checksum: (weight, entry). */\n")
		fmt.Fprintf(&b, "#define %s_ENTRY(w, n) (n),\n#define %s_WEIGHED(w, n) + (uint64_t)(w) * (uint64_t)(n)\n", e.upper, e.upper)
	}
	for _, k := range e.constants {
		if k.table != nil {
			b.WriteString("\n" + tableMacros(k))
		}
	}
	return b.String()
}

// tableMacros defines a table once for both the array and the checksum.
func tableMacros(k constant) string {
	var b strings.Builder
	b.WriteString(lineComment("", k.text))
	line := "#define " + k.macro + "_TABLE(E)"
	for i, v := range k.table {
		cell := fmt.Sprintf(" E(%d, %s)", weight(i), literal(v, k.typ))
		if len(line)+len(cell)+2 > maxColumns {
			b.WriteString(line + " \\\n")
			line = "   "
		}
		line += cell
	}
	b.WriteString(line + "\n")
	return b.String()
}

// weight makes the checksum see two numbers change places. Odd weights make it see any one number
// change, since an odd number has an inverse modulo 2^64.
func weight(i int) int { return 2*i + 1 }

func checksum(values []int64) (sum uint64) {
	for i, v := range values {
		sum += uint64(weight(i)) * uint64(v)
	}
	return sum
}

// checksums asserts at compile time that each constant is the one that was emitted.
func (e *emitter) checksums() string {
	const group = 16
	var b strings.Builder
	plain := slices.DeleteFunc(slices.Clone(e.constants), func(k constant) bool { return k.table != nil })
	n := 0
	for part := range slices.Chunk(plain, group) {
		n++
		fmt.Fprintf(&b, "typedef char %s_constants_%d_are_as_generated[(\n", e.name, n)
		values := make([]int64, len(part))
		for i, k := range part {
			plus := "+ "
			if i == 0 {
				plus = "  "
			}
			fmt.Fprintf(&b, "    %s%2du * (uint64_t)%s\n", plus, weight(i), k.macro)
			values[i] = k.value
		}
		fmt.Fprintf(&b, "    ) == UINT64_C(0x%x) ? 1 : -1];\n", checksum(values))
	}
	for _, k := range e.constants {
		if k.table == nil {
			continue
		}
		fmt.Fprintf(&b, "typedef char %s_table_is_as_generated[(\n    %s_TABLE(%s_WEIGHED)\n    ) == UINT64_C(0x%x) ? 1 : -1];\n",
			strings.ToLower(k.macro), k.macro, e.upper, checksum(k.table))
	}
	return b.String()
}
