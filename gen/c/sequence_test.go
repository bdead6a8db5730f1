package c

import (
	"math/big"
	"testing"

	"gainwright/model/program"
)

func TestSequenceStaysInDeclaredRanges(t *testing.T) {
	p := cart(t).Integer
	p.Inputs[1].Offset = big.NewRat(1, 3)
	on, moved := 0, map[int]map[int64]bool{}
	rows := sequence(p, 1000)
	for _, row := range rows {
		for i, in := range p.Inputs {
			if moved[i] == nil {
				moved[i] = map[int64]bool{}
			}
			moved[i][row[i]] = true
			if in.IsSwitch {
				on += int(row[i])
				continue
			}
			v := new(big.Rat).Mul(new(big.Rat).SetInt64(row[i]), in.LSB)
			if in.Offset != nil {
				v.Add(v, in.Offset)
			}
			if v.Cmp(in.Lo) < 0 || v.Cmp(in.Hi) > 0 {
				t.Fatalf("%s is %s, not in [%s, %s]", in.Name, v, in.Lo, in.Hi)
			}
		}
	}
	if on < 500 || on == len(rows) {
		t.Errorf("the switch is on in %d of %d ticks", on, len(rows))
	}
	for i, in := range p.Inputs {
		lo, hi := declared(in).lo, declared(in).hi
		if !moved[i][lo] || !moved[i][hi] {
			t.Errorf("%s never reaches an end of its range [%d, %d]", in.Name, lo, hi)
		}
	}
}

func TestDeclaredCountsInwards(t *testing.T) {
	in := program.InputInfo{Type: program.I8, LSB: big.NewRat(1, 3), Lo: big.NewRat(-1, 2), Hi: big.NewRat(100, 1)}
	if s := declared(in); s != (span{-1, 127}) {
		t.Errorf("got %v", s)
	}
	in.Type, in.Lo = program.U16, big.NewRat(7, 6)
	if s := declared(in); s != (span{4, 300}) {
		t.Errorf("got %v", s)
	}
	in.Type, in.Turned = program.I16, true // the register counts the other way
	if s := declared(in); s != (span{-300, -4}) {
		t.Errorf("turned round: %v", s)
	}
}
