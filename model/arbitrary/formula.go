package arbitrary

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	algebra "gainwright/model/units"
)

// drawFormulas adds formulas to one controller in two, each with an output of its own, and makes formulas of some of its conditions. It has
// random numbers of its own, so that what was drawn before it stays what it was.
func (d *draw) drawFormulas(seed uint64) {
	defer func(r *rand.Rand) { d.Rand = r }(d.Rand)
	d.Rand = rand.New(rand.NewPCG(seed, 0xf0a1))
	if d.one(2) {
		return
	}
	d.conditions()
	for range 1 + d.IntN(3) {
		s, ok := d.of(func(s signal) bool { return isNumber(s) && s.size() > 0 && s.size() < 1e6 })
		if !ok || len(d.words) < 3 {
			return
		}
		f := &formulas{draw: d, part: Part{Name: d.name()}}
		f.part.set("kind", "formula")
		size := s.size() * d.scaled(0.2, 2)
		if d.one(4) {
			f.finish(f.truth(3), signal{isSwitch: true, hi: 1})
			continue
		}
		text := f.number(s.unit, size, 3)
		if d.one(2) {
			text = fmt.Sprintf("clamp(%s, %s, %s)", text, close5(-size), close5(size))
		}
		if d.one(3) {
			f.part.set("unit", "%s", s.unit)
		}
		f.finish(text, signal{unit: s.unit, lo: -size, hi: size})
		if !d.one(3) {
			d.outputOf(f.part.Name, s.unit, size)
		}
	}
}

// outputOf hands a signal out.
func (d *draw) outputOf(name, unit string, size float64) {
	out := Part{Name: d.name()}
	out.set("from", "%s", name)
	out.set("raw", "int16")
	out.set("unit", "%s", unit)
	out.set("counts_per_unit", "%s", digits(32000/size*d.scaled(0.01, 0.5), 4))
	d.spec.Outputs = append(d.spec.Outputs, out)
}

// conditions makes formulas of some conditions: of what stands before their step.
func (d *draw) conditions() {
	all := d.signals
	defer func() { d.signals = all }()
	for i := range d.spec.Steps {
		p := &d.spec.Steps[i]
		later := map[string]bool{}
		for _, s := range d.spec.Steps[i:] {
			later[s.Name] = true
		}
		d.signals = slices.DeleteFunc(slices.Clone(all), func(s signal) bool { name, _, _ := strings.Cut(s.name, "."); return later[name] })
		for j := range p.Keys {
			k := &p.Keys[j]
			if k.Name != "enable" && k.Name != "reset" && k.Name != "when" || d.one(2) {
				continue
			}
			k.Text = `"` + (&formulas{draw: d}).truth(2) + `"`
		}
	}
}

// formulas draws one formula.
type formulas struct {
	*draw
	part Part
	live []string // numbers beside it
}

func (f *formulas) finish(text string, s signal) {
	f.part.set("value", `"%s"`, text)
	if len(f.live) > 0 {
		f.part.set("numbers", "{%s}", strings.Join(f.live, ", "))
	}
	f.publish(&f.part, s)
	f.spec.Steps = append(f.spec.Steps, f.part)
}

// quantity writes a number in a unit; now and then without it, where it takes that of what stands opposite.
func (f *formulas) quantity(x float64, unit string) string {
	if unit == "" {
		return digits(x, 1+f.IntN(4))
	}
	return digits(x, 1+f.IntN(4)) + " " + unit
}

// leaf is a signal in the unit and about the size wanted, or a number.
func (f *formulas) leaf(unit string, size float64) string {
	s, ok := f.of(func(s signal) bool { return isNumber(s) && s.size() > 0 })
	if !ok || f.one(5) {
		return f.quantity(size*f.between(-1, 1), unit)
	}
	ratio := size / s.size()
	if s.unit == unit && ratio > 0.05 && ratio < 20 && !f.one(4) {
		return s.name
	}
	per := algebra.Parse(unit).Quo(algebra.Parse(s.unit)).String()
	if len(per) > 16 {
		return f.quantity(size*f.between(-1, 1), unit)
	}
	k := ratio * f.between(0.3, 1)
	if f.one(4) && f.part.Name != "" { // beside the formula
		name := fmt.Sprintf("k%d", len(f.live)+1)
		f.live = append(f.live, name+": "+f.quantity(k, per))
		if f.one(2) {
			lo := 0.0
			if f.one(3) {
				lo = -k * f.between(0.5, 2)
			}
			f.spec.Tuning = append(f.spec.Tuning, Key{f.part.Name + "." + name, fmt.Sprintf("[%s, %s]", digits(lo, 2), digits(k*f.between(1.5, 4), 2))})
		}
		return name + " * " + s.name
	}
	if f.one(3) {
		inverse := algebra.Parse("").Quo(algebra.Parse(per)).String()
		return s.name + " / " + f.quantity(1/k, inverse)
	}
	return f.quantity(k, per) + " * " + s.name
}

