package cert_test

import (
	"testing"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// TestSpoiltStateRefused does the same to states, coefficients, signals and outputs.
func TestSpoiltStateRefused(t *testing.T) {
	starters(t, func(s *subject) {
		z := s.unit.Integer
		for i, was := range z.States {
			s.state(i, was)
		}
		for i, was := range z.Coefs {
			s.coefficient(i, was)
		}
		for i, sec := range z.Sections {
			for j, sig := range sec.Signals {
				for _, d := range []program.ID{-1, 1} {
					s.spoil(func(p *program.Fixed) { p.Sections[i].Signals[j].Value += d }, func() bool { return s.finer(sig.Value, sig.Value+d) }, "signal %s by %d", sig.Name, d)
				}
			}
		}
		for i, was := range z.Outputs {
			for _, d := range []program.ID{-1, 1} {
				s.spoil(func(p *program.Fixed) { p.Outputs[i].Value += d }, func() bool { return s.same(was.Value, was.Value+d) }, "output %s by %d", was.Name, d)
			}
			s.spoil(func(p *program.Fixed) { p.Outputs[i].LSB = twice(was.LSB) }, nil, "twice the lsb of output %s", was.Name)
			s.spoil(func(p *program.Fixed) { p.Outputs[i].Type = narrower[was.Type] }, nil, "output %s narrower", was.Name)
		}
		for i, was := range z.Inputs {
			s.spoil(func(p *program.Fixed) { p.Inputs[i].Type = program.I32 }, nil, "input %s in 32 bits", was.Name)
			s.spoil(func(p *program.Fixed) { p.Inputs[i].LSB = twice(was.LSB) }, nil, "twice the lsb of input %s", was.Name)
		}
		if s.refused < 8*len(z.States) || s.accepted > s.refused/10 {
			s.Errorf("%d refused, %d accepted", s.refused, s.accepted)
		}
	})
}

func (s *subject) state(i int, was program.FixedState) {
	ops := s.unit.Integer.Ops
	for _, d := range []int64{-1, 1} {
		s.spoil(func(p *program.Fixed) { p.States[i].Start = plus(was.Start, d) }, nil, "start of %s by %d", was.Name, d)
		s.spoil(func(p *program.Fixed) { p.States[i].Real += int(d) }, nil, "%s stands for state %d", was.Name, was.Real+int(d))
		for what, get := range map[string]func(*program.FixedState) *program.ID{
			"next":   func(s *program.FixedState) *program.ID { return &s.Next },
			"enable": func(s *program.FixedState) *program.ID { return &s.Enable },
			"reset":  func(s *program.FixedState) *program.ID { return &s.Reset },
			"value":  func(s *program.FixedState) *program.ID { return &s.ResetTo }} {
			at := *get(&was)
			if at == program.None {
				continue
			}
			s.spoil(func(p *program.Fixed) { *get(&p.States[i]) += program.ID(d) }, func() bool { return s.same(at, at+program.ID(d)) }, "%s of %s by %d", what, was.Name, d)
			s.spoil(func(p *program.Fixed) { *get(&p.States[i]) = program.None }, nil, "no %s for %s", what, was.Name)
		}
	}
	for a := range ops { // another condition, or a condition where there was none
		if ops[a].Bool && was.Enable == program.None {
			s.spoil(func(p *program.Fixed) { p.States[i].Enable = program.ID(a) }, nil, "%s enabled by %s", was.Name, ops[a].Name)
			break
		}
	}
	s.spoil(func(p *program.Fixed) { p.States[i].LSB = twice(was.LSB) }, nil, "twice the lsb of %s", was.Name)
	s.spoil(func(p *program.Fixed) { p.States[i].Lo++ }, nil, "low end of %s", was.Name)
	s.spoil(func(p *program.Fixed) { p.States[i].Hi-- }, nil, "high end of %s", was.Name)
	s.spoil(func(p *program.Fixed) { p.States[i].Section++ }, nil, "section of %s", was.Name)
	if t, ok := narrower[was.Type]; ok {
		lo, hi := t.Range()
		s.spoil(func(p *program.Fixed) { p.States[i].Type = t }, func() bool { return interval.Ints(lo, hi).Holds(s.unit.Certificate.States[i]) }, "%s in %d bits", was.Name, t.Bits())
	}
}

func (s *subject) coefficient(i int, was program.FixedCoef) {
	s.spoil(func(p *program.Fixed) { p.Coefs[i].LSB = twice(was.LSB) }, nil, "twice the lsb of %s", was.Name)
	s.spoil(func(p *program.Fixed) { p.Coefs[i].Gain++ }, nil, "another gain for %s", was.Name)
	ends := func(s program.Setter) [2]int64 { return [2]int64{s.Apply(s.XLo), s.Apply(s.XHi)} }
	for what, change := range map[string]func(s *program.Setter){
		"multiplier of": func(s *program.Setter) { s.M += s.M / 1000 },
		"shift of":      func(s *program.Setter) { s.Shift-- },
		"high end of":   func(s *program.Setter) { s.XHi += s.XHi / 100 },
		"low end of":    func(s *program.Setter) { s.XLo -= 1 + s.XHi/100 },
		"start of":      func(s *program.Setter) { s.XStart = s.XHi + 1 },
		"overflow in":   func(s *program.Setter) { s.M, s.Shift = 1<<40, 50 },
	} {
		setter := was.Setter
		change(&setter)
		s.spoil(func(p *program.Fixed) { p.Coefs[i].Setter = setter }, func() bool { return ends(setter) == ends(was.Setter) && setter.M == was.Setter.M }, "%s the setter of %s", what, was.Name)
	}
	if t, ok := narrower[was.Type]; ok {
		s.spoil(func(p *program.Fixed) { p.Coefs[i].Type = t }, nil, "%s in %d bits", was.Name, t.Bits())
	}
}
