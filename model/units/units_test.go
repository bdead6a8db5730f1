package units_test

import (
	"testing"

	"gainwright/model/units"
)

// TestSolved: what is said of one signal goes to all that hang together with it, through rates in either direction.
func TestSolved(t *testing.T) {
	s := &units.System{}
	s.Relate("speed", "way", 1)
	s.Relate("jerk", "speed", 2)
	s.Relate("alike", "speed", 0)
	s.Relate("way", "jerk", -3) // a ring that agrees
	s.Relate("alone", "other", 0)
	s.Relate("sum", "rate", -1)
	s.Say("alike", "m/s", false)
	s.Say("way", "km", true)
	s.Say("rate", "V", false)
	for signal, want := range map[string]string{"way": "m", "speed": "m/s", "alike": "m/s", "jerk": "m/s/s/s", "alone": "", "nobody": "", "sum": ""} {
		got, sure := s.Of(signal)
		if got != want && signal != "sum" || sure != (want != "") {
			t.Errorf("%s is in %q (sure: %v), expected %q", signal, got, sure, want)
		}
	}
}

// TestOdd: of several units that which most say counts, and of as many the one that was so first; what is only written counts where nothing is said.
func TestOdd(t *testing.T) {
	for _, c := range []struct {
		said []string // with a dot in front: written
		want string
	}{
		{[]string{"V", "duty", "V"}, "V"}, {[]string{"duty", "V", "V"}, "V"}, {[]string{"V", "duty"}, "V"}, {[]string{"duty", "V"}, "duty"},
		{[]string{".V", ".V", "duty"}, "duty"}, {[]string{".duty", ".V", ".V"}, "V"}, {nil, ""},
	} {
		s := &units.System{}
		for _, unit := range c.said {
			written := unit[0] == '.'
			if written {
				unit = unit[1:]
			}
			s.Say("it", unit, written)
		}
		if got, sure := s.Of("it"); got != c.want || sure != (len(c.said) == 3 && c.said[0] == ".V") {
			t.Errorf("%v: %q (sure: %v), expected %q", c.said, got, sure, c.want)
		}
	}
}
