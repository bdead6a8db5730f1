package simulate

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// Influence is how a figure of the integer loop hangs on the tolerances, the strongest first: by the rank correlation of Spearman between what the runs drew and
// what came of it, 1 where the one always rises with the other, -1 where it always falls. It takes no straight line for granted.
//
// Source: Kendall, Gibbons, Rank Correlation Methods (from memory).
type Influence struct {
	Name string `json:"name"` // of the figure
	Of   []Rank `json:"of"`   // those that stand out from chance
}

// Rank is the rank correlation with one tolerance.
type Rank struct {
	Path        string  `json:"tolerance"`
	Correlation float64 `json:"rank_correlation"`
}

// fewestRuns is how many runs are needed to rank anything.
const fewestRuns = 10

// influence ranks the tolerances by what they do to one figure. What chance alone would show in one of twenty cases, 1.96/sqrt(n-1), does not stand out.
func (st *Study) influence(f figure, values []float64) Influence {
	out := Influence{Name: f.name, Of: []Rank{}}
	if len(values) < fewestRuns {
		return out
	}
	least := 1.96 / math.Sqrt(float64(len(values)-1))
	figure := ranks(values)
	for i, path := range st.Tolerances {
		drew := make([]float64, len(values))
		for k := range drew {
			drew[k] = st.Table[k].Drew[i]
		}
		if r := stat.Correlation(ranks(drew), figure, nil); math.Abs(r) > least { // not a number where nothing changes
			out.Of = append(out.Of, Rank{path, r})
		}
	}
	slices.SortStableFunc(out.Of, func(a, b Rank) int { return cmp.Compare(math.Abs(b.Correlation), math.Abs(a.Correlation)) })
	return out
}

// ranks numbers values by size, equal ones by their mean place.
func ranks(values []float64) []float64 {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(values[a], values[b]) })
	out := make([]float64, len(values))
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && values[order[j]] == values[order[i]] {
			j++
		}
		for k := i; k < j; k++ {
			out[order[k]] = float64(i+j-1) / 2
		}
		i = j
	}
	return out
}
