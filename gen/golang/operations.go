package golang

import (
	"math"
	"math/big"
	"slices"

	"github.com/dave/jennifer/jen"

	"gainwright/model/program"
)

// realLine is an operation of the real program that is being written.
type realLine struct {
	*reals
	g  *jen.Group
	id program.ID
	op *program.RealOp
}

func (o *realLine) let(v *jen.Statement)     { o.g.Id(o.vars[o.id]).Op(":=").Add(v) }
func (o *realLine) arg(n int) *jen.Statement { return o.number(o.op.Args[n]) }

// first is the first argument, with a type where every argument is a constant.
func (o *realLine) first() *jen.Statement {
	if !slices.ContainsFunc(o.op.Args, func(a program.ID) bool { return o.real.Ops[a].Kind != program.Const }) {
		return jen.Float64().Call(o.arg(0))
	}
	return o.arg(0)
}

// intLine is an operation of the integer program that is being written, done in type w.
type intLine struct {
	*ints
	g  *jen.Group
	id program.ID
	op program.FixedOp
	w  program.Type
}

// is writes a value that has the type of the operation, let one of the arithmetic's.
func (o *intLine) is(v *jen.Statement)  { o.g.Add(jen.Id(o.vars[o.id]).Op(":=").Add(v)) }
func (o *intLine) let(v *jen.Statement) { o.is(o.cast(v, o.w, o.op.Type)) }

func (o *intLine) arg(n int) *jen.Statement   { return o.args(o.op, o.w)[n] }
func (o *intLine) truth(n int) *jen.Statement { return o.as(o.op.Args[n], program.Bool) }

// typed is an argument with the operation's own type, constants too.
func (o *intLine) typed(n int) *jen.Statement {
	v := o.as(o.op.Args[n], o.op.Type)
	if o.p.Ops[o.op.Args[n]].Kind == program.Const {
		v = typ(o.op.Type).Call(v)
	}
	return v
}

// call writes the call of a function that has a form for int32 and one for int64.
func (o *intLine) call(name string, second func(n int) *jen.Statement) {
	if o.w != program.I64 {
		o.w = program.I32
	}
	o.let(jen.Id(name+helperBits(o.w)).Call(o.arg(0), second(1)))
}

func helperBits(w program.Type) string {
	if w == program.I64 {
		return "64"
	}
	return "32"
}

// text says how an operation is written in Go, in the real and in the integer program; nil: it is written where it is used, or is none of that
// dialect. helper writes the function that the integer one calls, for int32 or int64.
type text struct {
	real    func(o *realLine)
	integer func(o *intLine)
	helper  func(f *jen.File, bits string)
}

// infix is a sum or difference; compared and joined yield truth values, of numbers and of truth values.
func infix(sign string) text {
	return text{real: func(o *realLine) { o.let(o.first().Op(sign).Add(o.arg(1))) }, integer: func(o *intLine) { o.let(o.arg(0).Op(sign).Add(o.arg(1))) }}
}

func compared(sign string) text {
	return text{real: func(o *realLine) { o.let(o.first().Op(sign).Add(o.arg(1))) }, integer: func(o *intLine) { o.is(o.arg(0).Op(sign).Add(o.arg(1))) }}
}

func joined(sign string) text {
	return text{real: func(o *realLine) { o.let(o.truthOf(o.op.Args[0]).Op(sign).Add(o.truthOf(o.op.Args[1]))) },
		integer: func(o *intLine) { o.is(o.truth(0).Op(sign).Add(o.truth(1))) }}
}

// least is a minimum or maximum.
func least(name string) text {
	return text{real: func(o *realLine) { o.let(jen.Id(name).Call(o.first(), o.arg(1))) }, integer: func(o *intLine) { o.let(jen.Id(name).Call(o.arg(0), o.arg(1))) }}
}

