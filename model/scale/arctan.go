package scale

import (
	"math"
	"math/big"
	"sync"

	"gainwright/model/cert"
	"gainwright/model/program"
)

// arctanForms are the arctangents on offer, the cheapest first: bits of the quotient, log2 of the table's
// pieces, fraction bits of the result in degrees.
var arctanForms = []struct {
	quotient, entries uint
	fraction          int
}{{13, 5, 7}, {14, 6, 7}, {15, 7, 7}, {15, 7, 9}, {15, 8, 12}}

// arctans are the tables of arctanForms, each made and proven once, where it is first wanted: a search asks for the same few all the time.
// Nothing changes them.
var arctans = func() (out []func() *program.Arctan) {
	for _, f := range arctanForms {
		out = append(out, sync.OnceValue(func() *program.Arctan { return newArctan(f.quotient, f.entries, f.fraction) }))
	}
	return out
}()

// newArctan makes the table of an arctangent in degrees with n fraction bits.
func newArctan(quotient, entries uint, n int) *program.Arctan {
	t := &program.Arctan{QuotientBits: quotient, LogEntries: entries, Quarter: 90 << n}
	pieces := 1 << entries
	perRadian := float64(t.Quarter) / (math.Pi / 2)
	for i := 0; i <= pieces; i++ {
		t.Entries = append(t.Entries, int64(math.Round(math.Atan(float64(i)/float64(pieces))*perRadian)))
	}
	t.Entries = append(t.Entries, t.Entries[pieces])
	var err error
	if t.MaxError, err = cert.ArctanError(t); err != nil {
		panic("scale: " + err.Error())
	}
	return t
}

// checkSides refuses sides of an angle that the arctangent cannot take as they are: near the zero vector a rounded side
// turns the angle by any amount, so they must have a format in common in which both are at most 65535.
func (e *emitter) checkSides(op *program.RealOp, lsb *big.Rat) {
	for _, a := range op.Args {
		side := &e.Asked.Ops[a]
		if side.Change {
			from := &e.Asked.Ops[side.Args[0]]
			e.fail(op.Section, "angle-counts", op.Name, "the same counts_per_unit for both sides", "%s is counted in other units than the other side of the angle", from.Name)
			return
		}
	}
	for _, a := range op.Args {
		side := &e.Asked.Ops[a]
		if reach := new(big.Rat).Quo(e.Ranges[a].Size(), lsb); reach.Cmp(mostSide) > 0 {
			e.fail(op.Section, "angle-too-wide", op.Name, "formats: one of 16 bits for both sides, inputs of at most 16 bits, or limits for a side", "%s reaches %s counts, an arctangent takes at most 65535", side.Name, reach.FloatString(0))
			return
		}
	}
}

var mostSide = big.NewRat(65535, 1)
