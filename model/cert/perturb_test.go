package cert_test

import (
	"fmt"
	"math/big"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"gainwright/model"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// subject is a compiled starter whose certificate the checker accepts.
type subject struct {
	*testing.T
	unit              *model.Unit
	refused, accepted int
}

// compiled is each starter, compiled once for all tests; none of them changes it.
var compiled sync.Map

func compile(t *testing.T, file string) *model.Unit {
	once, _ := compiled.LoadOrStore(file, sync.OnceValues(func() (*model.Unit, error) {
		src, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		return model.Compile(filepath.Base(file), src), nil
	}))
	u, err := once.(func() (*model.Unit, error))()
	if err != nil || !u.OK() {
		t.Fatalf("not compiled: %v", err)
	}
	return u
}

// starters calls f with every starter.
func starters(t *testing.T, f func(s *subject)) {
	files, err := filepath.Glob("../../templates/starters/*.yaml")
	if err != nil || len(files) < 3 {
		t.Fatalf("%d starters found: %v", len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			t.Parallel()
			u := compile(t, file)
			if err := cert.Check(u.Stored, u.Integer, u.Certificate); err != nil {
				t.Fatal(err)
			}
			s := &subject{T: t, unit: u}
			f(s)
			t.Logf("%d refused, %d accepted for a reason checked", s.refused, s.accepted)
		})
	}
}

// try has a spoilt program and certificate checked. holds is asked of what is accepted: whether the claim is still true.
func (s *subject) try(p *program.Fixed, c *cert.Certificate, holds func() bool, what string, args ...any) {
	s.Helper()
	switch {
	case cert.Check(s.unit.Stored, p, c) != nil:
		s.refused++
	case holds != nil && holds():
		s.accepted++
	default:
		s.Errorf("accepted: "+what, args...)
	}
}

// copyOf is a certificate whose claims can be changed.
func copyOf(c *cert.Certificate) *cert.Certificate {
	d := *c
	d.States = append([]interval.Range(nil), c.States...)
	d.Ops = append([]interval.Range(nil), c.Ops...)
	for _, e := range []*cert.Errors{&d.Local, &d.Chain} {
		e.States = append([]*interval.Range(nil), e.States...)
		e.Signals = append([][]*interval.Range(nil), e.Signals...)
		for i := range e.Signals {
			e.Signals[i] = append([]*interval.Range(nil), e.Signals[i]...)
		}
	}
	return &d
}

// tighter moves one end of a range inward.
func tighter(r interval.Range, high bool, by *big.Rat) interval.Range {
	if high {
		return interval.Range{Lo: r.Lo, Hi: new(big.Rat).Sub(r.Hi, by)}
	}
	return interval.Range{Lo: new(big.Rat).Add(r.Lo, by), Hi: r.Hi}
}

// TestTighterRangeRefused: each end of each range, drawn in by a count (an operation) or a thousandth and two
// counts (a state), is refused.
func TestTighterRangeRefused(t *testing.T) {
	starters(t, func(s *subject) {
		u := s.unit
		for _, high := range []bool{false, true} {
			for i, op := range u.Integer.Ops {
				c := copyOf(u.Certificate)
				c.Ops[i] = tighter(c.Ops[i], high, big.NewRat(1, 1))
				s.try(u.Integer, c, nil, "value %s in %v, high %v", op.Name, c.Ops[i], high)
			}
			for i, st := range u.Integer.States {
				c := copyOf(u.Certificate)
				by := big.NewRat(1, 1)
				if width := new(big.Rat).Sub(c.States[i].Hi, c.States[i].Lo); width.Cmp(big.NewRat(2, 1)) > 0 {
					by = new(big.Rat).Add(big.NewRat(2, 1), width.Mul(width, big.NewRat(1, 1000)))
				}
				c.States[i] = tighter(c.States[i], high, by)
				s.try(u.Integer, c, nil, "state %s in %v, high %v", st.Name, c.States[i], high)
			}
		}
		if want := 2 * (len(u.Integer.Ops) + len(u.Integer.States)); s.refused != want {
			s.Errorf("%d of %d were refused", s.refused, want)
		}
	})
}

// TestTighterRoundingRefused: each end of each claim about rounding, drawn in by a hundredth, or by half a count where
// it is 0, is refused; so is any claim where none could be made.
func TestTighterRoundingRefused(t *testing.T) {
	starters(t, func(s *subject) {
		u := s.unit
		each := func(what string, lsb *big.Rat, get func(c *cert.Certificate) **interval.Range) {
			was := *get(u.Certificate)
			for _, high := range []bool{false, true} {
				c := copyOf(u.Certificate)
				half := new(big.Rat).Mul(lsb, big.NewRat(1, 2))
				claim := interval.Range{Lo: new(big.Rat).Neg(half), Hi: half}
				if was != nil {
					end := map[bool]*big.Rat{false: was.Lo, true: was.Hi}[high]
					by := new(big.Rat).Mul(new(big.Rat).Abs(end), big.NewRat(1, 100))
					if by.Sign() == 0 {
						by = half
					}
					claim = tighter(*was, high, by)
				}
				*get(c) = &claim
				s.try(u.Integer, c, nil, "%s in %v, high %v, was %v", what, claim, high, was)
			}
		}
		for chain, errors := range map[string]func(c *cert.Certificate) *cert.Errors{
			"local": func(c *cert.Certificate) *cert.Errors { return &c.Local },
			"chain": func(c *cert.Certificate) *cert.Errors { return &c.Chain }} {
			for n, st := range u.Integer.States {
				each(fmt.Sprintf("%s rounding of state %s", chain, st.Name), st.LSB, func(c *cert.Certificate) **interval.Range { return &errors(c).States[n] })
			}
			for i, sec := range u.Integer.Sections {
				for j, sig := range sec.Signals {
					each(fmt.Sprintf("%s rounding of signal %s", chain, sig.Name), u.Integer.Ops[sig.Value].LSB, func(c *cert.Certificate) **interval.Range { return &errors(c).Signals[i][j] })
				}
			}
		}
		if s.refused < 4*len(u.Integer.States) {
			s.Errorf("%d were refused", s.refused)
		}
	})
}
