package summary

import (
	"gainwright/gen/contract"
	"gainwright/model"
)

// LiveGain says what the settings of a live gain become, over its whole tuning range.
type LiveGain struct {
	Gain     string   `json:"gain"`
	Unit     string   `json:"unit"`
	Zero     int64    `json:"settings_stored_as_zero"` // other than 0 itself
	Smallest *Number  `json:"smallest_not_zero,omitempty"`
	Within   *Number  `json:"within_one_percent_from,omitempty"` // the size of a setting
	Worst    *float64 `json:"worst_relative_error,omitempty"`    // of a setting that is not stored as 0, at most
	text     [3]string
}

// What the table of live gains is called, and its columns.
const (
	LiveGainsTitle = "Live gains over their tuning ranges: what settings become"
	SmallestGain   = "smallest not stored as 0"
	WithinGain     = "within 1 % from"
	WorstGain      = "worst error"
)

// SmallestText, WithinText and WorstText are cells of that table.
func (l LiveGain) SmallestText() string { return named(l.text[0], l.Unit) }

// WithinText is the size from which on settings are stored within 1 %.
func (l LiveGain) WithinText() string {
	if l.Within == nil {
		return "none"
	}
	return named(l.text[1], l.Unit)
}

// WorstText is the largest error of a setting that is not stored as 0, rounded up.
func (l LiveGain) WorstText() string {
	return l.text[2]
}

func liveGains(u *model.Unit) []LiveGain {
	out := []LiveGain{}
	for _, x := range u.LiveGains() {
		g := u.Integer.Gains[x.Gain]
		l := LiveGain{Gain: g.Key, Unit: g.Unit, Zero: x.Vanish, text: [3]string{contract.SmallestSetting(x), "", contract.WorstSetting(x)}}
		if x.Smallest != nil {
			n := number(x.Smallest)
			l.Smallest = &n
		}
		if x.Within != nil {
			n := number(x.Within)
			l.Within, l.text[1] = &n, contract.Decimal(x.Within)
		}
		if x.Worst != nil {
			f, _ := x.Worst.Float64()
			l.Worst = &f
		}
		out = append(out, l)
	}
	return out
}
