package spec

import (
	"errors"
	"slices"
	"strings"
)

// readConstants reads the numbers that have a name. They are known to all sections after it.
func (r *reader) readConstants(f fields) {
	for _, e := range r.section(f, "constants", "supply_low: 10.5 V", false) {
		r.declare(e, "constant")
		c := Constant{Name: e.key, Pos: e.pos, Value: Quantity{Number: one}, Wrong: true}
		if text, ok := r.asText(e, "a number, with its unit where it has one", "10.5 V"); ok {
			q, err := ParseQuantity(text)
			var t *TextError
			if errors.As(err, &t) {
				r.sayText(e, "bad-quantity", err)
			} else {
				c.Value, c.Text, c.Wrong = q, text, false
			}
		}
		r.spec.Constants = append(r.spec.Constants, c)
	}
}

// figures puts the numbers in the place of constants, where these keys name some.
func (r *reader) figures(f fields, keys ...string) {
	for _, key := range keys {
		if e, ok := f.all[key]; ok {
			e.value = r.figured(e.value, e.path)
			f.all[key] = e
		}
	}
}

// figured is Figures, and tells of misspelt constants.
func (r *reader) figured(v Value, path string) Value {
	v = r.spec.Figures(v)
	for i := range v.Items {
		v.Items[i] = r.figured(v.Items[i], path)
	}
	if name := strings.TrimPrefix(v.Text, "-"); v.Shape == Scalar && IsName(name) && len(r.spec.Constants) > 0 {
		if meant := r.nearest(name, r.spec.constantNames()); meant != "" {
			r.say(entry{path: path, pos: v.Pos}, "unknown-constant", signed(meant, name != v.Text), "%s is no constant, and no number", quote(v.Text))
			v.Shape = Refused
		}
	}
	return v
}

func (s *Spec) constantNames() (names []string) {
	for _, c := range s.Constants {
		names = append(names, c.Name)
	}
	return names
}

// Figures is a value with numbers in the place of constants: in a text, in each part of a list and behind each key of a map. Each stays where
// it stood.
func (s *Spec) Figures(v Value) Value {
	switch v.Shape {
	case Scalar:
		if len(s.Constants) == 0 {
			return v
		}
		if c := s.Constant(strings.TrimPrefix(v.Text, "-")); c != nil {
			if v.Text = signed(c.Text, v.Text[0] == '-'); c.Wrong {
				v.Shape = Refused // that has been said
			}
		}
	case List:
		v.Items = slices.Clone(v.Items)
		for i := range v.Items {
			v.Items[i] = s.Figures(v.Items[i])
		}
	case Map:
		v.Pairs = slices.Clone(v.Pairs)
		for i := range v.Pairs {
			v.Pairs[i].Value = s.Figures(v.Pairs[i].Value)
		}
	}
	return v
}

// signed is a number, or that number turned round.
func signed(text string, minus bool) string {
	switch {
	case !minus:
		return text
	case strings.HasPrefix(text, "-"):
		return text[1:]
	}
	return "-" + strings.TrimPrefix(text, "+")
}

// inPart puts numbers in the place of constants in a section that stays a tree: anywhere but at keys whose values are words.
func (r *reader) inPart(args []Arg) []Arg {
	if len(r.spec.Constants) == 0 {
		return args
	}
	out := slices.Clone(args)
	for i := range out {
		a := &out[i]
		switch {
		case a.Key == "kind" || a.Key == "unit":
		case a.Value.Shape == Map:
			a.Value.Pairs = r.inPart(a.Value.Pairs)
		case a.Value.Shape == List:
			a.Value.Items = slices.Clone(a.Value.Items)
			for j := range a.Value.Items {
				if item := &a.Value.Items[j]; item.Shape == Map {
					item.Pairs = r.inPart(item.Pairs)
				} else {
					*item = r.spec.Figures(*item)
				}
			}
		default:
			a.Value = r.spec.Figures(a.Value)
		}
	}
	return out
}

// withoutUnits is Figures for the range of a gain, which is written without a unit; that of the constants in it is kept apart.
func (r *reader) withoutUnits(v Value, path string) (out Value, unit string) {
	plain := func(v *Value) {
		if c := r.spec.Constant(strings.TrimPrefix(v.Text, "-")); v.Shape == Scalar && c != nil && c.Value.Unit != "" {
			*v, unit = r.spec.Figures(*v), c.Value.Unit
			v.Text = strings.Fields(v.Text)[0]
			return
		}
		*v = r.figured(*v, path)
	}
	switch v.Shape {
	case List:
		v.Items = slices.Clone(v.Items)
		for i := range v.Items {
			plain(&v.Items[i])
		}
	case Map:
		v.Pairs = slices.Clone(v.Pairs)
		for i := range v.Pairs {
			var of string
			if v.Pairs[i].Value, of = r.withoutUnits(v.Pairs[i].Value, path); of != "" {
				unit = of
			}
		}
	default:
		plain(&v)
	}
	return v, unit
}
