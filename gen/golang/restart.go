package golang

import (
	"slices"

	"github.com/dave/jennifer/jen"

	"gainwright/model/program"
)

// The methods that start over, live gains kept. The second is there where every integral term may be kept.
const (
	restart       = "Restart"
	withIntegrals = "RestartWithIntegrals"
)

// start is where a state of the integer program starts, realStart where one of the reference does.
func start(s program.FixedState) *jen.Statement {
	if s.Type == program.Bool {
		return jen.Lit(s.Start.Sign() != 0)
	}
	return jen.Lit(int(s.Start.Num().Int64()))
}

func realStart(s program.RealState) *jen.Statement {
	if s.Bool {
		return jen.Lit(s.Start.Sign() != 0)
	}
	return float(s.Start)
}

// startsOver writes the methods that start one of the programs over.
func (e *emitter) startsOver(f *jen.File, receiver, typ string, p program.View, states []string, start func(n int) *jen.Statement) {
	method := func(name, text string, skip func(*program.StateInfo) bool) {
		f.Comment("// " + name + " " + text)
		f.Func().Params(jen.Id(receiver).Op("*").Id(typ)).Id(name).Params().BlockFunc(func(g *jen.Group) {
			for i, s := range p.States {
				if !s.Latch && !skip(s) {
					g.Id(receiver).Dot(states[i]).Op("=").Add(start(i))
				}
			}
			e.countAnew(g, receiver)
		})
	}
	but := "the live gains"
	if slices.ContainsFunc(p.States, func(s *program.StateInfo) bool { return s.Latch }) {
		but = "a jump or a freeze of a reading, which ends with its reset or in Init, the live gains"
	}
	method(restart, "starts over: every state but "+but+".", func(*program.StateInfo) bool { return false })
	if e.u.KeepsIntegrals() {
		method(withIntegrals, "starts over: every state but "+but+" and the integral terms.", func(s *program.StateInfo) bool { return s.Integral })
	}
}

// restarts lists the ways to start over, as the records of the compiled C number them from 1.
func (e *emitter) restarts(f *jen.File) {
	list(f, "restarts", "restart", "restarts holds the ways to start over with live gains kept; the compiled C counts them from 1.", func(g *jen.Group) {
		ways := []string{restart}
		if e.u.KeepsIntegrals() {
			ways = append(ways, withIntegrals)
		}
		for _, w := range ways {
			g.Line().Values(jen.Parens(jen.Op("*").Id("State")).Dot(w), jen.Parens(jen.Op("*").Id("Reference")).Dot(w))
		}
	})
}
