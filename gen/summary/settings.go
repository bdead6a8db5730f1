package summary

import (
	"math/big"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/program"
)

// Setting is a gain or filter as the spec asks for it: gains per second and per tick, a filter as
// time constant, corner frequency and blend.
type Setting struct {
	Step    string     `json:"step"`
	Name    string     `json:"name"`
	Unit    string     `json:"unit,omitempty"`
	Value   Number     `json:"value"`
	PerTick *Number    `json:"per_tick,omitempty"`
	Live    *[2]Number `json:"live_range,omitempty"`   // a live gain: the range in which it may be set
	Count   string     `json:"setter_count,omitempty"` // a live gain: what one count of its setter is, in Unit
	text    [4]string
}

// Text is the value with its unit; Tick the value per tick, and Range the live range, where there is one.
func (s Setting) Text() string { return named(s.text[0], s.Unit) }

// Tick is the gain per tick.
func (s Setting) Tick() string { return s.text[1] }

// Range is the range of a live gain.
func (s Setting) Range() string {
	if s.Live == nil {
		return ""
	}
	return "[" + s.text[2] + ", " + s.text[3] + "]"
}

func settings(u *model.Unit) []Setting {
	out := []Setting{}
	for _, section := range u.Asked.Sections {
		for _, s := range section.Settings {
			t := Setting{Step: section.Name, Name: s.Name, Unit: s.Unit, Value: number(s.Value)}
			t.text[0] = contract.Decimal(s.Value)
			if s.PerTick != nil {
				n := number(s.PerTick)
				t.PerTick, t.text[1] = &n, contract.Decimal(s.PerTick)
			}
			if s.Name == "time_constant" || s.Name == "derivative_time_constant" {
				t.text[1] = contract.Decimal(new(big.Rat).Mul(s.Value, u.Spec.Rate))
			}
			for _, g := range u.Integer.Gains {
				if g.Key == section.Name+"."+s.Name {
					t.Live = &[2]Number{number(g.Lo), number(g.Hi)}
					t.text[2], t.text[3] = contract.Decimal(g.Lo), contract.Decimal(g.Hi)
					t.Count = setterCount(u.Integer, g.Key)
				}
			}
			out = append(out, t)
		}
	}
	return out
}

// SetterCounts says what one count of the setter of each live gain is, in the gain's unit, by the gain's key.
func SetterCounts(u *model.Unit) map[string]string {
	out := map[string]string{}
	for _, g := range u.Integer.Gains {
		if count := setterCount(u.Integer, g.Key); count != "" {
			out[g.Key] = count
		}
	}
	return out
}

// setterCount is empty for a gain that nothing is multiplied by.
func setterCount(p *program.Fixed, key string) string {
	for _, c := range p.Coefs {
		if p.Gains[c.Gain].Key == key {
			return decimalTenth(c.Setter.Digits)
		}
	}
	return ""
}

// decimalTenth writes 10^-digits in full, as a spec may say it.
func decimalTenth(digits int) string {
	if digits == 0 {
		return "1"
	}
	return "0." + strings.Repeat("0", digits-1) + "1"
}
