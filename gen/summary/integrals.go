package summary

import (
	"gainwright/gen/contract"
	"gainwright/gen/document"
	"gainwright/model"
)

// integrals say how the integral of each PID behaves at its two ends: the smallest error that still moves it, the largest for inputs in their declared
// ranges, in the unit of the error, and the seconds from one of its limits to the other at the largest.
func integrals(u *model.Unit) *document.Table {
	t := &document.Table{Title: "Integrals: the smallest error that still moves each, and the time to wind up",
		Columns: document.Columns("step:step|unit|smallest_error:smallest error|largest_error|wind_up:from limit to limit|:at an error of")}
	if !u.OK() {
		return t
	}
	for _, x := range u.Integrals() {
		wind := document.Both("never", optional(x.WindUp, number))
		if x.WindUp != nil {
			wind.Text = contract.Decimal(x.WindUp) + " s"
		}
		t.Put(document.Word(u.Integer.Sections[x.Section].Name), x.Unit, document.Both(named(contract.Decimal(x.Smallest), x.Unit), number(x.Smallest)),
			number(x.Largest), wind, document.Cell{Text: named(contract.Decimal(x.Largest), x.Unit)})
	}
	return t
}
