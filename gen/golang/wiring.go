package golang

import (
	"math"
	"math/big"

	"github.com/dave/jennifer/jen"

	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// wiringFile writes what the fixed part of the tests needs to know about this controller.
func (e *emitter) wiringFile() *jen.File {
	f := e.file()
	f.Const().Id("controllerName").Op("=").Lit(e.p.Name)

	list(f, "inputs", "inputRange", "inputs holds each input: declared range and raw range in counts, and whether it is a switch.", func(g *jen.Group) {
		for i, in := range e.p.Inputs {
			lo, hi := e.declared(i)
			rawLo, rawHi := in.Type.Range()
			g.Line().Values(jen.Lit(in.Name), jen.Lit(int(lo)), jen.Lit(int(hi)), jen.Lit(int(rawLo)), jen.Lit(int(rawHi)), jen.Lit(in.IsSwitch))
		}
	})
	list(f, "beliefs", "belief", "beliefs holds what is believed of readings.", func(g *jen.Group) {
		for _, b := range e.p.Beliefs {
			g.Line().Values(jen.Lit(b.Input), jen.Lit(int(b.Lo)), jen.Lit(int(b.Hi)), jen.Lit(int(b.Step)), jen.Lit(!b.Moves))
		}
	})
	list(f, "gains", "gainRange", "gains holds each live gain: its range of settings and its setters.", func(g *jen.Group) {
		for i, gain := range e.p.Gains {
			if own := e.p.CoefsOf(i); len(own) > 0 {
				setter := e.p.Coefs[own[0]].Setter
				g.Line().Values(jen.Lit(gain.Name), jen.Lit(int(setter.XLo)), jen.Lit(int(setter.XHi)),
					jen.Parens(jen.Op("*").Id("State")).Dot("Set"+e.gains[i]), jen.Parens(jen.Op("*").Id("Reference")).Dot("Set"+e.gains[i]))
			}
		}
	})
	e.stateRanges(f)
	e.restarts(f)
	e.bounds(f)
	e.conversions(f)
	return f
}

// declared returns the range of an input in raw counts: what the spec declares, as far as the register holds it.
func (e *emitter) declared(i int) (lo, hi int64) {
	in := e.p.Inputs[i]
	lo, hi = in.Type.Range()
	if in.IsSwitch || in.Lo == nil || in.Hi == nil {
		return lo, hi
	}
	r := bound.Declared(in).Scale(new(big.Rat).Inv(in.LSB))
	if up := interval.Ceil(r.Lo); up.IsInt64() && up.Int64() > lo {
		lo = min(up.Int64(), hi)
	}
	if down := interval.Floor(r.Hi); down.IsInt64() && down.Int64() < hi {
		hi = max(down.Int64(), lo)
	}
	return lo, hi
}

// stateRanges writes what each state may be when a tick starts. Only where the certified range is closed under a tick
// from any point of it is a state free: one that the proof follows by peak gains is not.
func (e *emitter) stateRanges(f *jen.File) {
	follows := make([]bool, len(e.p.States))
	known := e.u.Certificate
	if known != nil {
		for s, taps := range known.Taps {
			if taps == 0 {
				continue
			}
			for _, n := range cert.Linear(e.p.View(), s) {
				follows[n] = true
			}
		}
	}
	id := jen.Id
	f.Comment("// outputs is how many there are.")
	f.Const().Id("outputs").Op("=").Lit(len(e.p.Outputs))
	list(f, "states", "stateRange", "states holds each state: its certified range in counts, whether it may be anything in it, and how it is read and written.", func(g *jen.Group) {
		for i, s := range e.p.States {
			lo, hi := int64(0), int64(0)
			if known != nil {
				lo, hi = interval.Ceil(known.States[i].Lo).Int64(), interval.Floor(known.States[i].Hi).Int64()
			}
			member := id("s").Dot(e.states[i])
			store := typ(s.Type).Call(id("v"))
			if s.Type == program.Bool {
				store = id("v").Op("!=").Lit(0)
			}
			g.Line().Values(jen.Lit(s.Name), jen.Lit(int(lo)), jen.Lit(int(hi)), jen.Lit(known != nil && !follows[i]),
				jen.Func().Params(id("s").Op("*").Id("State")).Int64().Block(jen.Return(whole(member.Clone(), s.Type))),
				jen.Func().Params(id("s").Op("*").Id("State"), id("v").Int64()).Block(member.Clone().Op("=").Add(store)))
		}
	})
}

// bounds writes what is promised of each signal, and how far float64 itself may be off in one tick.
func (e *emitter) bounds(f *jen.File) {
	list(f, "signals", "signalBound", "signals holds each signal: unit, bounds (-1: none), each with the turn that it goes around (0: on a line), and the allowance for float64.", func(g *jen.Group) {
		wrapped := false // here or on the way: float64 may come down on the other side of the seam
		for s, sec := range e.p.Sections {
			wrapped = wrapped || e.wraps(s)
			for j, sig := range sec.Signals {
				var b model.Bound
				for _, of := range e.u.Bounds {
					if of.Section == s && of.Signal == j {
						b = of
					}
				}
				around := func(turn *big.Rat) float64 {
					if turn == nil && wrapped {
						turn = sig.Angular
					}
					if turn == nil {
						return 0
					}
					f, _ := turn.Float64()
					return f
				}
				g.Line().Values(jen.Lit(sig.Name), jen.Lit(contract.Plain(e.p.Ops[sig.Value].Unit)), jen.Lit(atLeast(b.Local)), jen.Lit(around(b.LocalTurn)),
					jen.Lit(atLeast(b.Chain)), jen.Lit(around(b.ChainTurn)), jen.Lit(e.float64Error(s)))
			}
		}
	})
}

// wraps tells whether a section takes turns off.
func (e *emitter) wraps(s int) bool {
	for id := e.spans[s].First; id < e.spans[s].End; id++ {
		if e.p.Ops[id].Kind == program.Wrap {
			return true
		}
	}
	return false
}

// atLeast returns a float64 that is not below r, or -1 for nil.
func atLeast(r *big.Rat) float64 {
	if r == nil {
		return -1
	}
	f, exact := r.Float64()
	if !exact && new(big.Rat).SetFloat64(f).Cmp(r) < 0 {
		f = math.Nextafter(f, math.Inf(1))
	}
	return f
}

// float64Error allows each operation of a section one rounding of the largest value in it.
func (e *emitter) float64Error(s int) float64 {
	largest, ops := 0.0, 0
	for id := e.spans[s].First; id < e.spans[s].End; id++ {
		if op := e.p.Ops[id]; op.LSB != nil && op.Type != program.Bool {
			lsb, _ := op.LSB.Float64()
			largest = max(largest, math.Abs(float64(op.Lo))*lsb, math.Abs(float64(op.Hi))*lsb)
			ops++
		}
	}
	return largest * float64(ops) * 0x1p-52
}

// conversions writes the functions between the tests' plain lists and the controller's types.
func (e *emitter) conversions(f *jen.File) {
	id := jen.Id
	f.Comment("// pack turns a plain list into the inputs of a tick.")
	f.Func().Id("pack").Params(id("raw").Index().Int64()).Id("In").BlockFunc(func(g *jen.Group) {
		values := jen.Dict{}
		for i, in := range e.p.Inputs {
			v := id("raw").Index(jen.Lit(i))
			if in.Type == program.Bool {
				v = v.Op("!=").Lit(0)
			} else {
				v = typ(in.Type).Call(v)
			}
			values[id(e.inputs[i])] = v
		}
		g.Return(id("In").Values(values))
	})
	f.Comment("// record lists what the compiled C hands back: outputs, states and active coefficients.")
	f.Func().Id("record").Params(id("s").Op("*").Id("State"), id("out").Id("Out")).Index().Int64().BlockFunc(func(g *jen.Group) {
		g.Return(jen.Index().Int64().ValuesFunc(func(g *jen.Group) {
			for i, o := range e.p.Outputs {
				g.Line().Add(whole(id("out").Dot(e.outputs[i]), o.Type))
			}
			for i, s := range e.p.States {
				g.Line().Add(whole(id("s").Dot(e.states[i]), s.Type))
			}
			for i, c := range e.p.Coefs {
				g.Line().Add(whole(id("s").Dot("Active").Dot(e.coefs[i]), c.Type))
			}
			g.Line()
		}))
	})
	list(f, "recordNames", "string", "recordNames says what each number of a record is.", func(g *jen.Group) {
		for _, o := range e.p.Outputs {
			g.Line().Lit("output " + o.Name)
		}
		for _, s := range e.p.States {
			g.Line().Lit("state " + s.Name)
		}
		for _, c := range e.p.Coefs {
			g.Line().Lit("coefficient " + c.Name)
		}
	})
	f.Comment("// fed runs every section of the reference once, each on the integer program's own signals.")
	f.Func().Id("fed").Params(id("r").Op("*").Id("Reference"), id("in").Id("In"), id("own").Id("RealSignals")).Id("RealSignals").BlockFunc(func(g *jen.Group) {
		e.chain(g, "own")
	})
	f.Comment("// flat lists the signals in order; true counts as 1.")
	f.Func().Id("flat").Params(id("v").Id("RealSignals")).Index().Float64().BlockFunc(func(g *jen.Group) {
		g.Return(jen.Index().Float64().ValuesFunc(func(g *jen.Group) {
			for s, sec := range e.real.Sections {
				for j, sig := range sec.Signals {
					v := id("v").Dot(e.signals[s][j])
					if e.truth(sig.Value) {
						v = id("number").Call(v)
					}
					g.Line().Add(v)
				}
			}
			g.Line()
		}))
	})
}

// list writes a variable that holds a list, an entry a line.
func list(f *jen.File, name, typ, text string, entries func(g *jen.Group)) {
	f.Comment("// " + text)
	f.Var().Id(name).Op("=").Index().Id(typ).ValuesFunc(func(g *jen.Group) {
		entries(g)
		g.Line()
	})
}

func whole(v *jen.Statement, t program.Type) *jen.Statement {
	if t == program.Bool {
		return jen.Int64().Call(jen.Id("number").Call(v))
	}
	return jen.Int64().Call(v)
}
