package golang

import (
	"fmt"

	"github.com/dave/jennifer/jen"

	"gainwright/gen/contract"
	"gainwright/model/program"
)

// ints writes the operations of the integer program into one function.
type ints struct {
	*emitter
	vars []string // the local that holds each operation; empty: written where it is used
}

// stepFunc writes Step, Watch and the step that both call.
func (e *emitter) stepFunc(f *jen.File) {
	in := jen.Id("in").Id("In")
	recv := jen.Id("s").Op("*").Id("State")
	f.Comment("// Step runs one tick.")
	f.Func().Params(recv).Id("Step").Params(in).Id("Out").Block(jen.Return(jen.Id("s").Dot("step").Call(jen.Id("in"), jen.Nil())))
	f.Comment("// Watch runs one tick and also writes down what each section yields.")
	f.Func().Params(recv).Id("Watch").Params(in, jen.Id("w").Op("*").Id("Signals")).Id("Out").Block(jen.Return(jen.Id("s").Dot("step").Call(jen.Id("in"), jen.Id("w"))))

	i := &ints{emitter: e, vars: make([]string, len(e.p.Ops))}
	names := e.locals()
	for id, op := range e.p.Ops {
		if e.used[id] && op.Kind != program.Const && op.Kind != program.Input && op.Kind != program.Coef {
			i.vars[id] = names.take(local(op.Name))
		}
	}
	last := updateAfter(e.p.View())
	f.Comment("// step runs one tick; w may be nil. Values stand in the order of execution, each with the counts it can reach.")
	f.Func().Params(recv).Id("step").Params(in, jen.Id("w").Op("*").Id("Signals")).Id("Out").BlockFunc(func(g *jen.Group) {
		if len(e.coefs) > 0 {
			g.Id("s").Dot("Active").Op("=").Id("s").Dot("pending")
		}
		for s := range e.p.Sections {
			clock := e.p.Sections[s].Clock
			update := func(g *jen.Group, inStep bool) {
				for n, at := range last {
					switch of := e.p.Sections[e.p.States[n].Section].Clock; {
					case at != s || (of == clock) != inStep:
					case inStep || of.Every == 0:
						i.update(g, n)
					default:
						g.If(runs("s", of)).BlockFunc(func(g *jen.Group) { i.update(g, n) })
					}
				}
			}
			if clock.Every == 0 {
				i.section(g, s, func(*jen.Group) {})
				update(g, true)
			} else {
				i.section(g, s, func(g *jen.Group) { update(g, true) })
			}
			update(g, false)
		}
		if e.ticking() {
			g.Id("s").Dot("tick").Op("++")
		}
		g.Line()
		values := jen.Dict{}
		for n, o := range e.p.Outputs {
			values[jen.Id(e.outputs[n])] = i.as(o.Value, o.Type)
		}
		g.Return(jen.Id("Out").Values(values))
	})
}

// updateAfter returns, for each state, the section behind which it may change: the last that reads it or
// that its change depends on.
func updateAfter(p program.View) []int {
	after := make([]int, len(p.States))
	for n, s := range p.States {
		after[n] = s.Section
		for _, id := range s.Takes() {
			after[n] = max(after[n], p.Ops[id].Section)
		}
	}
	for _, op := range p.Ops {
		if op.Kind == program.State {
			after[op.Index] = max(after[op.Index], op.Section)
		}
	}
	return after
}

// section writes a section. One that does not run at each tick stands in an if, with the updates of its states behind it, and there is held what is read
// elsewhere.
func (e *ints) section(g *jen.Group, s int, updates func(*jen.Group)) {
	g.Line()
	sec := e.p.Sections[s]
	g.Comment("// " + contract.Plain(fmt.Sprintf("%s (%s)", sec.Name, sec.Kind)))
	for _, line := range contract.Section(e.u, s) {
		g.Comment("// " + line)
	}
	own := func(g *jen.Group) {
		for id := e.spans[s].First; id < e.spans[s].End; id++ {
			if op := e.p.Ops[id]; e.vars[id] != "" {
				g.Line()
				comment(g, e.role(op))
				texts[op.Kind].integer(&intLine{e, g, program.ID(id), op, e.p.Width(program.ID(id))}) // in the type program.Width, narrowed to its own
			}
		}
	}
	if sec.Clock.Every == 0 {
		own(g)
	} else {
		g.If(runs("s", sec.Clock)).BlockFunc(func(g *jen.Group) {
			own(g)
			updates(g)
			for id := e.spans[s].First; id < e.spans[s].End; id++ {
				if e.held[id] != "" {
					g.Id("s").Dot(e.held[id]).Op("=").Add(e.as(program.ID(id), e.p.Ops[id].Type))
				}
			}
		})
		for id := e.spans[s].First; id < e.spans[s].End; id++ {
			if e.held[id] != "" {
				e.vars[id] = "s." + e.held[id]
			}
		}
	}
	if len(sec.Signals) == 0 {
		return
	}
	g.If(jen.Id("w").Op("!=").Nil()).BlockFunc(func(g *jen.Group) {
		for j, sig := range sec.Signals {
			g.Id("w").Dot(e.signals[s][j]).Op("=").Add(e.as(sig.Value, e.p.Ops[sig.Value].Type))
		}
	})
}

// role says what a value is and what it can reach.
func (e *ints) role(op program.FixedOp) string {
	if op.Type == program.Bool {
		return op.Doc
	}
	if op.LSB == nil {
		return fmt.Sprintf("%s: [%d, %d]", op.Doc, op.Lo, op.Hi)
	}
	return fmt.Sprintf("%s: [%d, %d] of %s %s", op.Doc, op.Lo, op.Hi, contract.Exact(op.LSB), op.Unit)
}

func (e *ints) update(g *jen.Group, n int) {
	s := &e.p.States[n]
	become := func(id program.ID) *jen.Statement {
		return jen.Id("s").Dot(e.states[n]).Op("=").Add(e.as(id, s.Type))
	}
	writeUpdate(g, &s.StateInfo, become, func(id program.ID) *jen.Statement { return e.as(id, program.Bool) })
}

// writeUpdate writes the end of a tick of one state: reset comes before enable.
func writeUpdate(g *jen.Group, s *program.StateInfo, become, when func(program.ID) *jen.Statement) {
	switch {
	case s.Reset == program.None && s.Enable == program.None:
		g.Add(become(s.Next))
	case s.Reset == program.None:
		g.If(when(s.Enable)).Block(become(s.Next))
	case s.Enable == program.None:
		g.If(when(s.Reset)).Block(become(s.ResetTo)).Else().Block(become(s.Next))
	default:
		g.If(when(s.Reset)).Block(become(s.ResetTo)).Else().If(when(s.Enable)).Block(become(s.Next))
	}
}
