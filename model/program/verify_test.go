package program

import (
	"fmt"
	"math/big"
	"testing"
)

// lawfulFixed is x, counted in 1/4, limited to its state and rounded to ones; times a live gain; compared, chosen and handed out by a second section.
func lawfulFixed() *Fixed {
	quarter, one := big.NewRat(1, 4), big.NewRat(1, 1)
	p := &Fixed{Frame: Frame{Sections: []Section{{Name: "a"}, {Name: "b"}}, Gains: make([]Gain, 1),
		Inputs: []InputInfo{{Type: I16, LSB: quarter}}, Outputs: []Output{{Name: "y", Type: I16, LSB: one, Value: 9}}},
		Coefs:  []FixedCoef{{CoefInfo: CoefInfo{Factor: one}, Setter: Setter{Shift: 1}, LSB: one}},
		States: []FixedState{{StateInfo: StateInfo{Name: "s", Start: new(big.Rat), Next: 3, Enable: 7, Reset: 7, ResetTo: 2}, LSB: quarter, Type: I16, Hi: 9}}}
	add := func(kind Kind, section int, lsb, k *big.Rat, args ...ID) *FixedOp {
		p.Ops = append(p.Ops, FixedOp{Op: Op{Kind: kind, Name: fmt.Sprint("v", len(p.Ops)), Section: section, Unit: "deg", K: k, Args: args, Bool: kind.Of().Truth}, LSB: lsb, Type: I16, Hi: 1})
		return &p.Ops[len(p.Ops)-1]
	}
	add(Input, 0, quarter, nil)
	add(State, 0, quarter, nil)
	add(Const, 0, quarter, big.NewRat(100, 1))
	add(Clamp, 0, quarter, nil, 0, 1, 2)
	add(Round, 0, one, nil, 3).Shift = 2
	add(Coef, 0, one, nil)
	add(Mul, 0, quarter, nil, 5, 3)
	add(Less, 0, one, nil, 0, 6)
	add(Wrap, 0, one, big.NewRat(360, 1), 4)
	add(Select, 1, one, nil, 7, 8, 4)
	p.Sections[0].Signals = []Signal{{Name: "a", Value: 4}, {Name: "a.small", Value: 7}, {Name: "a.wrapped", Value: 8}}
	return p
}

