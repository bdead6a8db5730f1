package steps

import (
	"fmt"

	"gainwright/model/program"
)

// finish drops operations, states and signals that no output needs, numbers the rest anew, and
// lists what each section reads of others.
func finish(p *program.Real) *program.Real {
	live := make([]bool, len(p.Ops))
	liveState := make([]bool, len(p.States))
	var mark func(id program.ID)
	mark = func(id program.ID) {
		if live[id] {
			return
		}
		live[id] = true
		op := p.Ops[id]
		for _, a := range op.Args {
			mark(a)
		}
		if op.Kind == program.State && !liveState[op.Index] {
			liveState[op.Index] = true
			for _, a := range p.States[op.Index].Takes() {
				mark(a)
			}
		}
	}
	for _, o := range p.Outputs {
		mark(o.Value)
	}
	for i, op := range p.Ops { // an input that nothing reads stays in the interface
		if op.Kind == program.Input {
			live[i] = true
		}
	}

	q := &program.Real{Frame: program.Frame{Name: p.Name, Rate: p.Rate, Inputs: p.Inputs, Outputs: p.Outputs, Beliefs: p.Beliefs}}
	newID := make([]program.ID, len(p.Ops))
	newState := make([]int, len(p.States))
	newCoef := make([]int, len(p.Coefs))
	newGain := make([]int, len(p.Gains))
	for i := range newGain {
		newGain[i] = -1
	}
	for i, s := range p.States {
		if liveState[i] {
			newState[i] = len(q.States)
			q.States = append(q.States, s)
		}
	}
	newSection := make([]int, len(p.Sections))
	sectionLive := make([]bool, len(p.Sections))
	for i, op := range p.Ops {
		sectionLive[op.Section] = sectionLive[op.Section] || live[i]
	}
	for i, s := range p.Sections {
		if sectionLive[i] {
			newSection[i] = len(q.Sections)
			s.Signals = nil
			q.Sections = append(q.Sections, s)
		}
	}
	for i, op := range p.Ops {
		if newID[i] = program.None; !live[i] {
			continue
		}
		newID[i] = program.ID(len(q.Ops))
		op.Section = newSection[op.Section]
		args := make([]program.ID, len(op.Args))
		for j, a := range op.Args {
			args[j] = newID[a]
		}
		op.Args = args
		op.Same, op.FinerThan = max(newID[op.Same], 0), max(newID[op.FinerThan], 0)
		switch op.Kind {
		case program.State:
			op.Index = newState[op.Index]
		case program.Coef:
			c := p.Coefs[op.Index]
			if newGain[c.Gain] < 0 {
				newGain[c.Gain] = len(q.Gains)
				q.Gains = append(q.Gains, p.Gains[c.Gain])
			}
			c.Gain = newGain[c.Gain]
			newCoef[op.Index] = len(q.Coefs)
			q.Coefs = append(q.Coefs, c)
			op.Index = newCoef[op.Index]
		}
		q.Ops = append(q.Ops, op)
	}
	for i := range q.States {
		s := &q.States[i]
		s.Section = newSection[s.Section]
		s.Renumber(newID)
		if s.Form != program.Counter && s.Like != program.None && live[s.Like] {
			s.Like = newID[s.Like]
		} else {
			s.Like = program.None
		}
	}
	for i, s := range p.Sections {
		for _, sig := range s.Signals {
			if live[sig.Value] {
				t := &q.Sections[newSection[i]]
				t.Signals = append(t.Signals, sig)
			}
		}
	}
	q.Frame.Renumber(newID)
	linkSections(q)
	return q
}

// linkSections lists the values of other sections that each section reads. Only signals may cross.
func linkSections(p *program.Real) {
	isSignal := map[program.ID]bool{}
	for _, s := range p.Sections {
		for _, sig := range s.Signals {
			isSignal[sig.Value] = true
		}
	}
	seen := make([]map[program.ID]bool, len(p.Sections))
	read := func(section int, id program.ID) {
		if p.Ops[id].Section == section {
			return
		}
		if !isSignal[id] {
			panic(fmt.Sprintf("steps: section %s reads %s, which is no signal", p.Sections[section].Name, p.Ops[id].Name))
		}
		if seen[section] == nil {
			seen[section] = map[program.ID]bool{}
		}
		if !seen[section][id] {
			seen[section][id] = true
			p.Sections[section].Inputs = append(p.Sections[section].Inputs, id)
		}
	}
	for _, op := range p.Ops {
		for _, a := range op.Args {
			read(op.Section, a)
		}
	}
	for _, s := range p.States {
		for _, id := range s.Takes() {
			read(s.Section, id)
		}
	}
}
