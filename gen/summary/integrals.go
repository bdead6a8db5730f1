package summary

import (
	"gainwright/gen/contract"
	"gainwright/model"
)

// Integral is how the integral of a PID behaves at its two ends.
type Integral struct {
	Step     string  `json:"step"`
	Unit     string  `json:"unit"`              // of the error
	Smallest Number  `json:"smallest_error"`    // that still moves it
	Largest  Number  `json:"largest_error"`     // for inputs in their declared ranges
	WindUp   *Number `json:"wind_up,omitempty"` // seconds from one of its limits to the other at the largest error
	text     [3]string
}

// SmallestText is the smallest error with its unit, LargestText the largest.
func (i Integral) SmallestText() string { return named(i.text[0], i.Unit) }

// LargestText is the largest error with its unit.
func (i Integral) LargestText() string { return named(i.text[1], i.Unit) }

// WindUpText is the time from limit to limit.
func (i Integral) WindUpText() string { return i.text[2] }

// What the table of integrals is called, and its columns.
const (
	IntegralsTitle = "Integrals: the smallest error that still moves each, and the time to wind up"
	SmallestHead   = "smallest error"
	WindUpHead     = "from limit to limit"
	LargestHead    = "at an error of"
)

func integrals(u *model.Unit) []Integral {
	out := []Integral{}
	for _, x := range u.Integrals() {
		i := Integral{Step: u.Integer.Sections[x.Section].Name, Unit: x.Unit, Smallest: number(x.Smallest), Largest: number(x.Largest)}
		i.text = [3]string{contract.Decimal(x.Smallest), contract.Decimal(x.Largest), "never"}
		if x.WindUp != nil {
			n := number(x.WindUp)
			i.WindUp, i.text[2] = &n, contract.Decimal(x.WindUp)+" s"
		}
		out = append(out, i)
	}
	return out
}
