package scale

import (
	"math"

	"gainwright/model/cert"
	"gainwright/model/program"
)

// arctanForms are the arctangents on offer, the cheapest first: bits of the quotient, log2 of the table's
// pieces, fraction bits of the result in degrees.
var arctanForms = []struct {
	quotient, entries uint
	fraction          int
}{{13, 5, 7}, {14, 6, 7}, {15, 7, 7}, {15, 7, 9}, {15, 8, 12}}

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
