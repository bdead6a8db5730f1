package golang

import (
	"fmt"
	"math/big"

	"github.com/dave/jennifer/jen"

	"gainwright/gen/contract"
	"gainwright/model/program"
)

// referenceFile writes the real program: one method a section, and the whole chain.
func (e *emitter) referenceFile() *jen.File {
	f := e.file()
	f.Comment("// RealSignals holds what each section of the controller yields in one tick, in units.")
	f.Type().Id("RealSignals").StructFunc(func(g *jen.Group) {
		for s, sec := range e.real.Sections {
			for j, sig := range sec.Signals {
				op := e.real.Ops[sig.Value]
				text := contract.Plain(sig.Name) + ", " + contract.Plain(op.Unit)
				if e.truth(sig.Value) || op.Unit == "" {
					text = contract.Plain(sig.Name)
				}
				field(g, e.signals[s][j], realType(e.truth(sig.Value)), text)
			}
		}
	})
	e.toUnits(f)

	f.Comment("// Reference is the controller in float64, with the constants that the integer program stores. Each")
	f.Comment("// section is a method of its own, so that it can be fed with values that are not its neighbours'.")
	f.Comment("// Products are rounded one by one: no compiler fuses them. Call Init before the first Step.")
	f.Type().Id("Reference").StructFunc(func(g *jen.Group) {
		for i, s := range e.real.States {
			field(g, e.realStates[i], realType(s.Bool), s.Doc+", "+s.Unit)
		}
		if e.ticking() {
			field(g, "tick", jen.Int(), "since the start, or since it started over")
			field(g, "held", jen.Id("RealSignals"), "of the last run of each section that does not run at each tick")
		}
		if len(e.coefs) > 0 {
			field(g, "active", jen.Id("realCoefs"), "in force in the last tick")
			field(g, "pending", jen.Id("realCoefs"), "in force from the next tick on")
		}
	})
	e.realInit(f)
	e.startsOver(f, "r", "Reference", e.real.View(), e.realStates, func(n int) *jen.Statement { return realStart(e.real.States[n]) })
	e.realLive(f)
	e.realStep(f)
	for s := range e.real.Sections {
		e.realSection(f, s)
	}
	for i, op := range e.real.Ops {
		if e.realUsed[i] && op.Kind == program.Wrap {
			wrapReal(f)
			break
		}
	}
	if len(e.drawn) > 0 {
		e.lookReal(f)
	}
	return f
}

// truth tells whether a value of the real program is a truth value.
func (e *emitter) truth(id program.ID) bool { return e.real.Ops[id].Bool }

// realType is that of a truth value or a number.
func realType(truth bool) *jen.Statement {
	if truth {
		return jen.Bool()
	}
	return jen.Float64()
}

func float(r *big.Rat) *jen.Statement {
	f, _ := r.Float64()
	return jen.Lit(f)
}

// units turns counts into units, rounded once where numerator and denominator are exact in float64.
func units(counts *jen.Statement, lsb *big.Rat) *jen.Statement {
	n := jen.Float64().Call(counts)
	one := big.NewRat(1, 1)
	switch {
	case lsb.Cmp(one) == 0:
		return n
	case lsb.Num().IsInt64() && lsb.Num().Int64() == 1 && lsb.Denom().BitLen() <= 53:
		return n.Op("/").Add(float(new(big.Rat).SetInt(lsb.Denom())))
	case lsb.Num().BitLen() <= 21 && lsb.Denom().BitLen() <= 53: // counts have up to 32 bits
		return jen.Float64().Call(n.Op("*").Add(float(new(big.Rat).SetInt(lsb.Num())))).Op("/").Add(float(new(big.Rat).SetInt(lsb.Denom())))
	}
	return jen.Float64().Call(n.Op("*").Add(float(lsb)))
}

func (e *emitter) toUnits(f *jen.File) {
	f.Comment("// Real turns the counts into units.")
	f.Func().Params(jen.Id("w").Op("*").Id("Signals")).Id("Real").Params().Id("RealSignals").BlockFunc(func(g *jen.Group) {
		values := jen.Dict{}
		for s, sec := range e.p.Sections {
			for j, sig := range sec.Signals {
				op := e.p.Ops[sig.Value]
				v := jen.Id("w").Dot(e.signals[s][j])
				if op.Type != program.Bool {
					v = units(v, op.LSB)
				}
				values[jen.Id(e.signals[s][j])] = v
			}
		}
		g.Return(jen.Id("RealSignals").Values(values))
	})
}

func (e *emitter) realInit(f *jen.File) {
	f.Comment("// Init puts the controller at its start: every state and every live gain.")
	f.Func().Params(jen.Id("r").Op("*").Id("Reference")).Id("Init").Params().BlockFunc(func(g *jen.Group) {
		values := jen.Dict{}
		for i, s := range e.real.States {
			values[jen.Id(e.realStates[i])] = realStart(s)
		}
		g.Op("*").Id("r").Op("=").Id("Reference").Values(values)
		for i, c := range e.p.Coefs {
			start := new(big.Rat).SetInt64(c.Setter.Apply(c.Setter.XStart))
			g.Id("r").Dot("pending").Dot(e.coefs[i]).Op("=").Add(float(start.Mul(start, c.LSB)))
		}
		if len(e.coefs) > 0 {
			g.Id("r").Dot("latch").Call()
		}
	})
}

// realLive writes the live coefficients of the reference: those that the integer program stores, in units.
func (e *emitter) realLive(f *jen.File) {
	if len(e.coefs) == 0 {
		return
	}
	f.Comment("// realCoefs holds the live coefficients in units.")
	f.Type().Id("realCoefs").StructFunc(func(g *jen.Group) {
		for _, name := range e.coefs {
			g.Id(name).Float64()
		}
	})
	recv := jen.Id("r").Op("*").Id("Reference")
	for i, gain := range e.p.Gains {
		f.Comment(fmt.Sprintf("// Set%s sets %s as the method of State does: to the coefficients that the integers store.", e.gains[i], contract.Plain(gain.Key)))
		f.Func().Params(recv).Id("Set" + e.gains[i]).Params(jen.Id("x").Int32()).BlockFunc(func(g *jen.Group) {
			for _, n := range e.p.CoefsOf(i) {
				g.Id("r").Dot("pending").Dot(e.coefs[n]).Op("=").Add(units(jen.Id(coefName(e.coefs[n])).Call(jen.Id("x")), e.p.Coefs[n].LSB))
			}
		})
	}
	f.Comment("// latch puts new settings in force.")
	f.Func().Params(recv).Id("latch").Params().Block(jen.Id("r").Dot("active").Op("=").Id("r").Dot("pending"))
}
