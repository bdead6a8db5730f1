// Package witness looks for input sequences that come close to a proven bound, and runs them bit-exactly: a
// bound that a sequence nearly reaches is not loose. A witness proves nothing beyond what it shows.
package witness

import (
	"math"

	"gainwright/model/cert"
	"gainwright/model/program"
)

// Witness is the closest that the search came to one bound.
type Witness struct {
	Signal  string
	Unit    string
	What    string  // highest, lowest or rounding
	Bound   float64 // proven, in units
	Reached float64 // by the sequence, in units
	Share   float64 // of the bound, 0 to 1; of the way from the other end where the range does not go beyond 0 there
	Ticks   int     // of the sequence up to the place
	How     string  // how the sequence was made
}

// horizon is how many ticks a sequence has: enough for filters with time constants of some hundred ticks.
const horizon = 1200

// run is one sequence: an input vector for each tick, in raw counts.
type run struct {
	how    string
	inputs [][]int64
}

// search holds what all sequences found so far came to.
type search struct {
	stored    *program.Real
	integer   *program.Fixed
	c         *cert.Certificate
	machine   *program.FixedMachine
	real      *program.RealMachine
	coefs     []int64
	realCoefs []float64
	signals   []signal
	fed       []float64
	tried     bool
}

// gains puts the live coefficients where a setting of each leads.
func (s *search) gains(setting func(program.Setter) int64) {
	s.coefs, s.realCoefs = nil, nil
	for _, co := range s.integer.Coefs {
		k := co.Setter.Apply(setting(co.Setter))
		lsb, _ := co.LSB.Float64()
		s.coefs, s.realCoefs = append(s.coefs, k), append(s.realCoefs, float64(k)*lsb)
	}
}

// signal is a number that sections hand on, with the extremes seen.
type signal struct {
	section, index int
	value, real    program.ID
	lsb            float64
	turn           float64 // of the circle around which rounding is taken; 0: on a line
	sign           float64 // -1 for an output whose raw count is turned round
	high, low, off Witness
}

// Find searches from a seed; the same seed finds the same.
func Find(stored *program.Real, integer *program.Fixed, c *cert.Certificate, seed uint64) []Witness {
	s := &search{stored: stored, integer: integer, c: c, machine: program.NewFixedMachine(integer), real: program.NewRealMachine(stored), fed: make([]float64, len(stored.Ops))}
	s.collect()
	// The bounds hold for every live gain in its range: the ends are tried besides the values at start.
	for _, setting := range []func(program.Setter) int64{
		func(t program.Setter) int64 { return t.XStart },
		func(t program.Setter) int64 { return t.XHi },
		func(t program.Setter) int64 { return t.XLo },
	} {
		if s.gains(setting); len(integer.Coefs) == 0 && s.tried {
			break
		}
		for _, r := range append(corners(integer), restless(integer, seed)...) {
			s.try(r)
			if len(integer.Beliefs) > 0 {
				s.try(believed(integer, r))
			}
		}
		for _, on := range []int64{1, 0} {
			s.reversed(on)
		}
		s.adversary(seed)
		s.tried = true
	}
	var out []Witness
	for i := range s.signals {
		g := &s.signals[i]
		for _, w := range []*Witness{&g.high, &g.low, &g.off} {
			if math.IsNaN(w.Bound) {
				continue
			}
			other := 0.0
			switch {
			case w == &g.high && !(w.Bound > 0):
				other = g.low.Bound
			case w == &g.high:
				other = max(0, g.low.Bound)
			case w == &g.low && !(w.Bound < 0):
				other = g.high.Bound
			case w == &g.low:
				other = min(0, g.high.Bound)
			}
			w.Share = 1
			if w.Bound != other {
				w.Share = max(0, (w.Reached-other)/(w.Bound-other))
			}
			out = append(out, *w)
		}
	}
	return out
}

func (s *search) collect() {
	for i, sec := range s.integer.Sections {
		for j, sig := range sec.Signals {
			op := s.integer.Ops[sig.Value]
			if op.Bool || sec.Role == program.Inputs {
				continue
			}
			g := signal{section: i, index: j, value: sig.Value, real: s.stored.Sections[i].Signals[j].Value, sign: 1}
			g.lsb, _ = op.LSB.Float64()
			if turn := s.c.Local.Turns[i][j]; turn != nil {
				g.turn, _ = turn.Float64()
			} else if sig.Angular != nil { // float64 cannot tell the sides of the seam
				g.turn, _ = sig.Angular.Float64()
			}
			high, low := op.Hi, op.Lo
			for _, o := range s.integer.Outputs {
				if o.Value == sig.Value && o.Turned {
					g.sign, high, low = -1, -low, -high
				}
			}
			g.high = Witness{Signal: sig.Name, Unit: op.Unit, What: "highest", Bound: float64(high) * g.lsb, Reached: math.Inf(-1)}
			g.low = Witness{Signal: sig.Name, Unit: op.Unit, What: "lowest", Bound: float64(low) * g.lsb, Reached: math.Inf(1)}
			g.off = Witness{Signal: sig.Name, Unit: op.Unit, What: "rounding", Bound: math.NaN()}
			if r := s.c.Local.Signals[i][j]; r != nil {
				g.off.Bound, _ = r.Size().Float64()
			}
			s.signals = append(s.signals, g)
		}
	}
}

// try runs a sequence from the start and notes every extreme.
func (s *search) try(r run) {
	s.machine.Start()
	s.real.Start()
	for k, in := range r.inputs {
		s.tick(in)
		for i := range s.signals {
			g := &s.signals[i]
			x := float64(s.machine.Values[g.value]) * g.lsb
			if y := g.sign * x; y > g.high.Reached {
				g.high.Reached, g.high.Ticks, g.high.How = y, k+1, r.how
			}
			if y := g.sign * x; y < g.low.Reached {
				g.low.Reached, g.low.Ticks, g.low.How = y, k+1, r.how
			}
			off := math.Abs(x - s.real.Values[g.real])
			if g.turn > 0 {
				off = math.Abs(math.Remainder(x-s.real.Values[g.real], g.turn))
			}
			if off > g.off.Reached {
				g.off.Reached, g.off.Ticks, g.off.How = off, k+1, r.how
			}
		}
	}
}

// tick runs both programs for one tick, the real one fed with the integer one's signals.
func (s *search) tick(in []int64) {
	s.machine.Tick(in, s.coefs)
	units := make([]float64, len(in))
	for i, x := range in {
		lsb, _ := s.integer.Inputs[i].LSB.Float64()
		units[i] = float64(x) * lsb
	}
	for i, sec := range s.integer.Sections {
		for j, sig := range sec.Signals {
			lsb, _ := s.integer.Ops[sig.Value].LSB.Float64()
			s.fed[s.stored.Sections[i].Signals[j].Value] = float64(s.machine.Values[sig.Value]) * lsb
		}
	}
	s.real.Tick(units, s.realCoefs, s.fed)
}

// differences gives the forms by which roundings reach signals.
func (s *search) differences() (*cert.Differences, error) {
	d, err := cert.NewDifferences(s.stored, s.integer, s.c.Ops, false)
	if err != nil {
		return nil, err
	}
	copy(d.States, s.c.Local.States)
	d.UseLinear(s.c.Local.Taps)
	for i := range s.integer.Sections {
		d.Section(i)
	}
	return d, nil
}
