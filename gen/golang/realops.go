package golang

import (
	"github.com/dave/jennifer/jen"

	"gainwright/model/program"
)

// reals writes the operations of one section of the real program into one method.
type reals struct {
	*emitter
	vars map[program.ID]string // the local or parameter that holds each operation; empty: written where it is used
}

// number yields a value as float64. A constant comes without a type.
func (r *reals) number(id program.ID) *jen.Statement {
	op := r.real.Ops[id]
	switch {
	case op.Kind == program.Const:
		return float(op.K)
	case op.Kind == program.Coef:
		return jen.Id("r").Dot("active").Dot(r.coefs[op.Index])
	case r.truth(id):
		r.bits = true
		return jen.Float64().Call(jen.Id("bit").Call(jen.Id(r.vars[id])))
	}
	return jen.Id(r.vars[id])
}

// truthOf yields a value as bool.
func (r *reals) truthOf(id program.ID) *jen.Statement {
	op := r.real.Ops[id]
	switch {
	case op.Kind == program.Const:
		return jen.Lit(op.K.Sign() != 0)
	case r.truth(id):
		return jen.Id(r.vars[id])
	}
	return r.number(id).Op("!=").Lit(0)
}

// rounded writes a product so that it is rounded before anything is added to it, and is never a negative zero.
func rounded(product *jen.Statement) *jen.Statement {
	return jen.Float64().Call(product).Op("+").Lit(0)
}

func (r *reals) selects(g *jen.Group, id program.ID) {
	op := r.real.Ops[id]
	value := r.number
	if r.truth(id) {
		value = r.truthOf
	}
	other := value(op.Args[2])
	if r.real.Ops[op.Args[2]].Kind == program.Const && !r.truth(id) {
		other = jen.Float64().Call(other)
	}
	g.Id(r.vars[id]).Op(":=").Add(other)
	g.If(r.truthOf(op.Args[0])).Block(jen.Id(r.vars[id]).Op("=").Add(value(op.Args[1])))
}

// wrapReal writes the wrap of the real program.
func wrapReal(f *jen.File) {
	id := jen.Id
	f.Comment("// wrapReal takes whole turns off v, leaving [-turn/2, turn/2). A value closer to the seam than any integer")
	f.Comment("// format can tell from it counts as on it, so that the float64 error does not choose the side.")
	f.Func().Id("wrapReal").Params(id("v"), id("turn").Float64()).Float64().Block(
		id("half").Op(":=").Id("turn").Op("/").Lit(2),
		id("v").Op("-=").Float64().Call(id("turn").Op("*").Qual("math", "Floor").Call(jen.Parens(id("v").Op("+").Id("half")).Op("/").Id("turn"))),
		jen.If(id("half").Op("-").Id("v").Op("<").Id("turn").Op("*").Lit(1e-12)).Block(id("v").Op("-=").Id("turn")),
		jen.Return(id("v")),
	)
}
