package simulate

import (
	"fmt"
	"strconv"
	"strings"
)

// CSV is the table of all runs: a line of column names, then a line for each run. What there is none of is empty.
func (st *Study) CSV() []byte {
	var b strings.Builder
	b.WriteString("seed,corner,held.reference,held.integer")
	for _, path := range st.Tolerances {
		b.WriteString("," + path)
	}
	for _, l := range []string{"reference", "integer"} {
		for _, f := range st.Spread {
			b.WriteString("," + l + "." + strings.ReplaceAll(f.Name, " ", "_"))
		}
	}
	b.WriteByte('\n')
	number := func(v float64) { b.WriteString("," + strconv.FormatFloat(v, 'g', 9, 64)) }
	for _, r := range st.Table {
		fmt.Fprintf(&b, "%d,%v,%v,%v", r.Seed, r.Corner, r.Held[Reference], r.Held[Integer])
		for _, v := range r.Drew {
			number(v)
		}
		for _, loop := range r.Figures {
			for _, v := range loop {
				if v < 0 {
					b.WriteByte(',')
					continue
				}
				number(float64(v))
			}
		}
		b.WriteByte('\n')
	}
	return []byte(b.String())
}
