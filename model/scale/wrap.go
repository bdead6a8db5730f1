package scale

import (
	"math/big"
	"strings"

	"gainwright/model/program"
)

// countedBy is the key of the input whose counts a value is counted in, and what to write there so that a turn is an even whole number of them.
func (e *emitter) countedBy(lsb, turn *big.Rat) (key, remedy string) {
	for _, in := range e.Asked.Inputs {
		if in.IsSwitch {
			continue
		}
		if _, ok := powerOfTwo(new(big.Rat).Quo(in.LSB, lsb)); !ok {
			continue
		}
		counts := nearest(new(big.Rat).Quo(turn, new(big.Rat).Mul(in.LSB, big.NewRat(2, 1))))
		counts.Lsh(counts, 1)
		if counts.Sign() == 0 {
			continue
		}
		per := new(big.Rat).Quo(new(big.Rat).SetInt(counts), turn)
		text := counts.String() + "/" + turn.RatString()
		if per.IsInt() {
			text = per.RatString()
		}
		if in.Turned {
			text = "-" + text
		}
		return "inputs." + in.Name + ".counts_per_unit", text + ", which makes a turn " + counts.String() + " counts"
	}
	return "", "counts_per_unit: 100 at the input, or another that makes a turn an even whole number of counts"
}

// wrap takes off one turn, after twice, four times ... as much where the value can be that far out.
func (e *emitter) wrap(v program.ID, op *program.RealOp, lsb *big.Rat) program.ID {
	turn := new(big.Rat).Quo(op.K, lsb)
	if !turn.IsInt() || turn.Num().Bit(0) != 0 {
		key, remedy := e.countedBy(lsb, op.K)
		if key == "" {
			key = e.Asked.Sections[op.Section].Key()
		}
		digits := 3
		for digits < 12 && strings.HasSuffix(turn.FloatString(digits), "000") {
			digits += 3 // 65535.99999984 is no whole number
		}
		e.fail(op.Section, "turn-not-whole", key, remedy, "a turn is %s counts of what the angle of %s is counted in, an even whole number is expected", turn.FloatString(digits), e.Asked.Sections[op.Section].Name)
		turn = big.NewRat(2, 1)
	}
	id := e.at(op.Args[0], lsb, op.Section)
	reach := new(big.Rat).Quo(e.Ranges[op.Args[0]].Size(), op.K)
	stages := 0
	for two(stages).Cmp(new(big.Rat).Add(reach, big.NewRat(1, 2))) < 0 {
		stages++
	}
	if stages > 8 {
		e.fail(op.Section, "too-many-turns", e.Asked.Sections[op.Section].Key(), "a narrower raw type, or a larger counts_per_unit", "the angle can be %s turns out, at most 255 are taken off", reach.FloatString(1))
		stages = 0
	}
	for k := max(stages-1, 0); k >= 0; k-- {
		suffix := ""
		if k > 0 {
			suffix = "_turns"
		}
		id = e.add(program.Op{Kind: program.Wrap, Args: []program.ID{id}, K: new(big.Rat).Mul(turn, two(k))}, v, lsb, op.Section, suffix)
	}
	return id
}
