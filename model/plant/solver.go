package plant

import "math"

// solver takes a powered model through time by steps whose errors it watches. It looks for events inside each step: there it
// stops, lets the model settle, and goes on. Where the explicit steps get too many, it takes exponential ones.
type solver struct {
	p         *powered
	tolerance float64 // of the error of a step, as a part of the largest value that the state had
	most      float64 // longest step in seconds

	explicit *dormandPrince
	stiff    *exponential // in use
	spare    *exponential
	known    bool    // explicit.k[0] is the rate at the state
	usual    float64 // length of a step that is right
	reach    float64 // of the explicit step tried last, where many were made

	clock float64 // seconds from the beginning of the piece to the state
	open  float64 // length of the step from there that was tried and is good; 0: none
	event bool    // it ends in an event
	last  bool    // it ends at the goal
	goal  float64
	volts float64 // of the battery at its end

	size     []float64
	guards   []float64
	probe    []float64
	lowest   float64 // of the battery's voltage, since it was looked at
	strained int     // pieces whose steps or events were too many for the tolerance to be kept
}

const (
	manySteps  = 300  // explicit steps in a piece after which exponential ones are taken where a pole holds the steps down,
	tooMany    = 4000 // and in any case
	mostSteps  = 800  // exponential steps in a piece; then the rest is taken in one, whatever its error
	mostReach  = 2    // of a step that its error holds down, and not a pole
	mostEvents = 200  // in a piece; then guards are not looked at
	calm       = 600  // a piece with poles of fewer time constants is none for exponential steps
)

func newSolver(p *powered, tolerance, most float64) *solver {
	n := p.order()
	return &solver{p: p, tolerance: tolerance, most: most, explicit: newDormandPrince(p.rate, n), spare: newExponential(p.rate, n), usual: math.Inf(1),
		size: make([]float64, n), guards: make([]float64, p.guards), probe: make([]float64, n), lowest: math.Inf(1)}
}

// isMode tells which entries of the state are modes.
func (s *solver) isMode(i int) bool { return i >= s.p.states-s.p.modes && i < s.p.states }

// start makes the rate at x known.
func (s *solver) start(x []float64) {
	if !s.known {
		s.p.rate(s.explicit.k[0], x)
		s.known = true
		s.lowest = min(s.lowest, s.p.volts)
	}
}

// begin starts a piece: the inputs or the state were changed from outside.
func (s *solver) begin(x []float64) {
	s.p.settle(x)
	s.known, s.clock, s.open, s.event = false, 0, 0, false
}

// run makes steps until they cover a time, in seconds from the beginning of the piece. The last may go on beyond it, up to
// the horizon: it stays open, and x where it began. passed is called for each step before it is closed.
func (s *solver) run(x []float64, until, horizon float64, passed func(x []float64, from, h float64)) {
	steps, events := 0, 0
	for {
		if s.open > 0 {
			if s.clock+s.open > until {
				return
			}
			passed(x, s.clock, s.open)
			s.close(x)
		}
		if s.clock >= until {
			return
		}
		for !s.step(x, horizon, &steps, &events) {
		}
	}
}

// step tries one step and tells whether it is good enough to stay.
func (s *solver) step(x []float64, horizon float64, steps, events *int) bool {
	*steps++
	if s.stiff == nil && (*steps > tooMany || *steps > manySteps && s.reach > mostReach) {
		s.stiff, *steps = s.spare, 2
	}
	forced := s.stiff != nil && *steps >= mostSteps
	if forced && *steps == mostSteps {
		s.strained++
	}
	rest := horizon - s.clock
	h := s.length(rest, *steps)
	off := s.try(x, h, rest, *steps)
	if s.stiff == nil && *steps >= manySteps {
		s.reach = s.explicit.reach(s.size, 0.1*s.tolerance)
	}
	if off > 1 && !forced && h > 1e-12*rest {
		s.usual = h * max(0.2, growth(off))
		return false
	}
	if next := h * growth(off); next > s.usual || h >= s.usual {
		s.usual = next
	}
	if s.p.guards > 0 && *events < mostEvents {
		if theta := s.firstEvent(x); theta < 1 {
			if *events++; *events == mostEvents {
				s.strained++
			}
			h, s.event = s.cut(x, h*theta, h, rest, *steps), true
			*steps--
		}
	}
	s.open, s.volts, s.last = h, s.p.volts, h == rest
	if s.last {
		s.goal = horizon
	}
	return true
}

