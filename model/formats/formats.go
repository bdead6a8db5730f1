// Package formats finds the formats of a controller, and proves what they do: what each value is counted in, how wide it is, and how far rounding
// takes each section from real numbers. Types are given here and nowhere else (types.go), and what is proven here is not proven again before it is
// checked.
package formats

import (
	"math/big"

	"gainwright/model/cert"
	"gainwright/model/cost"
	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/scale"
	"gainwright/model/spec"
	"gainwright/model/target"
)

// Request is a real program and what is asked of its formats.
type Request struct {
	Spec            *spec.Spec       // accuracies, pinned formats, the target
	Asked           *program.Real    // as Align leaves it
	Reach, Declared []interval.Range // of each value of Asked, in its unit: at any raw input, and at declared ones
}

// Result is a controller in integers.
type Result struct {
	Stored      *program.Real  // Asked, with constants as they are stored
	Integer     *program.Fixed // with ranges and types
	Constants   []scale.Constant
	Certificate *cert.Certificate // the ranges of Integer and the differences of its sections; what concerns whole programs is open
	Search      *Search           // nil where the target has no table of costs
}

// Find gives each value a format. Where it fails, it says why.
func Find(r Request) (Result, finding.List) {
	s := &search{Request: r, rule: r.scaling(), adjust: map[program.ID]int{}}
	if s.table = cost.For(s.rule.Target.Name); s.table == nil {
		s.table = cost.For(s.rule.Target.Like)
	}
	s.told.Target, s.told.Unit = s.table.Target.Name, s.table.Target.Unit
	found, err := s.find()
	for i, f := range found {
		if at, ok := r.Spec.PlaceOf(f.Key); ok {
			found[i].Pos = at
		}
	}
	if err != nil {
		found = append(found, Refused(r.Spec, r.Asked, err)...)
	}
	if found.Failed() {
		return Result{}, found
	}
	best := s.best
	found = append(found, pinnedTooNarrow(r.Spec, best.Integer)...)
	out := Result{Stored: best.Stored, Integer: best.Integer, Constants: best.Constants,
		Certificate: &cert.Certificate{States: best.ranges.States, Ops: best.ranges.Ranges, Taps: best.taps, Local: best.local}}
	if s.priced() {
		if s.table.Target.Word == 8 { // elsewhere a number of 16 bits lies in a register of 32 as well
			s.told.All32 = s.everywhere32(best.Integer)
		}
		out.Search = &s.told
	}
	return out, found
}

// scaling is what package scale is asked for, the formats of its rule.
func (r Request) scaling() scale.Request {
	out := scale.Request{Asked: r.Asked, Ranges: r.Reach, Declared: r.Declared, Target: target.Named(r.Spec.Target), Want: map[program.ID]*big.Rat{}, Pinned: map[program.ID]int{},
		Place: func(section int) finding.Pos { return r.Spec.Place(r.Asked.Sections[section].Name) }}
	for _, sec := range r.Asked.Sections {
		for _, sig := range sec.Signals {
			if w := Wanted(r.Spec, &r.Asked.Frame, sig.Name); w != nil {
				out.Want[sig.Value] = w
			}
			for _, f := range r.Spec.Formats {
				if f.Name == sig.Name {
					out.Pinned[sig.Value] = f.N
				}
			}
		}
	}
	return out
}
