package summary

import (
	"fmt"
	"math"
	"math/big"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/program"
)

// Value is a signal or state of the integer program.
type Value struct {
	Name string `json:"name"`
	Step string `json:"step"` // step or output; "inputs" for raw inputs
	Doc  string `json:"doc,omitempty"`
	Unit string `json:"unit,omitempty"`
	Format
	Low      Number `json:"low"` // certified range, in units
	High     Number `json:"high"`
	Headroom Number `json:"headroom_bits"` // bits of the type that the range leaves unused
	span     [2]string
}

// Format is how a value is stored, and what it can reach.
type Format struct {
	Form     string `json:"format"`          // Qm.n, Qm.n x unit, or switch
	LSB      string `json:"lsb"`             // what one count stands for, an exact fraction
	PerUnit  string `json:"counts_per_unit"` // its inverse, in words
	Type     string `json:"type"`
	Bits     uint   `json:"bits"`
	LowCount int64  `json:"low_count"` // certified range
	HiCount  int64  `json:"high_count"`
}

// IsSwitch tells whether the value is true or false.
func (f Format) IsSwitch() bool { return f.Form == "switch" }

// Range is the certified range in units, with six digits.
func (v Value) Range() string { return "[" + v.span[0] + ", " + v.span[1] + "]" }

// Values lists the signals and the states of a unit.
func Values(u *model.Unit) (signals, states []Value) {
	p := u.Integer
	isInput, turned := map[string]bool{}, map[string]bool{}
	for _, o := range p.Outputs {
		turned[o.Name] = o.Turned
	}
	for _, in := range p.Inputs {
		isInput[in.Name] = true
	}
	for _, s := range p.Sections {
		for _, sig := range s.Signals {
			if s.Kind == "inputs" && !isInput[sig.Name] {
				continue // first_tick is the program's own
			}
			op := p.Ops[sig.Value]
			v := value(p, sig.Name, s.Name, "", op.Unit, op.LSB, op.Type, op.Lo, op.Hi)
			if s.Kind == "output" && turned[sig.Name] {
				v.turn()
			}
			signals = append(signals, v)
		}
	}
	states = []Value{}
	for _, s := range p.States {
		states = append(states, value(p, s.Name, p.Sections[s.Section].Name, s.Doc, s.Unit, s.LSB, s.Type, s.Lo, s.Hi))
	}
	return signals, states
}

// Gains lists the numbers that the live gains become: a gain merged with what it is multiplied by.
func Gains(u *model.Unit) []Value {
	var out []Value
	for _, c := range u.Integer.Coefs {
		a, b := c.Setter.Apply(c.Setter.XLo), c.Setter.Apply(c.Setter.XHi)
		out = append(out, value(u.Integer, c.Name, "", "", "", c.LSB, c.Type, min(a, b), max(a, b)))
	}
	return out
}

func value(p *program.Fixed, name, step, doc, unit string, lsb *big.Rat, t program.Type, lo, hi int64) Value {
	v := Value{Name: name, Step: step, Doc: doc, Unit: unit, Format: formatOf(p, lsb, t, lo, hi)}
	low, high := counts(lo, lsb), counts(hi, lsb)
	v.Low, v.High, v.span = number(low), number(high), [2]string{contract.Decimal(low), contract.Decimal(high)}
	if t != program.Bool {
		v.Headroom = headroom(t, lo, hi)
	}
	return v
}

// turn gives the value of an output whose raw counts are turned round the sign that it has in units.
func (v *Value) turn() {
	minus := func(text string) string {
		if text == "0" {
			return text
		}
		return strings.TrimPrefix("-"+text, "--")
	}
	v.Low, v.High = 0-v.High, 0-v.Low // no negative zero
	v.span[0], v.span[1] = minus(v.span[1]), minus(v.span[0])
	v.LSB, v.PerUnit = minus(v.LSB), minus(v.PerUnit)
}

func formatOf(p *program.Fixed, lsb *big.Rat, t program.Type, lo, hi int64) Format {
	f := Format{Form: "switch", LSB: lsb.RatString(), PerUnit: "", Type: typeName(t), Bits: t.Bits(), LowCount: lo, HiCount: hi}
	if t != program.Bool {
		f.Form, f.PerUnit = form(p, lsb, t), contract.Exact(new(big.Rat).Inv(lsb))
	}
	return f
}

func typeName(t program.Type) string {
	switch {
	case t == program.Bool:
		return "uint8 (0 or 1)"
	case t.Signed():
		return fmt.Sprintf("int%d", t.Bits())
	}
	return fmt.Sprintf("uint%d", t.Bits())
}

// form writes a format as Qm.n: m integer bits besides the sign, n fraction bits. Where a count is no
// power of two, the unit that is counted in such fractions stands behind it: that of a raw input or output if
// it is one of those times a power of two.
func form(p *program.Fixed, lsb *big.Rat, t program.Type) string {
	up, down := lsb.Num().TrailingZeroBits(), lsb.Denom().TrailingZeroBits()
	base := new(big.Rat).SetFrac(new(big.Int).Rsh(lsb.Num(), up), new(big.Int).Rsh(lsb.Denom(), down))
	n := int(down) - int(up)
	whole := base.Cmp(big.NewRat(1, 1)) == 0
	if !whole {
		base, n = countedIn(p, lsb, base, n)
	}
	sign, m := "Q", int(t.Bits())-1-n
	if !t.Signed() {
		sign, m = "UQ", m+1
	}
	q := fmt.Sprintf("%s%d.%d", sign, m, n)
	if whole {
		return q
	}
	if inverse := new(big.Rat).Inv(base); base.Cmp(big.NewRat(1, 1)) < 0 {
		if digits, exact := inverse.FloatPrec(); exact && digits <= 6 {
			return q + " x 1/" + inverse.FloatString(digits)
		}
	}
	return q + " x " + base.RatString()
}

// countedIn returns the count of an input or output that lsb is 2^-n of, or what it was given.
func countedIn(p *program.Fixed, lsb, base *big.Rat, n int) (*big.Rat, int) {
	var raw []*big.Rat
	for _, in := range p.Inputs {
		raw = append(raw, in.LSB)
	}
	for _, out := range p.Outputs {
		raw = append(raw, out.LSB)
	}
	for _, r := range raw {
		ratio := new(big.Rat).Quo(r, lsb)
		if bits := ratio.Num().BitLen() - 1; ratio.IsInt() && ratio.Num().TrailingZeroBits() == uint(bits) {
			return r, bits
		}
	}
	return base, n
}

// headroom is how many bits the range could grow by, in tenths, rounded down.
func headroom(t program.Type, lo, hi int64) Number {
	least, most := t.Range()
	room := math.Inf(1)
	if lo < 0 {
		room = min(room, math.Log2(float64(least)/float64(lo)))
	}
	if hi >= 0 {
		room = min(room, math.Log2((float64(most)+1)/(float64(hi)+1)))
	}
	if math.IsInf(room, 0) {
		return 0
	}
	return Number(math.Floor(max(room, 0)*10) / 10)
}