var texts = [program.Kinds]text{
	program.State: {
		real:    func(o *realLine) { o.let(jen.Id("r").Dot(o.realStates[o.op.Index])) },
		integer: func(o *intLine) { o.is(jen.Id("s").Dot(o.states[o.op.Index])) },
	},
	program.Add: infix("+"),
	program.Sub: infix("-"),
	program.Scale: {
		real: func(o *realLine) {
			switch {
			case o.truth(o.id):
				o.let(o.truthOf(o.op.Args[0]))
			case o.op.K.IsInt() && o.op.K.Num().IsInt64() && o.op.K.Num().Int64() == 1:
				o.let(o.first()) // no value is a negative zero
			default:
				o.let(rounded(float(o.op.K).Op("*").Add(o.first())))
			}
		},
		integer: func(o *intLine) {
			switch {
			case o.op.Type == program.Bool || o.op.K.Cmp(big.NewRat(1, 1)) == 0:
				o.is(o.typed(0))
			case o.op.K.Cmp(big.NewRat(-1, 1)) == 0:
				o.let(jen.Op("-").Add(o.arg(0)))
			default:
				o.let(number(o.op.K).Op("*").Add(o.arg(0)))
			}
		},
	},
	program.Mul: {
		real:    func(o *realLine) { o.let(rounded(o.first().Op("*").Add(o.arg(1)))) },
		integer: func(o *intLine) { o.let(o.arg(0).Op("*").Add(o.arg(1))) },
	},
	program.Round: {integer: func(o *intLine) {
		v := o.arg(0)
		if o.op.Shift > 0 {
			v = jen.Parens(v.Op("+").Lit(1).Op("<<").Lit(int(o.op.Shift - 1))).Op(">>").Lit(int(o.op.Shift))
		}
		o.let(v)
	}},
	program.Clamp: {
		real:    func(o *realLine) { o.let(jen.Id("min").Call(jen.Id("max").Call(o.first(), o.arg(1)), o.arg(2))) },
		integer: func(o *intLine) { o.let(jen.Id("min").Call(jen.Id("max").Call(o.arg(0), o.arg(1)), o.arg(2))) },
	},
	program.Min: least("min"),
	program.Max: least("max"),
	program.Abs: {
		real:    func(o *realLine) { o.let(jen.Qual("math", "Abs").Call(o.first())) },
		integer: func(o *intLine) { o.let(jen.Id("max").Call(o.arg(0), jen.Op("-").Add(o.arg(0)))) },
	},
	program.Wrap: {
		real:    func(o *realLine) { o.let(jen.Id("wrapReal").Call(o.arg(0), float(o.op.K))) },
		integer: func(o *intLine) { o.call("wrap", func(int) *jen.Statement { return number(o.op.K) }) },
		helper:  wrap,
	},
	program.Angle: {
		real: func(o *realLine) {
			turn, _ := program.Turn(o.op.Unit).Float64()
			per := turn / (2 * math.Pi)
			o.let(jen.Float64().Call(jen.Qual("math", "Atan2").Call(o.arg(0), o.arg(1)).Op("*").Lit(per)))
		},
		integer: func(o *intLine) {
			o.w = program.I32
			o.is(typ(o.op.Type).Call(jen.Id(arctanName(slices.Index(o.tables, o.op.Arctan))).Call(o.arg(0), o.arg(1))))
		},
	},
	program.Root: {
		real: func(o *realLine) { o.let(jen.Qual("math", "Sqrt").Call(jen.Id("max").Call(o.first(), jen.Lit(0)))) },
		integer: func(o *intLine) {
			if o.w != program.I64 {
				o.w = program.I32
			}
			o.let(jen.Id("root" + helperBits(o.w)).Call(o.arg(0)))
		},
		helper: root,
	},
	program.Table: {
		real: func(o *realLine) {
			name := curveName(slices.Index(o.drawn, o.id)) + "Real"
			o.let(jen.Id("lookReal").Call(jen.Id(name+"X").Index(jen.Op(":")), jen.Id(name+"Y").Index(jen.Op(":")), jen.Id(name+"Slope").Index(jen.Op(":")), o.first()))
		},
		integer: func(o *intLine) {
			if o.w != program.I64 {
				o.w = program.I32
			}
			name, c := curveName(slices.Index(o.curves, o.op.Curve)), o.op.Curve
			o.let(jen.Id("look"+helperBits(o.w)).Call(jen.Id(name+"X").Index(jen.Op(":")), jen.Id(name+"Y").Index(jen.Op(":")), jen.Id(name+"Slope").Index(jen.Op(":")),
				jen.Lit(int(c.Shift)), o.arg(0)))
		},
		helper: look,
	},
	program.Less:      compared("<"),
	program.LessEqual: compared("<="),
	program.And:       joined("&&"),
	program.Or:        joined("||"),
	program.Not: {
		real: func(o *realLine) {
			v := o.truthOf(o.op.Args[0])
			if !o.truth(o.op.Args[0]) {
				v = jen.Parens(v)
			}
			o.let(jen.Op("!").Add(v))
		},
		integer: func(o *intLine) { o.is(jen.Op("!").Add(o.truth(0))) },
	},
	program.Quotient: {
		real:    func(o *realLine) { o.let(rounded(o.first().Op("/").Add(o.arg(1)))) },
		integer: func(o *intLine) { o.call("divide", func(n int) *jen.Statement { return o.arg(n) }) },
		helper:  divide,
	},
	program.Select: {
		real: func(o *realLine) { o.selects(o.g, o.id) },
		integer: func(o *intLine) {
			o.is(o.typed(2))
			o.g.If(o.truth(0)).Block(jen.Id(o.vars[o.id]).Op("=").Add(o.as(o.op.Args[1], o.op.Type)))
		},
	},
}

