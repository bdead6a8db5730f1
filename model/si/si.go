// Package si brings quantities from the units that people write to SI units, and refuses
// those that measure something else.
//
// A unit is a product of names with powers, then quotients: kg.m^2, N.m/A, deg/s, 1/s. Angles
// count in radians and temperatures in kelvins; g stands for grams, but for the acceleration of
// gravity where an acceleration is wanted. A unit that is not known here, such as duty, measures
// only itself.
package si

import (
	"math"
	"strconv"
	"strings"
)

// Gravity is the standard acceleration of gravity in m/s^2 (exact, 3rd CGPM 1901).
const Gravity = 9.80665

// dimension holds the powers of kg, m, s, A, K and rad.
type dimension [6]int

const (
	kilogram = iota
	metre
	second
	ampere
	kelvin
	radian
)

type unit struct {
	dim    dimension
	factor float64
	prefix bool // takes k, m, u and M
}

var names = map[string]unit{
	"g":       {dimension{kilogram: 1}, 1e-3, true},
	"m":       {dimension{metre: 1}, 1, true},
	"s":       {dimension{second: 1}, 1, true},
	"min":     {dimension{second: 1}, 60, false},
	"h":       {dimension{second: 1}, 3600, false},
	"A":       {dimension{ampere: 1}, 1, true},
	"K":       {dimension{kelvin: 1}, 1, true},
	"degC":    {dimension{kelvin: 1}, 1, false},
	"rad":     {dimension{radian: 1}, 1, true},
	"deg":     {dimension{radian: 1}, math.Pi / 180, false},
	"turn":    {dimension{radian: 1}, 2 * math.Pi, false},
	"rpm":     {dimension{second: -1, radian: 1}, 2 * math.Pi / 60, false},
	"Hz":      {dimension{second: -1}, 1, true},
	"N":       {dimension{kilogram: 1, metre: 1, second: -2}, 1, true},
	"J":       {dimension{kilogram: 1, metre: 2, second: -2}, 1, true},
	"W":       {dimension{kilogram: 1, metre: 2, second: -3}, 1, true},
	"V":       {dimension{kilogram: 1, metre: 2, second: -3, ampere: -1}, 1, true},
	"Ohm":     {dimension{kilogram: 1, metre: 2, second: -3, ampere: -2}, 1, true},
	"H":       {dimension{kilogram: 1, metre: 2, second: -2, ampere: -2}, 1, true},
	"Pa":      {dimension{kilogram: 1, metre: -1, second: -2}, 1, true},
	"bar":     {dimension{kilogram: 1, metre: -1, second: -2}, 1e5, true},
	"Ah":      {dimension{second: 1, ampere: 1}, 3600, true},
	"Wh":      {dimension{kilogram: 1, metre: 2, second: -2}, 3600, true},
	"%":       {dimension{}, 0.01, false},
	"percent": {dimension{}, 0.01, false},
	"":        {dimension{}, 1, false},
}

var prefixes = map[string]float64{"k": 1e3, "m": 1e-3, "u": 1e-6, "M": 1e6, "c": 1e-2}

func lookUp(name string) (unit, bool) {
	if u, ok := names[name]; ok {
		return u, true
	}
	if len(name) < 2 {
		return unit{}, false
	}
	u, known := names[name[1:]]
	p, ok := prefixes[name[:1]]
	if !known || !ok || !u.prefix || name[:1] == "c" && name != "cm" {
		return unit{}, false
	}
	u.factor *= p
	return u, true
}

// Known tells whether a text is a unit that measures something known here.
func Known(text string) bool {
	_, ok := parse(text)
	return ok
}

// parse reads a unit.
func parse(text string) (unit, bool) {
	out := unit{factor: 1}
	sign := 1
	for i, part := range strings.Split(text, "/") {
		if i > 0 {
			sign = -1
		}
		for _, atom := range strings.Split(part, ".") {
			if i == 0 && atom == "1" {
				continue
			}
			name, n, ok := raised(atom)
			u, known := lookUp(name)
			if !ok || !known {
				return unit{}, false
			}
			for d := range out.dim {
				out.dim[d] += sign * n * u.dim[d]
			}
			out.factor *= math.Pow(u.factor, float64(sign*n))
		}
	}
	return out, true
}

// raised reads a name with or without a power behind it.
func raised(atom string) (name string, power int, ok bool) {
	name, digits, has := strings.Cut(atom, "^")
	if !has {
		return name, 1, true
	}
	power, err := strconv.Atoi(digits)
	return name, power, err == nil && power >= 1 && power <= 9
}

var acceleration = dimension{metre: 1, second: -2}

// Factor tells by what a number in the unit from is multiplied to stand in the unit to; ok is false where
// the two measure different things. A radian may be left out or added inside a larger unit (N.m.s/rad
// is N.m.s), but not where an angle or its rate is wanted. A difference of temperatures in
// K is no temperature in degC.
func Factor(from, to string) (factor float64, ok bool) {
	if from == to {
		return 1, true
	}
	t, ok := parse(to)
	if !ok || to == "degC" {
		return 0, false
	}
	f, ok := parse(from)
	if !ok {
		return 0, false
	}
	if from == "g" && t.dim == acceleration {
		return Gravity / t.factor, true
	}
	a, b := f.dim, t.dim
	if b[radian] == 0 {
		a[radian] = 0
	}
	if a != b {
		return 0, false
	}
	return f.factor / t.factor, true
}

// Difference is the unit of a difference of two values in the given unit.
func Difference(of string) string {
	if of == "degC" {
		return "K"
	}
	return of
}
