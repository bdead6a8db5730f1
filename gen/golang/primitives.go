package golang

import (
	"fmt"
	"math"

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