// TestLaws: a program that breaks one law is refused, and the one that it was made of is not.
func TestLaws(t *testing.T) {
	if err := lawfulFixed().Verify(); err != nil {
		t.Fatal(err)
	}
	half := big.NewRat(1, 2)
	for name, spoil := range map[string]func(p *Fixed){
		"no such operation":                func(p *Fixed) { p.Ops[3].Kind = Kinds },
		"too few arguments":                func(p *Fixed) { p.Ops[3].Args = p.Ops[3].Args[:2] },
		"too many arguments":               func(p *Fixed) { p.Ops[4].Args = []ID{3, 3} },
		"an argument that comes later":     func(p *Fixed) { p.Ops[3].Args[0] = 4 },
		"an argument that is nowhere":      func(p *Fixed) { p.Ops[3].Args[0] = None },
		"itself as argument":               func(p *Fixed) { p.Ops[3].Args[0] = 3 },
		"no constant":                      func(p *Fixed) { p.Ops[2].K = nil },
		"a constant for nothing":           func(p *Fixed) { p.Ops[3].K = half },
		"an input that is not there":       func(p *Fixed) { p.Ops[0].Index = 1 },
		"a coefficient that is not there":  func(p *Fixed) { p.Ops[5].Index = -1 },
		"a state that is not there":        func(p *Fixed) { p.Ops[1].Index = 1 },
		"a number for nothing":             func(p *Fixed) { p.Ops[3].Index = 1 },
		"a truth that is a number":         func(p *Fixed) { p.Ops[7].Bool = false },
		"a number decides":                 func(p *Fixed) { p.Ops[9].Args[0] = 4 },
		"a truth among numbers":            func(p *Fixed) { p.Ops[9].Args[1] = 7 },
		"a section that comes again":       func(p *Fixed) { p.Ops[2].Section = 1 },
		"no section":                       func(p *Fixed) { p.Ops[9].Section = 2 },
		"a section reads what is not said": func(p *Fixed) { p.Sections[0].Signals = p.Sections[0].Signals[:2] },
		"a signal of another section":      func(p *Fixed) { p.Sections[1].Signals = []Signal{{Value: 4}} },
		"a signal that is nowhere":         func(p *Fixed) { p.Sections[0].Signals[0].Value = 10 },
		"a coefficient of no gain":         func(p *Fixed) { p.Coefs[0].Gain = 1 },
		"a coefficient without a factor":   func(p *Fixed) { p.Coefs[0].Factor = nil },
		"a coefficient without a format":   func(p *Fixed) { p.Coefs[0].LSB = nil },
		"a setter without a shift":         func(p *Fixed) { p.Coefs[0].Setter.Shift = 0 },
		"a state without a start":          func(p *Fixed) { p.States[0].Start = nil },
		"a state that starts between":      func(p *Fixed) { p.States[0].Start = half },
		"a state that becomes nothing":     func(p *Fixed) { p.States[0].Next = None },
		"a state that becomes a truth":     func(p *Fixed) { p.States[0].Next = 7 },
		"a state enabled by a number":      func(p *Fixed) { p.States[0].Enable = 3 },
		"a state reset by a number":        func(p *Fixed) { p.States[0].Reset = 3 },
		"a state reset to nothing":         func(p *Fixed) { p.States[0].ResetTo = None },
		"a state reset to another format":  func(p *Fixed) { p.States[0].ResetTo = 4 },
		"a state of another format":        func(p *Fixed) { p.States[0].LSB = half },
		"a state beyond its type":          func(p *Fixed) { p.States[0].Hi = 1 << 15 },
		"a state of no section":            func(p *Fixed) { p.States[0].Section = 2 },
		"a state reads what is not said":   func(p *Fixed) { p.States[0].Section = 1 },
		"an input that counts nothing":     func(p *Fixed) { p.Inputs[0].LSB = new(big.Rat) },
		"an output of nothing":             func(p *Fixed) { p.Outputs[0].Value = 10 },
		"an output of another format":      func(p *Fixed) { p.Outputs[0].LSB = half },
		"no format":                        func(p *Fixed) { p.Ops[5].LSB = nil },
		"a truth that is counted":          func(p *Fixed) { p.Ops[7].LSB = half },
		"a rounding by nothing":            func(p *Fixed) { p.Ops[4].Shift = 0 },
		"a rounding by too much":           func(p *Fixed) { p.Ops[4].Shift = MostShift + 1 },
		"a shift for nothing":              func(p *Fixed) { p.Ops[3].Shift = 1 },
		"a constant between two counts":    func(p *Fixed) { p.Ops[2].K = half },
		"an odd turn":                      func(p *Fixed) { p.Ops[8].K = big.NewRat(361, 1) },
		"a table for nothing":              func(p *Fixed) { p.Ops[3].Arctan = &Arctan{} },
		"an arctangent without a table":    func(p *Fixed) { p.Ops[7].Kind, p.Ops[7].Bool = Angle, false },
		"a range beyond the type":          func(p *Fixed) { p.Ops[3].Lo = -1 << 16 },
		"a range without order":            func(p *Fixed) { p.Ops[3].Lo = 2 },
		"formats that do not multiply":     func(p *Fixed) { p.Ops[5].LSB = half },
		"another format than its argument": func(p *Fixed) { p.Ops[2].LSB = half },
		"unlike things compared":           func(p *Fixed) { p.Ops[7].Args[1] = 5 },
	} {
		p := lawfulFixed()
		if spoil(p); p.Verify() == nil {
			t.Errorf("%s: it was not refused", name)
		}
	}
	p := real(lawfulFixed())
	p.Ops[4].Kind, p.Ops[4].Args = Abs, []ID{3}
	if err := p.Verify(); err != nil {
		t.Error(err)
	}
	p.Ops[2].Unit = "rad"
	if p.Verify() == nil {
		t.Error("one sum of two units")
	}
	p.Ops[2].Unit = "deg"
	if p.Ops[4].Kind = Round; p.Verify() == nil {
		t.Error("a real program rounds")
	}
}
