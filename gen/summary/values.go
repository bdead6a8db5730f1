package summary

import (
	"fmt"
	"math"
	"math/big"

	"gainwright/gen/contract"
	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/program"
)

// Value is a signal or state of the integer program.
type Value struct {
	Stored
	step, doc string   // step or output; "inputs" for raw inputs
	low, high *big.Rat // certified range, in units
	headroom  float64  // bits of the type that the range leaves unused
}

// Stored is a value by its name, with its format.
type Stored struct {
	Name string `json:"name"`
	Unit string `json:"unit,omitempty"`
	Format
}

// Format is how a value is stored, and what it can reach.
type Format struct {
	Notation string `json:"format"`          // Qm.n, Qm.n x unit, or switch
	LSB      string `json:"lsb"`             // what one count stands for, an exact fraction; negative where counts are turned round
	PerUnit  string `json:"counts_per_unit"` // its inverse, in words
	Type     string `json:"type"`
	Bits     uint   `json:"bits"`
	LowCount int64  `json:"low_count"` // certified range
	HiCount  int64  `json:"high_count"`
}

// Values lists the signals and the states of a unit that has come through.
func Values(u *model.Unit) (signals, states []Value) {
	if !u.OK() {
		return nil, nil
	}
	p := u.Integer
	isInput, count := map[string]bool{}, map[string]*big.Rat{}
	for _, o := range p.Outputs {
		count[o.Name] = o.Count()
	}
	for _, in := range p.Inputs {
		isInput[in.Name] = true
	}
	for _, s := range p.Sections {
		for _, sig := range s.Signals {
			if s.Role == program.Inputs && !isInput[sig.Name] {
				continue // first_tick is the program's own
			}
			op := p.Ops[sig.Value]
			lsb := op.LSB
			if s.Role == program.Stage && count[sig.Name] != nil {
				lsb = count[sig.Name]
			}
			signals = append(signals, value(p, sig.Name, s.Name, "", op.Unit, lsb, op.Type, op.Lo, op.Hi))
		}
	}
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
	v := Value{Stored: Stored{name, unit, formatOf(p, lsb, t, lo, hi)}, step: step, doc: doc, low: counts(lo, lsb), high: counts(hi, lsb)}
	if lsb.Sign() < 0 {
		v.low, v.high = v.high, v.low
	}
	if t != program.Bool {
		v.headroom = headroom(t, lo, hi)
	}
	return v
}

// values is the table of signals or of states.
func values(title string, list []Value) *document.Table {
	t := &document.Table{Title: title, Columns: document.Columns("name:name|step|doc|unit|format:format|lsb|counts_per_unit|type:type|bits|low_count|high_count|low|high|" +
		":>counts per unit|:>certified range|:unit|headroom_bits:>headroom, bits")}
	for _, v := range list {
		shown := document.Texts(v.Type, v.PerUnit, "["+contract.Decimal(v.low)+", "+contract.Decimal(v.high)+"]", v.Unit, fmt.Sprintf("%.1f", v.headroom))
		shown[4].Share = 1 - v.headroom/float64(v.Bits)
		if v.Notation == "switch" {
			shown = document.Texts("", "", "0 or 1", "", "")
		}
		shown[0].Value, shown[4].Value = v.Type, v.headroom
		t.Put(document.Word(v.Name), v.step, document.Some(v.doc), document.Some(v.Unit), document.Word(v.Notation), v.LSB, v.PerUnit, shown[0],
			v.Bits, v.LowCount, v.HiCount, number(v.low), number(v.high), shown[1], shown[2], shown[3], shown[4])
	}
	return t
}

func formatOf(p *program.Fixed, lsb *big.Rat, t program.Type, lo, hi int64) Format {
	f := Format{Notation: "switch", LSB: lsb.RatString(), PerUnit: "", Type: typeName(t), Bits: t.Bits(), LowCount: lo, HiCount: hi}
	if t != program.Bool {
		f.Notation, f.PerUnit = form(p, new(big.Rat).Abs(lsb), t), contract.Exact(new(big.Rat).Inv(lsb))
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
func headroom(t program.Type, lo, hi int64) float64 {
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
	return math.Floor(max(room, 0)*10) / 10
}
