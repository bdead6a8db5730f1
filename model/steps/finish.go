package steps

import (
	"slices"

	"gainwright/model/program"
)

// finish drops operations, states and signals that no output needs, numbers the rest anew, and
// lists what each section reads of others.
func finish(p *program.Real) *program.Real {
	live := make([]bool, len(p.Ops))
	liveStates := make([]bool, len(p.States))
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
		if op.Kind == program.State && !liveStates[op.Index] {
			liveStates[op.Index] = true
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
	liveSections, liveCoefs, liveGains := make([]bool, len(p.Sections)), make([]bool, len(p.Coefs)), make([]bool, len(p.Gains))
	for i, op := range p.Ops {
		if live[i] {
			liveSections[op.Section] = true
			if op.Kind == program.Coef {
				liveCoefs[op.Index], liveGains[p.Coefs[op.Index].Gain] = true, true
			}
		}
	}

	q := &program.Real{Frame: program.Frame{Name: p.Name, Rate: p.Rate, Inputs: p.Inputs, Outputs: p.Outputs, Beliefs: p.Beliefs}}
	var newID, newState, newCoef, newGain, newSection []program.ID
	q.Ops, newID = keep(p.Ops, live)
	q.States, newState = keep(p.States, liveStates)
	q.Coefs, newCoef = keep(p.Coefs, liveCoefs)
	q.Gains, newGain = keep(p.Gains, liveGains)
	q.Sections, newSection = keep(p.Sections, liveSections)
	for i := range q.Ops {
		op := &q.Ops[i]
		op.Section = int(newSection[op.Section])
		op.Args = slices.Clone(op.Args)
		for j, a := range op.Args {
			op.Args[j] = newID[a]
		}
		op.Same, op.FinerThan = max(newID[op.Same], 0), max(newID[op.FinerThan], 0)
		switch op.Kind {
		case program.State:
			op.Index = int(newState[op.Index])
		case program.Coef:
			op.Index = int(newCoef[op.Index])
		}
	}
	for i := range q.Coefs {
		q.Coefs[i].Gain = int(newGain[q.Coefs[i].Gain])
	}
	for i := range q.States {
		s := &q.States[i]
		s.Section = int(newSection[s.Section])
		s.Renumber(newID)
		s.SumOf = slices.Clone(s.SumOf)
		for k, n := range s.SumOf { // they lead to it: none of them is dropped alone
			s.SumOf[k] = int(newState[n])
		}
		if s.Purpose == program.Counter {
			s.Like = program.None
		} else if s.Like != program.None {
			s.Like = newID[s.Like]
		}
	}
	for i := range q.Sections {
		s := &q.Sections[i]
		s.Signals = slices.DeleteFunc(s.Signals, func(sig program.Signal) bool { return !live[sig.Value] })
	}
	q.Frame.Renumber(newID)
	linkSections(q)
	return q
}

// keep returns the live ones of a list, and what number each has there; None: it is gone.
func keep[T any](list []T, live []bool) (kept []T, to []program.ID) {
	for i, x := range list {
		to = append(to, program.None)
		if live[i] {
			to[i] = program.ID(len(kept))
			kept = append(kept, x)
		}
	}
	return kept, to
}

// linkSections lists the values of other sections that each section reads.
func linkSections(p *program.Real) {
	read := func(section int, ids []program.ID) {
		s := &p.Sections[section]
		for _, id := range ids {
			if p.Ops[id].Section != section && !slices.Contains(s.Inputs, id) {
				s.Inputs = append(s.Inputs, id)
			}
		}
	}
	for _, op := range p.Ops {
		read(op.Section, op.Args)
	}
	for _, s := range p.States {
		read(s.Section, s.Takes())
	}
}
