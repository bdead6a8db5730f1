package summary

import (
	"fmt"

	"gainwright/gen/contract"
	"gainwright/gen/document"
	"gainwright/model"
)

// liveGains say what the settings of each live gain become, over its whole tuning range: how many other than 0 are stored as 0, the smallest that is
// not, the size from which on they are stored within 1 %, and the largest relative error of one that is not stored as 0.
func liveGains(u *model.Unit) *document.Table {
	t := &document.Table{Title: "Live gains over their tuning ranges: what settings become",
		Columns: document.Columns("gain:gain|unit|settings_stored_as_zero|smallest_not_zero:>smallest not stored as 0|within_one_percent_from:>within 1 % from|worst_relative_error:>worst error")}
	if !u.OK() {
		return t
	}
	for _, x := range u.LiveGains() {
		g := u.Integer.Gains[x.Gain]
		smallest, within, worst := document.Both(named("none", g.Unit), optional(x.Smallest, number)), document.Both("none", optional(x.Within, number)), document.Cell{}
		if x.Smallest != nil {
			smallest.Text = named(contract.Decimal(x.Smallest), g.Unit)
		}
		if x.Within != nil {
			within.Text = named(contract.Decimal(x.Within), g.Unit)
		}
		if x.Worst != nil {
			f, _ := x.Worst.Float64()
			worst = document.Both(fmt.Sprintf("%.3g %%", 100*f), f)
		}
		t.Add(document.Word(g.Key), document.Hidden(g.Unit), document.Hidden(x.Vanish), smallest, within, worst)
	}
	return t
}
