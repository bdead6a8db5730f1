package c

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/program"
	"gainwright/model/selection"
)

// curve is a function for one table and one kind of what is looked up in it.
type curve struct {
	name, macro, role string
	of                *program.Curve
	side              program.Type // of its argument: I16 or I32
	work              program.Type // of the products
	below, above      bool         // the argument may lie outside the points
	short             bool         // 16 bits are enough, and the points lie in program memory
}

// tableCall is the call of the function for an operation's table and argument.
func (e *emitter) tableCall(id program.ID) string {
	op, o := &e.p.Ops[id], &e.Ops[id]
	x := &e.p.Ops[op.Args[0]]
	name := e.curve(curve{role: op.Name, of: op.Curve, side: o.Args[0].Width, work: program.Widest(o.Width, program.I32), short: o.Form == selection.ShortTable,
		below: x.Lo < op.Curve.X[0], above: x.Hi > op.Curve.X[len(op.Curve.X)-1]})
	return e.narrowed(op.Type, name+"("+e.argument(o.Args[0])+")", curveType(op.Curve))
}

// curve returns the name of the function.
func (e *emitter) curve(k curve) string {
	for _, b := range e.curves {
		if b.of == k.of { // tables of the same points are one
			k.macro = b.macro
			if b.side == k.side && b.below == k.below && b.above == k.above {
				return b.name
			}
		}
	}
	k.name = e.name + "_table_" + k.role
	if k.macro == "" {
		k.macro = e.defineCurve(k.role, k.of)
	}
	if k.short {
		e.primitive(productOf)
		e.primitive(roundingOf(k.of))
	}
	e.curves = append(e.curves, k)
	return k.name
}

// curveType holds every number that a table gives.
func curveType(c *program.Curve) program.Type {
	return program.Widest(program.I16, program.Holding(c.Ends()))
}

var productOf = primitive{form: selection.Multiply, shape: selection.NotNegative}

func roundingOf(c *program.Curve) primitive {
	return primitive{form: selection.Round, typ: program.I32, to: program.I16, shift: c.Shift}
}

// defineCurve adds the macros of a table and returns what their names begin with: places that an even grid does not need each have one.
func (e *emitter) defineCurve(role string, c *program.Curve) string {
	prefix := e.upper + "_" + strings.ToUpper(role)
	bits, even := c.Even()
	numbers := []constant{{macro: "_SLOPE_BITS", value: int64(c.Shift), typ: program.I16, text: "a slope is counted in 2^-" + fmt.Sprint(c.Shift)}}
	if even {
		numbers = append(numbers, constant{macro: "_STEP_BITS", value: int64(bits), typ: program.I16, text: "bits from point to point"})
	}
	for i, x := range c.X {
		if !even || i == 0 || i == len(c.X)-1 {
			numbers = append(numbers, constant{macro: fmt.Sprintf("_AT_%d", i+1), value: x, typ: placeType(c), text: fmt.Sprintf("where point %d is", i+1)})
		}
	}
	rows := lines(c)
	tables := []constant{{macro: "_LINES", table: rows, typ: entries(rows), text: fmt.Sprintf("The lines of %s: %sthe slope in 2^-%d, and the value at its beginning.", role, map[bool]string{false: "where each begins, ", true: ""}[even], c.Shift)}}
	for free := false; !free; { // one name for all macros of the table: taken together, so that none of them is met elsewhere
		free = true
		for _, k := range append(tables, numbers...) {
			free = free && !e.macros.own[prefix+k.macro] && !e.macros.own[prefix+k.macro+"_TABLE"]
		}
		if !free {
			prefix += "_"
		}
	}
	for _, k := range append(numbers, tables...) {
		if k.macro = prefix + k.macro; k.table == nil {
			e.macros.reserve(k.macro)
		} else {
			e.macros.reserve(k.macro + "_TABLE")
		}
		e.constants = append(e.constants, k)
	}
	return prefix
}

// lines are the rows of a table: where each line begins, its slope, and what the value is there. They are read in this order, and the value comes last, so
// that it takes no registers beside the product. On an even grid the first is left out, and the last point is
// a line of its own, which leads nowhere.
func lines(c *program.Curve) (rows []int64) {
	_, even := c.Even()
	for i, k := range c.Slope {
		if !even {
			rows = append(rows, c.X[i])
		}
		rows = append(rows, k, c.Y[i])
	}
	if even {
		rows = append(rows, 0, c.Y[len(c.Y)-1])
	}
	return rows
}

// entries is the type that holds the numbers of a table.
func entries(of []int64) program.Type {
	return program.Widest(program.I16, program.Holding(slices.Min(of), slices.Max(of)))
}

// placeType holds the places of all points.
func placeType(c *program.Curve) program.Type { return entries(c.X) }

// table is the function.
func (e *emitter) table(k curve) string {
	c, last := k.of, len(k.of.X)
	_, even := c.Even()
	place := placeType(c)
	at := func(n int) string { return fmt.Sprintf("%s_AT_%d", k.macro, n) }
	held := "x"
	if k.above {
		held = fmt.Sprintf("x > %s ? %s : %s", at(last), at(last), held)
	}
	if k.below {
		held = fmt.Sprintf("x < %s ? %s : (%s)", at(1), at(1), held)
	}
	if place != k.side {
		held = "(" + localType(place) + ")(" + held + ")"
	}
	unsigned := "uint16_t"
	if place == program.I32 {
		unsigned = "uint32_t"
	}
	data := map[string]any{"Name": k.name, "Macro": k.macro, "Upper": e.upper, "Points": last, "Count": len(lines(c)), "Error": contract.Up(c.MaxError), "Role": k.role,
		"T": localType(curveType(c)), "Side": localType(k.side), "W": ctype(k.work), "Place": localType(place), "Value": ctype(entries(lines(c))),
		"Held": held, "Even": even, "Far": place == program.I16 && c.X[last-1]-c.X[0] > math.MaxInt16, "Unsigned": unsigned, "Row": k.tree(1, last-1, "        "),
		"Half": literal(1<<(c.Shift-1), k.work), "Short": k.short}
	if k.short {
		data["Times"], data["Rounded"] = e.primitive(productOf), e.primitive(roundingOf(c))
	}
	return string(render("table", data))
}

// tree finds the row of the line by comparisons.
func (k curve) tree(from, to int, indent string) string {
	if from == to {
		return fmt.Sprintf("%du", 3*(from-1))
	}
	mid := (from + to + 1) / 2
	branch := func(a, b int) string {
		if a == b {
			return k.tree(a, b, "")
		}
		return "(" + k.tree(a, b, indent+"    ") + ")"
	}
	return fmt.Sprintf("at < %s_AT_%d\n%s? %s\n%s: %s", k.macro, mid, indent, branch(from, mid-1), indent, branch(mid, to))
}