// close makes the end of the open step the state.
func (s *solver) close(x []float64) {
	copy(x, s.end())
	s.lowest = min(s.lowest, s.volts)
	s.grow(x)
	if s.clock += s.open; s.last {
		s.clock = s.goal
	}
	s.open = 0
	if s.known = s.stiff == nil && !s.event; s.known {
		s.explicit.k[0], s.explicit.k[6] = s.explicit.k[6], s.explicit.k[0]
	}
	if s.event {
		s.p.settle(x)
		s.event = false
	}
}

// cutAt makes the open step end at a time, at which the inputs change.
func (s *solver) cutAt(x []float64, at float64) {
	if s.open == 0 || at >= s.clock+s.open {
		return
	}
	if s.event = false; at > s.clock {
		s.open, s.last = at-s.clock, false
		s.try(x, s.open, s.open, 2)
		s.volts = s.p.volts
		s.close(x)
	}
	s.open = 0
}

// at writes the state at a time that the steps cover, where it is not that of x.
func (s *solver) at(out, x []float64, seconds float64) bool {
	if s.open == 0 || seconds <= s.clock {
		return false
	}
	s.within(out, x, (seconds-s.clock)/s.open)
	return true
}

// growth is by what the next step may be longer, after one with an error of off times the tolerance.
func growth(off float64) float64 {
	if off < 1e-4 {
		return 5
	}
	return 0.9 * math.Pow(off, -0.2)
}

// length is that of the next step: an even part of what is left.
func (s *solver) length(rest float64, steps int) float64 {
	h := min(s.usual, s.most)
	if s.stiff != nil && steps >= mostSteps {
		return rest
	}
	if s.stiff != nil && s.p.guards > 0 && steps < 4 {
		h = min(h, rest/4)
	}
	if n := math.Ceil(rest / h * (1 - 1e-9)); n > 1 {
		return rest / n
	}
	return rest
}

// try makes a step from x and tells its error over the tolerance.
func (s *solver) try(x []float64, h, seconds float64, steps int) float64 {
	if s.stiff != nil {
		s.grow(x)
		s.stiff.try(x, h, s.size, s.isMode)
		if steps == 1 && s.stiff.norm()*seconds < calm {
			s.stiff, s.known = nil, false
		}
	}
	if s.stiff == nil {
		s.start(x)
		s.explicit.try(x, h)
	}
	if s.stiff != nil {
		s.stiff.failures(s.probe)
	} else {
		s.explicit.failures(s.probe)
	}
	next := s.end()
	off, least := 0.0, s.least(next)
	for i, e := range s.probe {
		if e = max(e, -e) / max(s.size[i], next[i], -next[i], least); !(e <= off) {
			off = e
		}
	}
	off /= s.tolerance
	if math.IsNaN(off) || math.IsInf(off, 0) {
		return 1e5
	}
	return off
}

// least is what a state that is small beside the others counts as: a ten-thousandth of them. Below that its own rounding would count.
func (s *solver) least(next []float64) float64 {
	most := 1e-100
	for i := range next {
		most = max(most, s.size[i], next[i], -next[i])
	}
	return 1e-4 * most
}

// grow keeps how large each entry of the state was.
func (s *solver) grow(x []float64) {
	for i, v := range x {
		s.size[i] = max(s.size[i], v, -v)
	}
}

// within writes the state at the part theta of the step tried last, which began at x.
func (s *solver) within(out, x []float64, theta float64) {
	if s.stiff != nil {
		s.stiff.between(out, theta)
		return
	}
	s.explicit.between(out, x, theta)
}

func (s *solver) end() []float64 {
	if s.stiff != nil {
		return s.stiff.next
	}
	return s.explicit.next
}
