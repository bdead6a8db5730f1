package summary

import (
	"math/big"
	"strings"

	"gainwright/gen/contract"
	"gainwright/gen/document"
	"gainwright/model"
)

// liveRange is the column of the settings that holds the range of a live gain.
const liveRange = 5

// settings are the gains and filters as the spec asks for them: gains per second and per tick, a filter as time constant, corner frequency and
// blend. Of a step that does not run at each tick, per tick is per run. What one count of a setter is, is in the gain's unit.
func settings(u *model.Unit) *document.Table {
	t := &document.Table{Title: "Gains and filters, as asked, per second and per tick", Bare: true,
		Columns: document.Columns("step|name:name|unit|value:asked|per_tick:per tick|live_range:live|setter_count")}
	if !u.OK() {
		return t
	}
	counts := SetterCounts(u)
	for _, section := range u.Asked.Sections {
		for _, s := range section.Settings {
			key := section.Name + "." + s.Name
			var tick, live, count document.Cell
			if s.PerTick != nil {
				each := " per tick"
				if section.Clock.Every != 0 {
					each = " per run" // which is what the number is
				}
				tick = document.Both(contract.Decimal(s.PerTick)+each, number(s.PerTick))
			} else if s.Unit == "s" {
				tick.Text = contract.Decimal(new(big.Rat).Mul(s.Value, u.Spec.Rate)) + " ticks"
			}
			for _, g := range u.Integer.Gains {
				if g.Key == key {
					live = document.Both("live in ["+contract.Decimal(g.Lo)+", "+contract.Decimal(g.Hi)+"], set in counts of "+counts[key],
						[2]float64{number(g.Lo), number(g.Hi)})
					count.Value = document.Some(counts[key])
				}
			}
			t.Put(section.Name, document.Both(key, s.Name), document.Some(s.Unit), document.Both(named(contract.Decimal(s.Value), s.Unit),
				number(s.Value)), tick, live, count)
		}
	}
	return t
}

// SetterCounts says what one count of the setter of each live gain is, in the gain's unit, by the gain's key. A gain that nothing is multiplied by has
// none.
func SetterCounts(u *model.Unit) map[string]string {
	out, p := map[string]string{}, u.Integer
	for _, c := range p.Coefs {
		if key := p.Gains[c.Gain].Key; out[key] == "" {
			out[key] = decimalTenth(c.Setter.Digits)
		}
	}
	return out
}

// decimalTenth writes 10^-digits in full, as a spec may say it.
func decimalTenth(digits int) string {
	if digits == 0 {
		return "1"
	}
	return "0." + strings.Repeat("0", digits-1) + "1"
}
