package simulate

import (
	"fmt"
	"slices"
	"strings"
)

// CSV is the table of all runs: a line of column names, then a line for each run. What there is none of is empty.
func (st *Study) CSV() []byte {
	head := append([]string{"seed", "corner", "held.reference", "held.integer"}, st.Tolerances...)
	for _, l := range []string{"reference", "integer"} {
		for _, f := range st.Spread {
			head = append(head, l+"."+strings.ReplaceAll(f.Name, " ", "_"))
		}
	}
	lines := [][]string{head}
	for _, r := range st.Table {
		line := numbers([]string{fmt.Sprint(r.Seed), fmt.Sprint(r.Corner), fmt.Sprint(r.Held[Reference]), fmt.Sprint(r.Held[Integer])}, r.Drew)
		for _, v := range slices.Concat(r.Figures[Reference], r.Figures[Integer]) {
			if v < 0 {
				line = append(line, "")
			} else {
				line = numbers(line, []float64{float64(v)})
			}
		}
		lines = append(lines, line)
	}
	return commaSeparated(lines)
}