// unitless is a value of about 1.
func (f *formulas) unitless(depth int) string {
	s, ok := f.of(func(s signal) bool { return isNumber(s) && s.size() > 0 })
	if !ok {
		return digits(f.between(0.1, 1), 2)
	}
	return fmt.Sprintf("clamp(%s, %s, %s) / %s", f.number(s.unit, s.size(), depth-1), close5(-s.size()), close5(s.size()), f.quantity(s.size(), s.unit))
}

// number is a value in the unit and about the size wanted.
func (f *formulas) number(unit string, size float64, depth int) string {
	if depth <= 0 || f.one(5) {
		return f.leaf(unit, size)
	}
	n := func(share float64) string { return f.number(unit, size*share, depth-1) }
	switch f.IntN(15) {
	case 0, 1:
		return fmt.Sprintf("%s + %s", n(0.6), n(0.6))
	case 2:
		return fmt.Sprintf("%s - (%s)", n(0.6), n(0.6))
	case 3:
		return fmt.Sprintf("-(%s)", n(1))
	case 4:
		return fmt.Sprintf("min(%s, %s)", n(1), n(1))
	case 5:
		return fmt.Sprintf("max(%s, %s, %s)", n(1), n(0.5), f.quantity(size*f.between(-1, 0.5), unit))
	case 6:
		return fmt.Sprintf("abs(%s)", n(1))
	case 7:
		if f.one(2) {
			return fmt.Sprintf("clamp(%s, -abs(%s), abs(%s))", n(1), n(0.5), n(1))
		}
		return fmt.Sprintf("clamp(%s, %s, %s)", n(1.5), close5(-size*f.between(0.3, 1)), f.quantity(size*f.between(0.3, 1), unit))
	case 8:
		return fmt.Sprintf("move(%s, %s, %s)", n(1), n(1), f.share(depth))
	case 9, 10:
		return fmt.Sprintf("(if %s then %s else %s)", f.truth(depth-1), n(1), n(1))
	case 11:
		return fmt.Sprintf("(%s) * (%s)", fmt.Sprintf("clamp(%s, %s, %s)", n(1), close5(-size), close5(size)), f.unitless(depth))
	case 12:
		return fmt.Sprintf("(%s) / clamp(%s, %s, %s)", fmt.Sprintf("clamp(%s, %s, %s)", n(0.5), close5(-size), close5(size)), f.unitless(depth), close5(f.between(0.1, 0.7)), close5(f.between(0.8, 3)))
	}
	if f.one(2) { // the length of a vector
		if s, ok := f.of(func(s signal) bool { return isNumber(s) && s.unit == unit && s.size() > 0 && s.size() < 100*size }); ok {
			a := fmt.Sprintf("clamp(%s, %s, %s)", s.name, close5(-size), close5(size))
			return fmt.Sprintf("sqrt(%s * %s + (%s) * %s)", a, a, n(0.5), f.quantity(size*f.between(0, 1), unit))
		}
	}
	return fmt.Sprintf("%s * (%s)", digits(f.scaled(0.1, 4), 2), n(0.5))
}

func (f *formulas) share(depth int) string {
	switch {
	case f.one(2):
		return digits(f.between(0.001, 1), 1+f.IntN(3))
	case f.part.Name != "" && f.one(2):
		name := fmt.Sprintf("k%d", len(f.live)+1)
		f.live = append(f.live, name+": 0.5")
		f.spec.Tuning = append(f.spec.Tuning, Key{f.part.Name + "." + name, f.pick("[0, 1]", "[0.1, 0.9]")})
		return name
	}
	return f.unitless(depth)
}

// truth is a switch.
func (f *formulas) truth(depth int) string {
	name, ok := f.of(func(s signal) bool { return s.isSwitch })
	if ok && (depth <= 0 || f.one(3)) {
		return name.name
	}
	t := func() string { return f.truth(depth - 1) }
	switch n := f.IntN(10); {
	case n == 0 && depth > 0:
		return fmt.Sprintf("not (%s)", t())
	case n == 1 && depth > 0:
		return fmt.Sprintf("(%s and %s)", t(), t())
	case n == 2 && depth > 0:
		return fmt.Sprintf("(%s or %s)", t(), t())
	case n == 3 && depth > 0:
		return fmt.Sprintf("(%s) %s", t(), f.pick("rises", "falls"))
	case n == 4 && depth > 0:
		return fmt.Sprintf("(if %s then %s else %s)", t(), t(), t())
	}
	s, ok := f.of(func(s signal) bool { return isNumber(s) && s.size() > 0 })
	if !ok {
		return name.name
	}
	other := f.quantity(s.size()*f.between(-1, 1), s.unit)
	if f.one(2) {
		other = f.number(s.unit, s.size(), depth-1)
	}
	left := s.name
	if f.one(3) {
		left = "abs(" + s.name + ")"
	}
	return fmt.Sprintf("%s %s (%s)", left, f.pick("<", "<=", ">", ">="), other)
}
