package gen

import (
	"fmt"
	"maps"
	"slices"
)

// Change is a value that is stored otherwise than before.
type Change struct {
	Name     string // signal tilt, state tilt_state
	Was, Now string
}

func (c Change) String() string { return fmt.Sprintf("%s: %s -> %s", c.Name, c.Was, c.Now) }

// FormatChanges lists the signals, states and live gains whose format or type differs between two records, those
// that are new and those that are gone.
func FormatChanges(before, after *Record) []Change {
	return changes(before, after, func(s Stored) string { return s.Notation + " in " + s.Type })
}

// RangeChanges lists those of the same format whose certified range differs.
func RangeChanges(before, after *Record) []Change {
	var out []Change
	moved := map[string]bool{}
	for _, c := range FormatChanges(before, after) {
		moved[c.Name] = true
	}
	for _, c := range changes(before, after, func(s Stored) string { return fmt.Sprintf("[%d, %d] counts", s.LowCount, s.HiCount) }) {
		if !moved[c.Name] {
			out = append(out, c)
		}
	}
	return out
}

func changes(before, after *Record, show func(Stored) string) []Change {
	out := compare("signal ", before.Signals, after.Signals, show)
	out = append(out, compare("state ", before.States, after.States, show)...)
	return append(out, compare("gain ", before.Gains, after.Gains, show)...)
}

func compare(what string, before, after []Stored, show func(Stored) string) []Change {
	var out []Change
	old := map[string]Stored{}
	for _, s := range before {
		old[s.Name] = s
	}
	for _, s := range after {
		was, known := old[s.Name]
		delete(old, s.Name)
		switch {
		case !known:
			out = append(out, Change{what + s.Name, "none", show(s)})
		case show(was) != show(s):
			out = append(out, Change{what + s.Name, show(was), show(s)})
		}
	}
	for _, s := range before {
		if _, gone := old[s.Name]; gone {
			out = append(out, Change{what + s.Name, show(s), "gone"})
		}
	}
	return out
}

// CountChange is a setter of which one count would no longer mean what it meant.
type CountChange struct{ Key, Was, Now string }

func (c CountChange) String() string {
	return fmt.Sprintf("setter of %s: one count was %s and is %s", c.Key, c.Was, c.Now)
}

// CountChanges lists the setters, by the key of their gain, whose count differs between two records. A record of a
// version that did not note it says nothing.
func CountChanges(before, after *Record) []CountChange {
	var out []CountChange
	for _, key := range slices.Sorted(maps.Keys(after.Setters)) {
		if was, known := before.Setters[key]; known && was != after.Setters[key] {
			out = append(out, CountChange{key, was, after.Setters[key]})
		}
	}
	return out
}
