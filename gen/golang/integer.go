package golang

import (
	"fmt"

	"github.com/dave/jennifer/jen"

	"gainwright/gen/contract"
	"gainwright/model/program"
)

var goTypes = map[program.Type]string{program.Bool: "bool", program.I8: "int8", program.I16: "int16", program.I32: "int32",
	program.I64: "int64", program.U16: "uint16", program.U8: "uint8"}

func typ(t program.Type) *jen.Statement {
	name, ok := goTypes[t]
	if !ok {
		panic(fmt.Sprintf("golang: type %d has no form in Go", t))
	}
	return jen.Id(name)
}

// integerFile writes the integer program.
func (e *emitter) integerFile() *jen.File {
	f := e.file()
	f.PackageComment(fmt.Sprintf("// Package %s is the controller %s in integers, bit for bit as its C header computes it", e.pkg, e.p.Name))
	f.PackageComment("// (State), and in real numbers with the same stored constants (Reference): not with those that the spec asks for.")
	if about := contract.Wrap("", contract.Plain(e.u.Spec.About)); len(about) > 0 {
		f.PackageComment("//")
		for _, line := range about {
			f.PackageComment("// " + line)
		}
	}
	e.inOut(f)
	e.stateTypes(f)
	e.initFunc(f)
	e.startsOver(f, "s", "State", e.p.View(), e.states, func(n int) *jen.Statement { return start(e.p.States[n]) })
	for i := range e.gains {
		e.setter(f, i)
	}
	e.stepFunc(f)
	e.primitives(f)
	return f
}

// field is one member of a struct with what it means.
func field(g *jen.Group, name string, t *jen.Statement, text string) {
	comment(g, text)
	g.Id(name).Add(t)
}

func (e *emitter) inOut(f *jen.File) {
	f.Comment("// In holds the raw values that a tick reads.")
	f.Type().Id("In").StructFunc(func(g *jen.Group) {
		for i, in := range e.p.Inputs {
			text := fmt.Sprintf("raw; one count is %s %s", contract.Exact(in.Count()), in.Unit)
			if in.IsSwitch {
				text = "a switch"
			} else if in.Lo != nil && in.Hi != nil {
				text += fmt.Sprintf("; declared range [%s, %s]", contract.Decimal(in.Lo), contract.Decimal(in.Hi))
			}
			field(g, e.inputs[i], typ(in.Type), text)
		}
	})
	f.Comment("// Out holds the raw values that a tick hands back.")
	f.Type().Id("Out").StructFunc(func(g *jen.Group) {
		for i, o := range e.p.Outputs {
			text := fmt.Sprintf("one count is %s %s", contract.Exact(o.Count()), o.Unit)
			if o.Lo != nil && o.Hi != nil {
				text += fmt.Sprintf("; limits [%s, %s]", contract.Decimal(o.Lo), contract.Decimal(o.Hi))
			}
			field(g, e.outputs[i], typ(o.Type), text)
		}
	})
	f.Comment("// Signals holds what each section of the controller yields in one tick, in counts.")
	f.Type().Id("Signals").StructFunc(func(g *jen.Group) {
		for s, sec := range e.p.Sections {
			for j, sig := range sec.Signals {
				field(g, e.signals[s][j], typ(e.p.Ops[sig.Value].Type), contract.Value(e.p, sig.Value))
			}
		}
	})
}

func (e *emitter) stateTypes(f *jen.File) {
	if len(e.coefs) > 0 {
		f.Comment("// Coefs holds the live coefficients: gains merged with constants, in counts.")
		f.Type().Id("Coefs").StructFunc(func(g *jen.Group) {
			for i, c := range e.p.Coefs {
				gain := e.p.Gains[c.Gain]
				field(g, e.coefs[i], typ(c.Type), fmt.Sprintf("%s times %s; one count is %s", gain.Key, contract.Exact(c.Factor), contract.Exact(c.LSB)))
			}
		})
	}
	f.Comment("// State is one running controller. Call Init before the first Step.")
	f.Type().Id("State").StructFunc(func(g *jen.Group) {
		for i, s := range e.p.States {
			field(g, e.states[i], typ(s.Type), e.stateText(s))
		}
		e.heldFields(g)
		if len(e.coefs) > 0 {
			field(g, "Active", jen.Id("Coefs"), "in force in the last tick")
			field(g, "pending", jen.Id("Coefs"), "in force from the next tick on")
		}
	})
}

func (e *emitter) stateText(s program.FixedState) string {
	if s.Type == program.Bool {
		return s.Doc
	}
	return fmt.Sprintf("%s: %s", s.Doc, contract.Range(s.Lo, s.Hi, s.LSB, s.Unit))
}

func (e *emitter) initFunc(f *jen.File) {
	f.Comment("// Init puts the controller at its start: every state and every live gain.")
	f.Func().Params(jen.Id("s").Op("*").Id("State")).Id("Init").Params().BlockFunc(func(g *jen.Group) {
		values := jen.Dict{}
		for i, s := range e.p.States {
			values[jen.Id(e.states[i])] = start(s)
		}
		g.Op("*").Id("s").Op("=").Id("State").Values(values)
		for i, c := range e.p.Coefs {
			g.Id("s").Dot("pending").Dot(e.coefs[i]).Op("=").Lit(int(c.Setter.Apply(c.Setter.XStart)))
		}
		if len(e.coefs) > 0 {
			g.Id("s").Dot("Active").Op("=").Id("s").Dot("pending")
		}
	})
}

func coefName(name string) string { return "coef" + name }

// setter writes the setting of one live gain and the arithmetic of each coefficient it takes part in.
func (e *emitter) setter(f *jen.File, gain int) {
	info := e.p.Gains[gain]
	own, digits := e.p.CoefsOf(gain), 0
	if len(own) > 0 {
		digits = e.p.Coefs[own[0]].Setter.Digits
	}
	doc(f, fmt.Sprintf("Set%s sets %s to x*10^-%d %s, limited to [%s, %s], from the next Step on.", e.gains[gain], info.Key, digits,
		info.Unit, contract.Decimal(info.Lo), contract.Decimal(info.Hi)), nil)
	f.Func().Params(jen.Id("s").Op("*").Id("State")).Id("Set" + e.gains[gain]).Params(jen.Id("x").Int32()).BlockFunc(func(g *jen.Group) {
		for _, i := range own {
			g.Id("s").Dot("pending").Dot(e.coefs[i]).Op("=").Id(coefName(e.coefs[i])).Call(jen.Id("x"))
		}
	})
	for _, i := range own {
		c := e.p.Coefs[i]
		n := jen.Id("n").Op("*").Lit(int(c.Setter.M))
		if c.Setter.Shift > 0 {
			n = jen.Parens(n.Op("+").Lit(1).Op("<<").Lit(int(c.Setter.Shift - 1))).Op(">>").Lit(int(c.Setter.Shift))
		}
		f.Comment(fmt.Sprintf("// %s returns the counts that the setting x gives, rounded to nearest.", coefName(e.coefs[i])))
		f.Func().Id(coefName(e.coefs[i])).Params(jen.Id("x").Int32()).Add(typ(c.Type)).Block(
			jen.Id("n").Op(":=").Id("min").Call(jen.Id("max").Call(jen.Int64().Call(jen.Id("x")), jen.Lit(int(c.Setter.XLo))), jen.Lit(int(c.Setter.XHi))),
			jen.Return(typ(c.Type).Call(n)),
		)
	}
}