// divide writes the quotient of the integer program.
func divide(f *jen.File, bits string) {
	id, t := jen.Id, "int"+bits
	f.Comment("// divide" + bits + " is a / b to the nearest whole number, halves up; b is not 0.")
	f.Func().Id("divide"+bits).Params(id("a"), id("b").Id(t)).Id(t).Block(
		jen.If(id("b").Op("<").Lit(0)).Block(id("a").Op(",").Id("b").Op("=").Op("-").Id("a").Op(",").Op("-").Id("b")),
		id("a").Op("+=").Id("b").Op("/").Lit(2),
		jen.If(id("a").Op("%").Id("b").Op("<").Lit(0)).Block(jen.Return(id("a").Op("/").Id("b").Op("-").Lit(1))),
		jen.Return(id("a").Op("/").Id("b")),
	)
}

// root writes the square root of the integer program.
func root(f *jen.File, bits string) {
	id, t := jen.Id, "int"+bits
	top := map[string]int{"32": 30, "64": 62}[bits]
	f.Comment("// root" + bits + " is the whole number next to the square root of x, of 0 where x is less.")
	f.Func().Id("root"+bits).Params(id("x").Id(t)).Id(t).Block(
		id("rest").Op(",").Id("root").Op(":=").Uint64().Call(id("max").Call(id("x"), jen.Lit(0))).Op(",").Uint64().Call(jen.Lit(0)),
		jen.For(id("bit").Op(":=").Uint64().Call(jen.Lit(1)).Op("<<").Lit(top), id("bit").Op("!=").Lit(0), id("bit").Op(">>=").Lit(2)).Block(
			jen.If(id("rest").Op("<").Id("root").Op("+").Id("bit")).Block(id("root").Op(">>=").Lit(1), jen.Continue()),
			id("rest").Op("-=").Id("root").Op("+").Id("bit"),
			id("root").Op("=").Id("root").Op(">>").Lit(1).Op("+").Id("bit"),
		),
		jen.If(id("rest").Op(">").Id("root")).Block(id("root").Op("++")),
		jen.Return(id(t).Call(id("root"))),
	)
}
