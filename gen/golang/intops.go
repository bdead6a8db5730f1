package golang

import (
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
