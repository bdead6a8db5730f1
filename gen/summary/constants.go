package summary

import (
	"fmt"
	"math/big"

	"gainwright/gen/contract"
	"gainwright/gen/document"
	"gainwright/model"
)

// Constants say what each number of the spec became. Count is that of the integer program, lsb what one count stands for, an exact fraction; a live
// gain is at its value at start; a limit of an output is stored inwards, never further out than asked; line is that of the spec, 0 where unknown.
func Constants(u *model.Unit) *document.Table {
	t := &document.Table{Rest: "Stored exactly", Columns: document.Columns("name:name|unit|asked:asked|stored:>stored|relative_error:>error|exact|count:>count|lsb|live||limit|line")}
	if !u.OK() {
		return t
	}
	exactly := 0
	for _, c := range u.Constants {
		note, wrong, isLimit := "", document.Both("exact", 0), c.Limit != nil
		off := new(big.Rat).Sub(c.Stored, c.Asked)
		isExact := off.Sign() == 0
		if !isExact && c.Asked.Sign() != 0 {
			share := number(off.Quo(off, c.Asked))
			wrong = document.Both(fmt.Sprintf("%+.2g %%", share*100), share)
		}
		switch {
		case c.Live:
			note = "live, at start"
		case isLimit && !isExact:
			note = "limit, rounded inwards"
		}
		if isExact {
			exactly++
		}
		t.Put(document.Word(c.Name), document.Some(c.Unit), document.Both(named(contract.Decimal(c.Asked), c.Unit), number(c.Asked)),
			document.Both(contract.Decimal(c.Stored), number(c.Stored)), wrong,
			isExact, document.Both(fmt.Sprint(c.Count), c.Count), c.LSB.RatString(), c.Live, document.Cell{Text: note}, isLimit, c.Line)
		t.Rows[len(t.Rows)-1].Minor = isExact
	}
	t.Title = fmt.Sprintf("Constants: %d of %d are stored exactly", exactly, len(t.Rows))
	return t
}
