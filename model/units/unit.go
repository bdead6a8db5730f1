package units

import (
	"iter"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Unit is a product of names with powers: m/s^2 is m to the first and s to the power of -2. What a name measures plays no part. The zero value is no unit.
type Unit struct{ powers map[string]int }

// Parse reads a unit as a spec writes it: kg.m^2, deg/s/s, 1/V.
func Parse(text string) Unit {
	u := Unit{map[string]int{}}
	for i, part := range strings.Split(text, "/") {
		for _, atom := range strings.Split(part, ".") {
			name, power, _ := strings.Cut(atom, "^")
			n, err := strconv.Atoi(power)
			if err != nil || n == 0 || n > mostPower {
				n = 1
				if power != "" {
					name = atom // a name of its own, whatever it says
				}
			}
			if i > 0 {
				n = -n
			}
			if name != "" && (name != "1" || i > 0) {
				u.powers[name] += n
			}
		}
	}
	return u.clean()
}

// mostPower is the largest power that is read as one.
const mostPower = 99

func (u Unit) clean() Unit {
	maps.DeleteFunc(u.powers, func(_ string, n int) bool { return n == 0 })
	return u
}

// Mul is the unit of a product.
func (u Unit) Mul(v Unit) Unit { return u.times(v, 1) }

// Quo is the unit of a quotient.
func (u Unit) Quo(v Unit) Unit { return u.times(v, -1) }

func (u Unit) times(v Unit, sign int) Unit {
	out := Unit{map[string]int{}}
	maps.Copy(out.powers, u.powers)
	for name, n := range v.powers {
		out.powers[name] += sign * n
	}
	return out.clean()
}

// Root is the unit whose square u is; ok is false where there is none.
func (u Unit) Root() (root Unit, ok bool) {
	root = Unit{map[string]int{}}
	for name, n := range u.powers {
		if n%2 != 0 {
			return root, false
		}
		root.powers[name] = n / 2
	}
	return root, true
}

// Equal tells whether two units are the same, however they are written.
func (u Unit) Equal(v Unit) bool { return maps.Equal(u.powers, v.powers) }

// Names are what the unit is made of.
func (u Unit) Names() iter.Seq[string] { return maps.Keys(u.powers) }

// None tells whether there is no unit.
func (u Unit) None() bool { return len(u.powers) == 0 }

// String writes a unit: names in alphabetical order, powers as such, what is divided by behind slashes.
func (u Unit) String() string {
	var over, under []string
	for _, name := range slices.Sorted(maps.Keys(u.powers)) {
		switch n := u.powers[name]; {
		case n == 1:
			over = append(over, name)
		case n > 1:
			over = append(over, name+"^"+strconv.Itoa(n))
		case n == -1:
			under = append(under, "/"+name)
		default:
			under = append(under, "/"+name+"^"+strconv.Itoa(-n))
		}
	}
	text := strings.Join(over, ".")
	if text == "" && len(under) > 0 {
		text = "1"
	}
	return text + strings.Join(under, "")
}
