package trial

import (
	"time"

	"gainwright/model/finding"
)

// Result is what a trial found.
type Result struct {
	Controller string
	Target     string // empty: none
	Seed       uint64
	Ticks      int
	Kinds      []Kind
	Axes       []Axes // of a log
	Speeds     []Speed
}

// Kind is what one kind of inputs led to.
type Kind struct {
	Name     string
	Declared bool // every input lies inside its declared range
	Ticks    int
	Restarts int // runs from the start, live gains too
	Again    int // times that a run was started over, live gains kept
	Settings int // ticks at which a live gain was set
	Same     Same
	Outside  int // values and states outside their certified ranges
	Signals  []Signal
	Faults   []*Fault // the first of each sort, with all values of its tick
}

// Same is how target and integer program compare.
type Same struct {
	Compared int // values
	Values   int // that differ
	Bits     int // that differ
}

// Signal is the rounding of one signal.
type Signal struct {
	Name, Unit string
	Local      Difference // to the real program fed with the integer program's signals
	Chain      Difference // to the real program fed with the raw inputs
	Asked      Difference // to the real program with the constants as the spec asks for them, fed with the raw inputs; measured where it is not claimed
}

// Difference is the largest distance between the integer and the real program, in units, with its bound.
type Difference struct {
	Claimed  bool
	Bound    float64 // proven
	Largest  float64 // seen; 0 for a chain that no bound is claimed for
	Ratio    float64 // Largest to Bound; 0 where the bound is 0
	Over     int     // ticks beyond Bound and Allowance
	Unjudged string  // why the distance is not held against the bound; empty: it is
	Turn     float64 // of the circle around which it is taken; 0: on a line
}

func (d *Difference) finish() {
	d.Ratio = 0
	if d.Bound > 0 {
		d.Ratio = d.Largest / d.Bound
	}
}

// Speed is the work of one party.
type Speed struct {
	Party string
	Ticks int
	Took  time.Duration
}

// PerSecond is ticks a second; 0 where no time was measured.
func (s Speed) PerSecond() float64 {
	if s.Took <= 0 {
		return 0
	}
	return float64(s.Ticks) / s.Took.Seconds()
}

// OK tells whether nothing was found that must not be. Axes of a log do not count: they are the user's.
func (r *Result) OK() bool {
	for _, k := range r.Kinds {
		if k.Outside > 0 || k.Same.Values > 0 {
			return false
		}
		for _, s := range k.Signals {
			if s.Local.Over > 0 || s.Chain.Over > 0 || s.Asked.Over > 0 {
				return false
			}
		}
	}
	return true
}

// Worst is the largest difference of each signal over the kinds for which keep holds.
func (r *Result) Worst(keep func(Kind) bool) []Signal {
	var out []Signal
	for _, k := range r.Kinds {
		if !keep(k) {
			continue
		}
		if out == nil {
			out = append(out, k.Signals...)
			continue
		}
		for i, s := range k.Signals {
			out[i].Local.join(s.Local)
			out[i].Chain.join(s.Chain)
			out[i].Asked.join(s.Asked)
		}
	}
	return out
}

func (d *Difference) join(e Difference) {
	d.Largest = max(d.Largest, e.Largest)
	d.Over += e.Over
	d.finish()
}

// Findings are the axes of a log that look wrong, and those that nothing can be said about.
func (r *Result) Findings() finding.List {
	var out finding.List
	for _, a := range r.Axes {
		if f := a.finding(); f != nil {
			out.Add(*f)
		}
	}
	return out
}
