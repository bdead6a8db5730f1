package golang

import (
	"fmt"
	"math"
	"slices"

	"github.com/dave/jennifer/jen"

	"gainwright/model/program"
)

func arctanName(i int) string {
	if i == 0 {
		return "arctan"
	}
	return fmt.Sprintf("arctan%d", i+1)
}

// primitives writes the functions that the step calls.
func (e *emitter) primitives(f *jen.File) {
	var calls [program.Kinds]map[string]bool
	for i, op := range e.p.Ops {
		if e.used[i] {
			if calls[op.Kind] == nil {
				calls[op.Kind] = map[string]bool{}
			}
			calls[op.Kind][helperBits(e.p.Width(program.ID(i)))] = true
		}
	}
	if e.bits {
		f.Comment("// bit is a truth value as a number.")
		f.Func().Id("bit").Params(jen.Id("x").Bool()).Int32().Block(
			jen.If(jen.Id("x")).Block(jen.Return(jen.Lit(1))),
			jen.Return(jen.Lit(0)),
		)
	}
	for kind, text := range texts {
		for _, bits := range []string{"32", "64"} {
			if text.helper != nil && calls[kind][bits] {
				text.helper(f, bits)
			}
		}
	}
	for i, t := range e.tables {
		e.arctan(f, i, t)
	}
	for i, c := range e.curves {
		id := slices.IndexFunc(e.p.Ops, func(op program.FixedOp) bool { return op.Curve == c })
		t, name := "int"+helperBits(e.p.Width(program.ID(id))), curveName(i)
		numbersOf(f, name+"X", t, c.X, func(v int64) jen.Code { return jen.Lit(int(v)) })
		numbersOf(f, name+"Y", t, c.Y, func(v int64) jen.Code { return jen.Lit(int(v)) })
		numbersOf(f, name+"Slope", t, c.Slope, func(v int64) jen.Code { return jen.Lit(int(v)) })
	}
}

func curveName(i int) string { return fmt.Sprintf("table%d", i+1) }

// numbersOf writes numbers of a table.
func numbersOf[T any](f *jen.File, name, typ string, values []T, literal func(T) jen.Code) {
	f.Var().Id(name).Op("=").Index(jen.Lit(len(values))).Id(typ).ValuesFunc(func(g *jen.Group) {
		for k, v := range values {
			if k%8 == 0 {
				g.Line().Add(literal(v))
				continue
			}
			g.Add(literal(v))
		}
		g.Line()
	})
}

// look writes the table of the integer program.
func look(f *jen.File, bits string) {
	id, t := jen.Id, "int"+bits
	f.Comment("// look" + bits + " is the table with the given points and slopes at x: straight lines, held beyond the first and the last point.")
	f.Func().Id("look"+bits).Params(id("xs"), id("ys"), id("slopes").Index().Id(t), id("shift").Uint(), id("x").Id(t)).Id(t).Block(
		id("x").Op("=").Id("min").Call(id("max").Call(id("x"), id("xs").Index(jen.Lit(0))), id("xs").Index(id("len").Call(id("xs")).Op("-").Lit(1))),
		id("i").Op(":=").Id("len").Call(id("slopes")).Op("-").Lit(1),
		jen.For(id("x").Op("<").Id("xs").Index(id("i"))).Block(id("i").Op("--")),
		jen.Return(id("ys").Index(id("i")).Op("+").Parens(jen.Parens(id("x").Op("-").Id("xs").Index(id("i"))).Op("*").Id("slopes").Index(id("i")).Op("+").Lit(1).Op("<<").Parens(id("shift").Op("-").Lit(1))).Op(">>").Id("shift")),
	)
}

// lookReal writes the table of the real program, and the points of each.
func (e *emitter) lookReal(f *jen.File) {
	id := jen.Id
	f.Comment("// lookReal is the table with the given points and slopes at x: straight lines, held beyond the first and the last point.")
	f.Func().Id("lookReal").Params(id("xs"), id("ys"), id("slopes").Index().Float64(), id("x").Float64()).Float64().Block(
		id("last").Op(":=").Id("len").Call(id("slopes")),
		jen.If(id("x").Op("<=").Id("xs").Index(jen.Lit(0))).Block(jen.Return(id("ys").Index(jen.Lit(0)))),
		jen.If(id("x").Op(">=").Id("xs").Index(id("last"))).Block(jen.Return(id("ys").Index(id("last")))),
		id("i").Op(":=").Id("last").Op("-").Lit(1),
		jen.For(id("x").Op("<").Id("xs").Index(id("i"))).Block(id("i").Op("--")),
		jen.Return(id("ys").Index(id("i")).Op("+").Float64().Call(id("slopes").Index(id("i")).Op("*").Parens(id("x").Op("-").Id("xs").Index(id("i"))))),
	)
	for i, at := range e.drawn {
		xs, ys, slopes := program.Corners(e.real.Ops[at].Points)
		name := curveName(i) + "Real"
		for _, l := range []struct {
			of     string
			values []float64
		}{{"X", xs}, {"Y", ys}, {"Slope", slopes}} {
			numbersOf(f, name+l.of, "float64", l.values, func(v float64) jen.Code { return jen.Lit(v) })
		}
	}
}

