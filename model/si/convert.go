package si

import (
	"math"
	"strings"
)

// scales are those of temperatures: a value x stands for (x + offset)*factor kelvins. A degree of Fahrenheit is 5/9 K.
var scales = map[string]struct{ offset, factor float64 }{
	"K":    {0, 1},
	"degC": {273.15, 1},
	"degF": {459.67, 5.0 / 9},
}

// Value brings a value to another unit; ok is false where the two measure different things, or where it is not known what
// they measure. Temperatures are moved by the zeros of their scales.
func Value(x float64, from, to string) (y float64, ok bool) {
	f, isTemperature := scales[from]
	if t, other := scales[to]; isTemperature && other {
		return (x+f.offset)*f.factor/t.factor - t.offset, true
	}
	return Change(x, from, to)
}

// Change brings a difference, a rate or a gain to another unit: degrees of temperature are steps there, whatever their zero.
// Units such as duty, of which only the name is known, cancel against themselves. A bare g as the unit wanted is refused:
// it may be of mass or of acceleration.
func Change(x float64, from, to string) (y float64, ok bool) {
	if from == to {
		return x, true
	}
	f, known := parseAll(from)
	t, alike := parseAll(to)
	if !known || !alike || f.dim != t.dim || len(f.others) != len(t.others) || t.grams {
		return 0, false
	}
	for name, power := range f.others {
		if t.others[name] != power {
			return 0, false
		}
	}
	return x * f.factor / t.factor, true
}

// gainUnit is a unit that may hold others of which only the name is known.
type gainUnit struct {
	unit
	others map[string]int
	grams  bool
}

// parseAll reads a unit as parse does, and one times seconds behind it, as gains of derivatives have.
func parseAll(text string) (gainUnit, bool) {
	out := gainUnit{others: map[string]int{}}
	text, times := strings.CutSuffix(text, "*s")
	var kept []string
	fahrenheit := 1.0
	for i, part := range strings.Split(text, "/") {
		var atoms []string
		for _, atom := range strings.Split(part, ".") {
			name, power, ok := raised(atom)
			if !ok {
				return out, false
			}
			out.grams = out.grams || name == "g"
			if _, known := lookUp(name); known || i == 0 && atom == "1" {
				atoms = append(atoms, atom)
				continue
			}
			if i > 0 {
				power = -power
			}
			if name == "degF" { // its steps; package si reads no values in it
				out.dim[kelvin] += power
				fahrenheit *= math.Pow(scales[name].factor, float64(power))
				continue
			}
			if out.others[name] += power; out.others[name] == 0 {
				delete(out.others, name)
			}
		}
		switch {
		case len(atoms) > 0:
			kept = append(kept, strings.Join(atoms, "."))
		case i == 0:
			kept = append(kept, "1")
		}
	}
	u, ok := parse(strings.Join(kept, "/"))
	for d := range u.dim {
		out.dim[d] += u.dim[d]
	}
	if times {
		out.dim[second]++
	}
	out.factor = u.factor * fahrenheit
	return out, ok
}
