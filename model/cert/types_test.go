package cert_test

import (
	"strings"
	"testing"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// TestUnsignedRefused: a value or state that would fit an unsigned type may not have one, unless it is a raw input.
func TestUnsignedRefused(t *testing.T) {
	starters(t, func(s *subject) {
		u, tried := s.unit, 0
		for _, unsigned := range []program.Type{program.U8, program.U16} {
			lo, hi := unsigned.Range()
			fits := interval.Ints(lo, hi)
			try := func(name string, spoil func(p *program.Fixed)) {
				tried++
				p := u.Integer.Clone()
				spoil(p)
				if err := cert.Check(u.Stored, p, u.Certificate); err == nil || !strings.Contains(err.Error(), "only raw inputs") {
					s.Errorf("%s unsigned: %v", name, err)
				}
			}
			for i, op := range u.Integer.Ops {
				if op.Kind != program.Input && fits.Holds(u.Certificate.Ops[i]) {
					try(op.Name, func(p *program.Fixed) { p.Ops[i].Type = unsigned })
				}
			}
			for i, st := range u.Integer.States {
				if fits.Holds(u.Certificate.States[i]) {
					try(st.Name, func(p *program.Fixed) { p.States[i].Type = unsigned })
				}
			}
		}
		if tried == 0 {
			s.Error("nothing would fit")
		}
	})
}
