package formats

import "gainwright/model/program"

// Settling says how a section comes to forget: a second-order section takes no limits, and its poles are too close to the unit circle.
func Settling(s program.Section, otherwise string) string {
	if s.Kind == "second_order" {
		return "a frequency further from 0 and from half the rate, or a lower q"
	}
	return otherwise
}