func wrap(f *jen.File, bits string) {
	t := "int" + bits
	f.Comment(fmt.Sprintf("// wrap%s takes at most one turn off x, leaving [-turn/2, turn/2) where |x| < 3*turn/2.", bits))
	f.Func().Id("wrap"+bits).Params(jen.Id("x"), jen.Id("turn").Id(t)).Id(t).Block(
		jen.Id("r").Op(":=").Id("x"), // two plain ifs: conditional moves, no jump to guess wrong
		jen.If(jen.Id("x").Op(">=").Id("turn").Op("/").Lit(2)).Block(jen.Id("r").Op("=").Id("x").Op("-").Id("turn")),
		jen.If(jen.Id("x").Op("<").Op("-").Id("turn").Op("/").Lit(2)).Block(jen.Id("r").Op("=").Id("x").Op("+").Id("turn")),
		jen.Return(jen.Id("r")),
	)
}

// arctan writes one arctangent and its table.
func (e *emitter) arctan(f *jen.File, i int, t *program.Arctan) {
	name := arctanName(i)
	f.Comment(fmt.Sprintf("// %sTable holds the arctangent of k/%d, of which a right angle has %d counts; the last entry repeats its neighbour.", name, 1<<t.LogEntries, t.Quarter))
	f.Var().Id(name + "Table").Op("=").Index(jen.Lit(len(t.Entries))).Int32().ValuesFunc(func(g *jen.Group) {
		for k, v := range t.Entries {
			if k%8 == 0 {
				g.Line().Lit(int(v))
				continue
			}
			g.Lit(int(v))
		}
		g.Line()
	})
	word, product := jen.Uint32, jen.Int32
	if t.QuotientBits > 16 { // the sides are up to 65535
		word = jen.Uint64
	}
	down := int(t.QuotientBits - t.LogEntries)
	for k := range t.Entries[1:] {
		if (t.Entries[k+1]-t.Entries[k])<<down > math.MaxInt32-1<<down {
			product = jen.Int64
		}
	}
	id := func(s string) *jen.Statement { return jen.Id(s) }
	table := func(at *jen.Statement) *jen.Statement { return jen.Id(name + "Table").Index(at) }
	look := []jen.Code{id("r").Op(":=").Add(table(id("q")))}
	if down > 0 {
		rise := product().Call(table(id("k").Op("+").Lit(1)).Op("-").Add(table(id("k"))))
		look = []jen.Code{
			id("k").Op(",").Id("part").Op(":=").Id("q").Op(">>").Lit(down).Op(",").Add(product()).Call(id("q").Op("&").Parens(jen.Lit(1).Op("<<").Lit(down).Op("-").Lit(1))),
			id("r").Op(":=").Add(table(id("k"))).Op("+").Int32().Call(jen.Parens(rise.Op("*").Id("part").Op("+").Lit(1).Op("<<").Lit(down - 1)).Op(">>").Lit(down)),
		}
	}
	f.Comment(fmt.Sprintf("// %s is the angle of the vector whose cosine side is x and whose sine side is y, 0 for the", name))
	f.Comment("// vector of length 0; |x| and |y| are at most 65535.")
	f.Func().Id(name).Params(id("y"), id("x").Int32()).Int32().BlockFunc(func(g *jen.Group) {
		// Assignments under an if become conditional moves; the built-in min and max become jumps, which
		// a processor guesses wrong where signs and octants change often.
		g.Id("small").Op(",").Id("large").Op(":=").Id("y").Op(",").Id("x")
		g.If(id("y").Op("<").Lit(0)).Block(id("small").Op("=").Op("-").Id("y"))
		g.If(id("x").Op("<").Lit(0)).Block(id("large").Op("=").Op("-").Id("x"))
		g.Id("steep").Op(":=").Id("small").Op(">").Id("large")
		g.If(id("steep")).Block(id("small").Op(",").Id("large").Op("=").Id("large").Op(",").Id("small"))
		g.If(id("large").Op("==").Lit(0)).Block(jen.Return(jen.Lit(0)))
		g.Id("q").Op(":=").Add(word()).Call(id("small")).Op("<<").Lit(int(t.QuotientBits)).Op("/").Add(word()).Call(id("large"))
		for _, line := range look {
			g.Add(line)
		}
		g.If(id("steep")).Block(id("r").Op("=").Lit(int(t.Quarter)).Op("-").Id("r"))
		g.If(id("x").Op("<").Lit(0)).Block(id("r").Op("=").Lit(int(2 * t.Quarter)).Op("-").Id("r"))
		g.If(id("y").Op("<").Lit(0)).Block(id("r").Op("=").Op("-").Id("r"))
		g.Return(id("r"))
	})
}
