package program

// Clock says at which ticks a section runs. At the others it is passed over: its values are what they were in its last run, and its states do not
// change. At the first tick every section runs.
type Clock struct {
	Every int // ticks from one run to the next, at least 2; 0: it runs at each tick
	Phase int // the runs after the first tick are at those ticks, counted from 0, that leave this remainder; from 0 to Every-1
}

// Runs tells whether a section runs at a tick, counted from 0 since the start or the last restart.
func (c Clock) Runs(tick int) bool { return c.Every == 0 || tick == 0 || tick%c.Every == c.Phase }

// Ticks is how many ticks lie between two runs.
func (c Clock) Ticks() int { return max(1, c.Every) }

// Valid tells whether c is a clock: there is one way to say each.
func (c Clock) Valid() bool {
	return c == Clock{} || c.Every >= 2 && c.Phase >= 0 && c.Phase < c.Every
}

// Sees tells whether what runs by c meets each value of what runs by other, at whatever phase: none is gone before it has run.
func (c Clock) Sees(other Clock) bool { return c == other || c.Ticks() <= other.Ticks() }

// At is the clock of a section. What stands in none runs at each tick.
func (f *Frame) At(section int) Clock {
	if section < 0 || section >= len(f.Sections) {
		return Clock{}
	}
	return f.Sections[section].Clock
}

// ClockOf is the clock that an operation is computed by.
func (p View) ClockOf(id ID) Clock { return p.At(p.Ops[id].Section) }

// ClockOf is the clock that an operation is computed by.
func (p *Real) ClockOf(id ID) Clock { return p.At(p.Ops[id].Section) }

// ClockOf is the clock that an operation is computed by.
func (p *Fixed) ClockOf(id ID) Clock { return p.At(p.Ops[id].Section) }

// stretch is operations that run at the same ticks.
type stretch struct {
	Span
	Clock
}

// stretches cuts the operations of a program where the clock changes.
func (p View) stretches() (out []stretch) {
	for i := range p.Ops {
		if n := len(out) - 1; n >= 0 && out[n].Clock == p.ClockOf(ID(i)) {
			out[n].End = i + 1
			continue
		}
		out = append(out, stretch{Span{i, i + 1}, p.ClockOf(ID(i))})
	}
	return out
}
