package program

// Belief is what a controller believes of a raw reading. One that it does not believe stops it, at times until it is reset or starts anew:
// inputs that are made up for tests must keep to it for a while, or nothing behind is tested.
type Belief struct {
	Input  int
	Lo, Hi int64  // counts
	Step   int64  // the largest change in a tick, in counts; 0: any
	Moves  bool   // a reading that stands still is not believed for ever
	Last   string // the state that holds the last one; empty: none does
}

// Next is the reading nearest to want that can be believed after the last one; first tells that there was none.
func (b Belief) Next(first bool, last, want int64) int64 {
	v := min(max(want, b.Lo), b.Hi)
	if first || last < b.Lo || last > b.Hi {
		return v
	}
	if b.Step > 0 {
		v = min(max(v, last-b.Step), last+b.Step)
	}
	if b.Moves && v == last {
		if v++; v > b.Hi {
			v -= 2
		}
	}
	return v
}

// Believe turns raw readings into such as the program believes after the last ones; nil: there were none.
func (p *Frame) Believe(last, raw []int64) {
	for _, b := range p.Beliefs {
		before := int64(0)
		if last != nil {
			before = last[b.Input]
		}
		raw[b.Input] = b.Next(last == nil, before, raw[b.Input])
	}
}
