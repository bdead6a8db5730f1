package golang

import (
	"fmt"
	"math/big"

	"github.com/dave/jennifer/jen"

	"gainwright/model/program"
)

// as yields operation id as type want. A constant comes without a type: it takes that of its neighbours.
func (e *ints) as(id program.ID, want program.Type) *jen.Statement {
	op := e.p.Ops[id]
	var v *jen.Statement
	switch {
	case op.Kind == program.Const && want == program.Bool:
		return jen.Lit(op.K.Sign() != 0)
	case op.Kind == program.Const:
		return number(op.K)
	case op.Kind == program.Input:
		v = jen.Id("in").Dot(e.inputs[op.Index])
	case op.Kind == program.Coef:
		v = jen.Id("s").Dot("Active").Dot(e.coefs[op.Index])
	default:
		v = jen.Id(e.vars[id])
	}
	return e.cast(v, op.Type, want)
}

func (e *emitter) cast(v *jen.Statement, have, want program.Type) *jen.Statement {
	switch {
	case have == want:
		return v
	case want == program.Bool:
		return v.Op("!=").Lit(0)
	case have == program.Bool:
		e.bits = true
		v = jen.Id("bit").Call(v)
		if want == program.I32 {
			return v
		}
	}
	return typ(want).Call(v)
}

func number(k *big.Rat) *jen.Statement {
	if !k.IsInt() || !k.Num().IsInt64() {
		panic("golang: " + k.String() + " is no constant of an integer program")
	}
	return jen.Lit(int(k.Num().Int64()))
}

// args yields the arguments as type w, at least one of them with a type.
func (e *ints) args(op program.FixedOp, w program.Type) []*jen.Statement {
	var out []*jen.Statement
	typed := false
	for _, a := range op.Args {
		out = append(out, e.as(a, w))
		typed = typed || e.p.Ops[a].Kind != program.Const
	}
	if !typed {
		out[0] = typ(w).Call(out[0])
	}
	return out
}

// op writes one operation, done in the type program.Width and narrowed to its own.
func (e *ints) op(g *jen.Group, id program.ID) {
	op := e.p.Ops[id]
	w := e.p.Width(id)
	name := jen.Id(e.vars[id])
	let := func(v *jen.Statement) { g.Add(name.Op(":=").Add(e.cast(v, w, op.Type))) }
	switch op.Kind {
	case program.State:
		g.Add(name.Op(":=").Id("s").Dot(e.states[op.Index]))
		return
	case program.Angle:
		a := e.args(op, program.I32)
		g.Add(name.Op(":=").Add(typ(op.Type)).Call(jen.Id(arctanName(e.table(op.Table))).Call(a[0], a[1])))
		return
	case program.And, program.Or, program.Not:
		a := e.args(op, program.Bool)
		v := jen.Op("!").Add(a[0])
		if op.Kind != program.Not {
			v = a[0].Op(map[program.Kind]string{program.And: "&&", program.Or: "||"}[op.Kind]).Add(a[1])
		}
		g.Add(name.Op(":=").Add(v))
		return
	case program.Select:
		v := e.as(op.Args[2], op.Type)
		if e.p.Ops[op.Args[2]].Kind == program.Const {
			v = typ(op.Type).Call(v)
		}
		g.Add(name.Clone().Op(":=").Add(v))
		g.If(e.as(op.Args[0], program.Bool)).Block(name.Clone().Op("=").Add(e.as(op.Args[1], op.Type)))
		return
	}
	if op.Kind == program.Scale && (op.Type == program.Bool || op.K.Cmp(big.NewRat(1, 1)) == 0) {
		v := e.as(op.Args[0], op.Type)
		if e.p.Ops[op.Args[0]].Kind == program.Const {
			v = typ(op.Type).Call(v)
		}
		g.Add(name.Op(":=").Add(v))
		return
	}
	a := e.args(op, w)
	switch op.Kind {
	case program.Add:
		let(a[0].Op("+").Add(a[1]))
	case program.Sub:
		let(a[0].Op("-").Add(a[1]))
	case program.Mul:
		let(a[0].Op("*").Add(a[1]))
	case program.Scale:
		if op.K.Cmp(big.NewRat(-1, 1)) == 0 {
			let(jen.Op("-").Add(a[0]))
		} else {
			let(number(op.K).Op("*").Add(a[0]))
		}
	case program.Round:
		if op.Shift > 0 {
			a[0] = jen.Parens(a[0].Op("+").Lit(1).Op("<<").Lit(int(op.Shift - 1))).Op(">>").Lit(int(op.Shift))
		}
		let(a[0])
	case program.Clamp:
		let(jen.Id("min").Call(jen.Id("max").Call(a[0], a[1]), a[2]))
	case program.Min:
		let(jen.Id("min").Call(a[0], a[1]))
	case program.Max:
		let(jen.Id("max").Call(a[0], a[1]))
	case program.Abs:
		let(jen.Id("max").Call(a[0], jen.Op("-").Add(e.args(op, w)[0])))
	case program.Wrap:
		if w != program.I64 {
			g.Add(name.Op(":=").Add(e.cast(jen.Id("wrap32").Call(e.args(op, program.I32)[0], number(op.K)), program.I32, op.Type)))
			return
		}
		let(jen.Id("wrap64").Call(a[0], number(op.K)))
	case program.Less:
		g.Add(name.Op(":=").Add(a[0].Op("<").Add(a[1])))
	case program.LessEqual:
		g.Add(name.Op(":=").Add(a[0].Op("<=").Add(a[1])))
	default:
		panic(fmt.Sprintf("golang: %v is no operation of an integer program", op.Kind))
	}
}
