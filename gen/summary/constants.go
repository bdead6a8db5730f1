package summary

import (
	"fmt"
	"math/big"

	"gainwright/gen/contract"
	"gainwright/model"
)

// Constant says what a number of the spec became.
type Constant struct {
	Name   string `json:"name"`
	Unit   string `json:"unit,omitempty"`
	Asked  Number `json:"asked"`
	Stored Number `json:"stored"`
	Error  Number `json:"relative_error"`
	Exact  bool   `json:"exact"`
	Count  int64  `json:"count"` // in the integer program
	LSB    string `json:"lsb"`   // what one count stands for, an exact fraction
	Live   bool   `json:"live"`  // a live gain: the value at start
	Limit  bool   `json:"limit"` // of an output: stored inwards, never further out than asked
	Line   int    `json:"line"`  // of the spec, 0 where unknown
	text   [3]string
}

// AskedText, StoredText and ErrorText are the numbers for people.
func (c Constant) AskedText() string { return named(c.text[0], c.Unit) }

// StoredText is what the integer program multiplies by or compares with.
func (c Constant) StoredText() string { return c.text[1] }

// Note says of what sort it is, where that matters.
func (c Constant) Note() string {
	switch {
	case c.Live:
		return "live, at start"
	case c.Limit && !c.Exact:
		return "limit, rounded inwards"
	}
	return ""
}

// ErrorText is the relative error in percent.
func (c Constant) ErrorText() string { return c.text[2] }

func constants(u *model.Unit) []Constant {
	out := []Constant{}
	for _, c := range u.Constants {
		k := Constant{Name: c.Name, Unit: c.Unit, Asked: number(c.Asked), Stored: number(c.Stored), Count: c.Count, LSB: c.LSB.RatString(), Live: c.Live, Limit: c.Limit != nil, Line: c.Line}
		k.text = [3]string{contract.Decimal(c.Asked), contract.Decimal(c.Stored), "exact"}
		off := new(big.Rat).Sub(c.Stored, c.Asked)
		k.Exact = off.Sign() == 0
		if !k.Exact && c.Asked.Sign() != 0 {
			k.Error = number(off.Quo(off, c.Asked))
			k.text[2] = fmt.Sprintf("%+.2g %%", float64(k.Error)*100)
		}
		out = append(out, k)
	}
	return out
}
