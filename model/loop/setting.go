package loop

import (
	"cmp"
	"slices"

	"gainwright/model/program"
	"gainwright/model/simulate"
)

// A controller is another one for each position of its switches. A scenario that has a loop switched off for most of its time must not hide
// that loop, so the positions that count are those in which most is switched on.

const (
	leastTicks   = 10 // that a position of the switches lasts, to count
	mostSettings = 16
)

// setting is how the switches of the controller stand for some time of a scenario.
type setting struct {
	raw     []int64 // all inputs at rest; switches as they stand
	seconds float64 // in all, since the release
	on      []int   // sections that are enabled
}

// settings are those of the scenario that last, without those in which less is switched on than in another one; the longest first. Where nothing
// is on for as long, the short ones count too. There is one at least.
func (s *System) settings(raw []int64) []setting {
	all := s.standing(raw)
	var lasting []setting
	for i := range all {
		all[i].on = s.enabled(all[i].raw)
		if all[i].seconds >= leastTicks*s.period()-1e-9 {
			lasting = append(lasting, all[i])
		}
	}
	if slices.ContainsFunc(lasting, func(p setting) bool { return len(p.on) > 0 }) {
		all = lasting
	}
	var out []setting
	for _, p := range all {
		if !slices.ContainsFunc(all, func(q setting) bool { return len(q.on) > len(p.on) && within(p.on, q.on) }) {
			out = append(out, p)
		}
	}
	return out[:min(len(out), mostSettings)]
}

// idle names the controllers that are off in the first of the settings, in which the view is taken.
func (s *System) idle(m *materials) []string {
	var out []string
	on := s.enabled(m.raw)
	for i, section := range s.Asked.Sections {
		if s.Asked.Sections[i].Switched() != program.None && !slices.Contains(on, i) {
			out = append(out, section.Name)
		}
	}
	return out
}

// standing lists the positions of the switches, the longest first.
func (s *System) standing(raw []int64) []setting {
	var switches []*simulate.SetPoint
	times := []float64{s.Scenario.HeldUntil, s.Scenario.Duration}
	for i := range s.Scenario.SetPoints {
		if p := &s.Scenario.SetPoints[i]; p.Switch {
			switches = append(switches, p)
			for _, q := range p.Points {
				if q.At > s.Scenario.HeldUntil && q.At < s.Scenario.Duration {
					times = append(times, q.At)
				}
			}
		}
	}
	slices.Sort(times)
	var out []setting
	for k := range times[:len(times)-1] {
		now := slices.Clone(raw)
		for _, p := range switches {
			now[p.Input] = int64(p.At(times[k]))
		}
		at := slices.IndexFunc(out, func(p setting) bool { return slices.Equal(p.raw, now) })
		if at < 0 {
			at, out = len(out), append(out, setting{raw: now})
		}
		out[at].seconds += times[k+1] - times[k]
	}
	slices.SortStableFunc(out, func(a, b setting) int { return cmp.Compare(b.seconds, a.seconds) })
	return out
}

// enabled lists the sections that are on once the controller has settled.
func (s *System) enabled(raw []int64) (out []int) {
	var value []float64
	for i := range s.Asked.Sections {
		if at := s.Asked.Sections[i].Switched(); at != program.None {
			if value == nil {
				value = settled(s.Asked, raw)
			}
			if value[at] != 0 {
				out = append(out, i)
			}
		}
	}
	return out
}

// within tells whether all of a are in b.
func within(a, b []int) bool {
	return !slices.ContainsFunc(a, func(x int) bool { return !slices.Contains(b, x) })
}
