// Package cost estimates what one tick of an integer program costs on a target, without a compiler.
//
// A program is taken apart into features, such as a product of 16 by 16 into 32 bits, or a rounding of a
// 32-bit value by a number of bits that is no whole byte. A table holds what each costs; the tables are
// measured (see the calibration test of gen/target), and their error is stated with them.
package cost

import (
	"maps"
	"slices"
	"strings"

	"gainwright/model/target"
)

// Table is the cost of each feature on one target.
type Table struct {
	Target *target.Target
	Base   float64            // call, return and the moving of inputs and outputs
	Costs  map[string]float64 // by feature
	// Errors are those for controllers that the table was not fitted to, by sort.
	Errors map[Sort]Error
}

// Sort is a sort of ticks, by how well the tables know them.
type Sort string

// Small ticks are off by few cycles or instructions, which are many percent. For Wide ones, with arithmetic of 64 bits, much depends on how
// the compiler finds registers for it.
const (
	Usual Sort = "usual"
	Small Sort = "small"
	Wide  Sort = "wide"
)

// Error is how far estimates of one sort of ticks were off from the worst tick measured or proven.
type Error struct {
	Controllers int     // that it was measured on
	Middle      float64 // percent: half of them are off by less
	Nineteen    float64 // 19 of 20
	Most        float64 // all
}

// smallWords says below which estimate a tick is small.
const smallWords = 40

// Sort tells which sort a tick is of, from its features and its estimate.
func (t *Table) Sort(f Features, estimate float64) Sort {
	small := float64(smallWords)
	if t.Target.Word == 8 {
		small *= 4
	}
	if estimate < small {
		return Small
	}
	for name, n := range f {
		if n > 0 && strings.HasSuffix(name, "64") {
			return Wide
		}
	}
	return Usual
}

// For returns the table of the target of that name, or nil where there is none.
func For(name string) *Table {
	if i := slices.IndexFunc(tables, func(t Table) bool { return t.Target.Name == name }); i >= 0 {
		return &tables[i]
	}
	return nil
}

// Estimate is the cost of one tick. unknown lists features that the table does not hold; they count as the
// dearest that it holds.
func (t *Table) Estimate(features Features) (total float64, unknown []string) {
	total = t.Base
	dearest := slices.Max(append(slices.Collect(maps.Values(t.Costs)), 0))
	for _, f := range slices.Sorted(maps.Keys(features)) { // sums of floats in one order
		c, ok := t.Costs[f]
		if !ok {
			c = dearest
			unknown = append(unknown, f)
		}
		total += c * features[f]
	}
	return total, unknown
}
