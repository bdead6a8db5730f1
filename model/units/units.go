// Package units solves which unit each signal of a controller has, from what is said of some and how they hang together, and multiplies units.
package units

import "strings"

// System is what is known of the units of signals, which go by their names.
type System struct {
	alike map[string]alike
	said  []said
}

// alike is another signal whose unit is the same but for per times "/s" behind it; it leads to one that stands for all of them.
type alike struct {
	to  string
	per int
}

// unit is a text and how many times "/s" stands behind it, which may be less than none.
type unit struct {
	text string
	per  int
}

type said struct {
	signal  string
	unit    unit
	written bool
}

// Relate says that the unit of a is that of b, with per times "/s" behind it.
func (s *System) Relate(a, b string, per int) {
	if s.alike == nil {
		s.alike = map[string]alike{}
	}
	first, more := s.root(a)
	if last, less := s.root(b); first != last { // else a ring, of which a step tells where it is wrong
		s.alike[first] = alike{last, per + less - more}
	}
}

// Say says the unit of a signal; written tells that only a number beside it has that unit.
func (s *System) Say(signal, text string, written bool) {
	u := unit{text: text}
	for strings.HasSuffix(u.text, "/s") {
		u = unit{strings.TrimSuffix(u.text, "/s"), u.per + 1}
	}
	s.said = append(s.said, said{signal, u, written})
}

// Against is how often what keeps a from having the unit of b is said; 0: nothing does.
func (s *System) Against(a, b string) int {
	one, times := s.most(a, false)
	if other, more := s.most(b, false); one == other || len(more) == 0 {
		return 0
	}
	return times[one]
}

// root is the signal that stands for all that hang together with a, and how many times "/s" stands behind its unit in that of a.
func (s *System) root(a string) (root string, per int) {
	for up, more := s.alike[a]; more; up, more = s.alike[a] {
		a, per = up.to, per+up.per
	}
	return a, per
}

// Of is the unit of a signal: the one that is said most often, of several the one that was so first. What is written counts where nothing else is
// said, and nothing said is no unit. So what contradicts the rest is found where it stands. sure tells that nothing of
// what counts says another.
func (s *System) Of(signal string) (text string, sure bool) {
	found, times := s.most(signal, false)
	if len(times) == 0 {
		found, times = s.most(signal, true)
	}
	return found.text + strings.Repeat("/s", max(found.per, 0)), len(times) == 1 && found.per >= 0
}

// most is the unit that is said of a signal most often, or written, and how often each is.
func (s *System) most(signal string, written bool) (found unit, times map[unit]int) {
	root, per := s.root(signal)
	times = map[unit]int{}
	for _, x := range s.said {
		if at, k := s.root(x.signal); at == root && x.written == written {
			u := unit{x.unit.text, x.unit.per - k + per}
			if times[u]++; times[u] > times[found] || len(times) == 1 {
				found = u
			}
		}
	}
	return found, times
}
