package formats

import (
	"math/big"

	"gainwright/model/program"
	"gainwright/model/spec"
)

// Goal is the largest rounding asked for at a signal: by the spec, or for an output one of its own counts.
type Goal struct {
	Name            string
	Section, Signal int
	Want            *big.Rat // in the signal's unit
	ByDefault       bool     // nobody asked: one count of an output
	// Where the signal is an output, the step that it takes its value from rounds too; section -1: none.
	From struct{ Section, Signal int }
}

// Goals lists what is asked for, in the order of the sections.
func Goals(s *spec.Spec, p *program.Frame) (out []Goal) {
	for i, sec := range p.Sections {
		for j, sig := range sec.Signals {
			g := Goal{Name: sig.Name, Section: i, Signal: j, Want: Wanted(s, p, sig.Name)}
			g.From.Section = -1
			if sec.Role == program.Stage {
				for _, o := range p.Outputs {
					if o.Name == sig.Name && g.Want == nil {
						g.Want, g.ByDefault = o.LSB, true
					}
				}
				for _, o := range s.Outputs {
					if o.Name == sig.Name {
						_, g.From.Section, g.From.Signal = p.Signal(o.From)
					}
				}
			}
			if g.Want != nil {
				out = append(out, g)
			}
		}
	}
	return out
}

// Wanted is the accuracy that the spec asks for at a signal, in the signal's unit; nil: none. That of an output may be asked for in its counts.
func Wanted(s *spec.Spec, p *program.Frame, signal string) *big.Rat {
	for _, a := range s.Accuracy {
		if a.Name != signal {
			continue
		}
		for _, o := range p.Outputs {
			counts := a.Max.Unit == "count" || a.Max.Unit == "counts"
			switch {
			case o.Name == signal && counts:
				return new(big.Rat).Mul(a.Max.Number, o.LSB)
			case o.Name == signal && a.Max.Unit != o.Unit && a.Max.Unit != "":
				return nil // said by package spec
			}
		}
		return a.Max.Number
	}
	return nil
}

// Reached is the rounding at a goal, of which from is the part that the step before an output makes; nil: there is no bound.
func (g Goal) Reached(local func(section, signal int) *big.Rat) (all, from *big.Rat) {
	if all = local(g.Section, g.Signal); all == nil || g.From.Section < 0 {
		return all, nil
	}
	if from = local(g.From.Section, g.From.Signal); from == nil || from.Sign() == 0 {
		return all, nil
	}
	return new(big.Rat).Add(all, from), from
}
