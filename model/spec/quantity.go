package spec

import (
	"fmt"
	"regexp"
	"strings"

	"gainwright/model/si"
)

const maxUnit = 16

// maxGainUnit is the length of the unit of a gain, which holds two others.
const maxGainUnit = 2*maxUnit + 4

// unitForm lets no unit begin or end with a slash: next to a star it would open or close a comment.
var unitForm = regexp.MustCompile(`^(1/)?[A-Za-z%][A-Za-z0-9%^.]*(/[A-Za-z%][A-Za-z0-9%^.]*)*$`)

// gainUnit is the unit of a gain over time, as it is printed: percent/degC*s, percent/degC/s.
var gainUnit = regexp.MustCompile(`^[A-Za-z%][A-Za-z0-9%^.]*(/[A-Za-z%][A-Za-z0-9%^.]*)*[/*]s$`)

// gluedForm is a number with a unit that lacks the space.
var gluedForm = regexp.MustCompile(`^([+-]?\d*\.?\d+(?:[eE][+-]?\d+)?)([A-Za-z%].*)$`)

// ParseQuantity reads a number with or without a unit behind it, such as 25 deg/s, 256 ticks or 1e-3.
// Errors are *TextError.
func ParseQuantity(text string) (Quantity, error) {
	words := strings.Fields(text)
	if len(words) == 0 {
		return Quantity{}, &TextError{"expected a number with its unit, found nothing", "a quantity such as 25 deg/s"}
	}
	x, err := ParseNumber(words[0])
	if err != nil {
		if m := gluedForm.FindStringSubmatch(words[0]); m != nil && len(words) == 1 && !strings.HasPrefix(strings.TrimLeft(words[0], "+-"), "0x") {
			if _, numErr := ParseNumber(m[1]); numErr == nil {
				return Quantity{}, &TextError{fmt.Sprintf("expected a space between number and unit, found %s", quote(text)), m[1] + " " + m[2]}
			}
		}
		if si.Known(text) {
			return Quantity{}, &TextError{fmt.Sprintf("expected a number with its unit, found %s, a unit alone", quote(text)), "a number before it, and a space between"}
		}
		return Quantity{}, err
	}
	switch len(words) {
	case 1:
		return Quantity{Number: x}, nil
	case 2:
		if err := CheckUnit(words[1]); err != nil && !(len(words[1]) <= maxGainUnit && gainUnit.MatchString(words[1])) {
			return Quantity{}, err
		}
		return Quantity{x, words[1]}, nil
	}
	e := &TextError{Message: fmt.Sprintf("expected one number and one unit without spaces inside, found %s", quote(text))}
	unit := strings.ReplaceAll(strings.Join(words[1:], " "), " per ", "/")
	if words[1] == "per" {
		e.Remedy = words[0] + ", without words: gains are per second unless per: tick stands beside them"
	} else if unit = strings.ReplaceAll(unit, " ", ""); strings.Contains(unit, "/") && CheckUnit(unit) == nil {
		e.Remedy = words[0] + " " + unit
	} else {
		e.Remedy = words[0] + " " + strings.Trim(quote(words[1]), `"`)
	}
	return Quantity{}, e
}

// Reads tells whether a text, up to its first comma, is a quantity.
func Reads(text string) bool {
	text, _, _ = strings.Cut(text, ", ")
	_, err := ParseQuantity(text)
	return err == nil
}

// For is the error with a remedy in the unit wanted, where the remedy is a quantity in another one; fits tells which units will do.
func (e *TextError) For(fits func(unit string) bool, unit string) *TextError {
	head, tail, more := strings.Cut(e.Remedy, ", ")
	q, err := ParseQuantity(head)
	if err != nil || fits(q.Unit) {
		return e
	}
	head = q.In(unit)
	if more {
		head += ", " + tail
	}
	return &TextError{e.Message, head}
}

// In says what to write for a value in the unit wanted: the value converted, to ten digits, or that it must be, where how is not known.
func (q Quantity) In(unit string) string { return q.in(unit, si.Value) }

// ChangeIn is In for a difference, an error, a rate or a gain, in which the zero of a scale of temperature plays no part.
func (q Quantity) ChangeIn(unit string) string { return q.in(unit, si.Change) }

func (q Quantity) in(unit string, convert func(x float64, from, to string) (float64, bool)) string {
	x, _ := q.Number.Float64()
	if y, ok := convert(x, q.Unit, unit); ok {
		return strings.TrimSpace(fmt.Sprintf("%.10g %s", y, unit))
	}
	if unit == "" {
		return "the value without a unit"
	}
	return "the value in " + unit
}

// CheckUnit tells whether a text can be a unit: nil where it can.
func CheckUnit(unit string) *TextError {
	switch {
	case len(unit) > maxUnit:
		return &TextError{fmt.Sprintf("expected a unit of at most %d characters, found %s", maxUnit, quote(unit)), "a short unit such as deg/s"}
	case unitForm.MatchString(unit):
		return nil
	}
	return &TextError{fmt.Sprintf("expected a unit of letters, digits and the signs / %% ^ . that begins with a letter or %%, found %s", quote(unit)),
		"a unit such as deg/s, m/s^2 or %"}
}
