package golang

import (
	"fmt"
	"math"
	"slices"

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

func (r *reals) op(g *jen.Group, id program.ID) {
	op := r.real.Ops[id]
	let := func(v *jen.Statement) { g.Id(r.vars[id]).Op(":=").Add(v) }
	arg := func(i int) *jen.Statement { return r.number(op.Args[i]) }
	first := func() *jen.Statement { // with a type, where every argument is a constant
		if !slices.ContainsFunc(op.Args, func(a program.ID) bool { return r.real.Ops[a].Kind != program.Const }) {
			return jen.Float64().Call(arg(0))
		}
		return arg(0)
	}
	switch op.Kind {
	case program.State:
		let(jen.Id("r").Dot(r.realStates[op.Index]))
	case program.Add:
		let(first().Op("+").Add(arg(1)))
	case program.Sub:
		let(first().Op("-").Add(arg(1)))
	case program.Scale:
		switch {
		case r.truth(id):
			let(r.truthOf(op.Args[0]))
		case op.K.IsInt() && op.K.Num().IsInt64() && op.K.Num().Int64() == 1:
			let(first()) // no value is a negative zero
		default:
			let(rounded(float(op.K).Op("*").Add(first())))
		}
	case program.Mul:
		let(rounded(first().Op("*").Add(arg(1))))
	case program.Clamp:
		let(jen.Id("min").Call(jen.Id("max").Call(first(), arg(1)), arg(2)))
	case program.Min, program.Max:
		let(jen.Id(map[program.Kind]string{program.Min: "min", program.Max: "max"}[op.Kind]).Call(first(), arg(1)))
	case program.Abs:
		let(jen.Qual("math", "Abs").Call(first()))
	case program.Wrap:
		let(jen.Id("wrapReal").Call(arg(0), float(op.K)))
	case program.Angle:
		turn, _ := program.Turn(op.Unit).Float64()
		per := turn / (2 * math.Pi)
		let(jen.Float64().Call(jen.Qual("math", "Atan2").Call(arg(0), arg(1)).Op("*").Lit(per)))
	case program.Less:
		let(first().Op("<").Add(arg(1)))
	case program.LessEqual:
		let(first().Op("<=").Add(arg(1)))
	case program.And:
		let(r.truthOf(op.Args[0]).Op("&&").Add(r.truthOf(op.Args[1])))
	case program.Or:
		let(r.truthOf(op.Args[0]).Op("||").Add(r.truthOf(op.Args[1])))
	case program.Not:
		v := r.truthOf(op.Args[0])
		if !r.truth(op.Args[0]) {
			v = jen.Parens(v)
		}
		let(jen.Op("!").Add(v))
	case program.Select:
		r.selects(g, id)
	default:
		panic(fmt.Sprintf("golang: %v is no operation of a real program", op.Kind))
	}
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
