package golang

import (
	"fmt"

	"github.com/dave/jennifer/jen"

	"gainwright/gen/contract"
	"gainwright/model/program"
)

// crossing is a value that a section of the reference takes from outside.
type crossing struct {
	id             program.ID
	section, index int // of the signal, or
	input          int // of the program; -1: a signal
}

// takes lists the inputs and signals of other sections that section s of the real program uses.
func (e *emitter) takes(s int) []crossing {
	var all []crossing
	for _, id := range contract.Reads(e.real.View(), s) {
		op := e.real.Ops[id]
		if !e.realUsed[id] || op.Kind == program.Const || op.Kind == program.Coef || op.Section > s { // what comes later becomes a state when it is there
			continue
		}
		if op.Kind == program.Input {
			all = append(all, crossing{id: id, input: op.Index})
			continue
		}
		found := false
		for j, sig := range e.real.Sections[op.Section].Signals {
			if sig.Value == id && !found {
				all = append(all, crossing{id: id, section: op.Section, index: j, input: -1})
				found = true
			}
		}
		if !found {
			panic(fmt.Sprintf("golang: section %s reads %s, which is no signal", e.real.Sections[s].Name, op.Name))
		}
	}
	return all
}

// call writes the call of section s, its inputs from in and its signals from the struct called from.
func (e *emitter) call(g *jen.Group, s int, from string) {
	var results []jen.Code
	for _, name := range e.signals[s] {
		results = append(results, jen.Id("v").Dot(name))
	}
	clock := e.real.Sections[s].Clock
	var args []jen.Code
	for _, c := range e.takes(s) {
		if c.input < 0 {
			args = append(args, jen.Id(from).Dot(e.signals[c.section][c.index]))
			continue
		}
		info := e.real.Inputs[c.input]
		v := jen.Id("in").Dot(e.inputs[c.input])
		if !info.IsSwitch {
			v = units(v, info.LSB)
		}
		args = append(args, v)
	}
	call := jen.Id("r").Dot(e.sections[s]).Add(inBrackets(args))
	switch {
	case len(results) > 0 && clock.Every != 0:
		var held []jen.Code
		for _, name := range e.signals[s] {
			held = append(held, jen.Id("r").Dot("held").Dot(name))
		}
		g.If(runs("r", clock)).Block(jen.List(held...).Op("=").Add(call))
		g.List(results...).Op("=").List(held...)
	case len(results) > 0:
		g.List(results...).Op("=").Add(call)
	case clock.Every != 0:
		g.If(runs("r", clock)).Block(call)
	default:
		g.Add(call)
	}
}

// inBrackets writes arguments or parameters in parentheses, one a line where there are many.
func inBrackets(items []jen.Code) *jen.Statement {
	return jen.Custom(jen.Options{Open: "(", Close: ")", Separator: ",", Multi: len(items) > 3}, items...)
}

// chain writes a function body that runs every section once.
func (e *emitter) chain(g *jen.Group, from string) {
	if len(e.coefs) > 0 {
		g.Id("r").Dot("latch").Call()
	}
	g.Var().Id("v").Id("RealSignals")
	for s := range e.real.Sections {
		e.call(g, s, from)
	}
	for n, st := range e.real.States {
		if at := e.real.Ops[st.Next].Section; at > st.Section { // a value fed back
			for j, sig := range e.real.Sections[at].Signals {
				if sig.Value != st.Next {
					continue
				}
				become := jen.Id("r").Dot(e.realStates[n]).Op("=").Id(from).Dot(e.signals[at][j])
				if clock := e.real.Sections[st.Section].Clock; clock.Every != 0 {
					become = jen.If(runs("r", clock)).Block(become)
				}
				g.Add(become)
			}
		}
	}
	if e.ticking() {
		g.Id("r").Dot("tick").Op("++")
	}
	g.Return(jen.Id("v"))
}

func (e *emitter) realStep(f *jen.File) {
	f.Comment("// Step runs one tick of the whole controller.")
	f.Func().Params(jen.Id("r").Op("*").Id("Reference")).Id("Step").Params(jen.Id("in").Id("In")).Id("RealSignals").BlockFunc(func(g *jen.Group) {
		e.chain(g, "v")
	})
}

func (e *emitter) realSection(f *jen.File, s int) {
	sec := e.real.Sections[s]
	r := &reals{emitter: e, vars: map[program.ID]string{}}
	names := e.locals()
	var params, results []jen.Code
	for _, c := range e.takes(s) {
		r.vars[c.id] = names.take(local(contract.Name(e.real.View(), c.id)))
		params = append(params, jen.Id(r.vars[c.id]).Add(realType(e.truth(c.id))))
	}
	span := e.realSpans[s]
	for id := program.ID(span.First); id < program.ID(span.End); id++ {
		if op := e.real.Ops[id]; e.realUsed[id] && r.vars[id] == "" && op.Kind != program.Const && op.Kind != program.Coef {
			r.vars[id] = names.take(local(op.Name))
		}
	}
	for _, sig := range sec.Signals {
		results = append(results, realType(e.truth(sig.Value)))
	}
	lines := contract.Section(e.u, s)
	doc(f, fmt.Sprintf("%s runs the section %s (%s).", e.sections[s], sec.Name, sec.Kind), lines)
	f.Func().Params(jen.Id("r").Op("*").Id("Reference")).Id(e.sections[s]).Add(inBrackets(params)).Params(results...).BlockFunc(func(g *jen.Group) {
		for id := program.ID(span.First); id < program.ID(span.End); id++ {
			if op := e.real.Ops[id]; op.Kind != program.Input && r.vars[id] != "" {
				comment(g, op.Doc)
				texts[op.Kind].real(&realLine{r, g, id, &e.real.Ops[id]})
			}
		}
		for n, st := range e.real.States {
			if st.Section != s || e.real.Ops[st.Next].Section > s {
				continue
			}
			become := func(id program.ID) *jen.Statement {
				v := r.number(id)
				if st.Bool {
					v = r.truthOf(id)
				}
				return jen.Id("r").Dot(e.realStates[n]).Op("=").Add(v)
			}
			writeUpdate(g, &st.StateInfo, become, r.truthOf)
		}
		if len(sec.Signals) > 0 {
			g.ReturnFunc(func(g *jen.Group) {
				for _, sig := range sec.Signals {
					if e.truth(sig.Value) {
						g.Add(r.truthOf(sig.Value))
					} else {
						g.Add(r.number(sig.Value))
					}
				}
			})
		}
	})
}
