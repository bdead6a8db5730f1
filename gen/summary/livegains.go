package summary

import (
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
		smallest, within := document.Both(named(contract.SmallestSetting(x), g.Unit), optional(x.Smallest, number)), document.Both("none", optional(x.Within, number))
		if x.Within != nil {
			within.Text = named(contract.Decimal(x.Within), g.Unit)
		}
		worst := document.Cell{Text: contract.WorstSetting(x)}
		if x.Worst != nil {
			worst.Value, _ = x.Worst.Float64()
		}
		t.Put(document.Word(g.Key), g.Unit, x.Vanish, smallest, within, worst)
	}
	return t
}
