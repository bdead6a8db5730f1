package target

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"gainwright/model/cost"
	"gainwright/model/target"
)

// counted is what each feature takes by count of the instructions that it comes down to, on each part: on AVR a first guess in cycles,
// elsewhere a factor where the feature itself is a number of instructions. A fit is drawn towards it, goes no lower than a quarter of it,
// and knows no feature that is not in it.
var counted = map[string]cost.Table{
	"avr8": {Target: target.Named("avr8"), Base: 8, Costs: map[string]float64{
		"input8": 2, "input16": 4, "input32": 8, "output8": 2, "output16": 4, "output32": 8,
		"load8": 2, "load16": 4, "load32": 8, "load64": 16, "store8": 2, "store16": 4, "store32": 8, "store64": 16, "coef": 12,
		"widened16to32": 4, "widened16to64": 7, "widened32to64": 5,
		"add16": 2, "add32": 8, "add64": 30, "addfixed16": 3, "addfixed32": 6, "addfixed64": 20, "fused32": 5,
		"negate16": 3, "negate32": 7, "negate64": 15, "select16": 3, "select32": 6, "select64": 25,
		"less16": 4, "less32": 7, "less64": 20, "logic": 2, "condition": 4,
		"clamp16": 10, "clamp32": 20, "clamp64": 60, "clampfixed16": 10, "clampfixed32": 20, "clampfixed64": 60,
		"extreme16": 5, "extreme32": 10, "extreme64": 40, "extremefixed16": 5, "extremefixed32": 10, "extremefixed64": 40,
		"wrap16": 12, "wrap32": 20, "wrap64": 60, "absolute16": 5, "absolute32": 10, "absolute64": 30,
		"library32": 45, "widening64": 220, "wideningfixed64": 220, "product64": 300,
		"factorform": 1, "productform": 1, "placed": 4, "limitform": 0.9, "roundform": 1, "upform": 1, "angleform": 0.9, "angle": 950,
		"round16": 1, "round32": 3, "round64": 70, "roundbits64": 8,
		"up64": 40, "upbits64": 8, "saved": 4, "spilled": 0.5, "framed": 20, "far": 4,
	}},
	"cortex-m0": {Target: target.Named("cortex-m0"), Base: 3, Costs: map[string]float64{
		"load": 1, "store": 1.1, "coef": 1, "latch": 1, "literal": 1, "again": 0.8, "sign64": 1,
		"add32": 1, "add64": 1.2, "round32": 1, "round64": 1.2, "up32": 1, "up64": 1.3,
		"chain32": 1, "chain64": 1, "product32": 1.2, "library64": 50,
		"limit32": 2.5, "limit64": 5, "less32": 2, "less64": 4, "select32": 1.5, "select64": 3, "logic": 1, "truth": 2.5, "condition": 2,
		"wrap32": 5, "wrap64": 12, "absolute32": 3, "absolute64": 6, "angle": 1, "saved": 1, "spilled": 1,
	}},
	"cortex-m4": {Target: target.Named("cortex-m4"), Base: 2, Costs: map[string]float64{
		"load": 1, "store": 1, "coef": 1, "latch": 1, "literal": 1, "again": 0.5, "sign64": 1,
		"add32": 1, "add64": 1, "round32": 1, "round64": 1, "up32": 1, "up64": 1,
		"chain32": 1, "chain64": 1, "product32": 1, "product64": 1,
		"limit32": 3, "limit64": 5, "less32": 2, "less64": 4, "select32": 2, "select64": 3, "logic": 1.5, "truth": 3, "condition": 2,
		"wrap32": 5, "wrap64": 12, "absolute32": 3, "absolute64": 4, "angle": 1, "saved": 1, "spilled": 1,
	}},
	"rv32imc": {Target: target.Named("rv32imc"), Base: 2, Costs: map[string]float64{
		"load": 1, "store": 1, "coef": 1, "latch": 1, "literal": 1, "again": 0.4, "sign64": 1,
		"add32": 1, "add64": 1, "round32": 1, "round64": 1, "up32": 1, "up64": 1.2,
		"chain32": 1, "chain64": 1, "product32": 1, "product64": 1,
		"limit32": 1.6, "limit64": 3.5, "less32": 1, "less64": 3, "select32": 1.2, "select64": 2, "logic": 1, "truth": 1, "condition": 1,
		"wrap32": 4, "wrap64": 10, "absolute32": 3, "absolute64": 6, "angle": 1, "saved": 1, "spilled": 1,
	}},
}

// column is one number to be fitted: what a feature takes, or what it takes more than the same in fewer bits, so that more
// bits never seem to cost less.
type column struct {
	features   []string // that it is a part of; "" is the base
	prior, low float64
}

// columns are the numbers of a table.
func columns(from cost.Table) (out []column) {
	out = append(out, column{[]string{""}, from.Base, from.Base / 4})
	families := map[string][]string{}
	for name := range from.Costs {
		family := strings.TrimRight(name, "0123456789")
		switch family {
		case "input", "output", "load", "store", "widened16to", "widened32to", "literal":
			family = name // a byte may cost more than a word
		}
		if from.Target.Word > 8 && family != "add" {
			family = name // more bits are more instructions, or a feature of their own
		}
		families[family] = append(families[family], name)
	}
	var order []string
	for f, names := range families {
		order = append(order, f)
		slices.SortFunc(names, func(a, b string) int { return width(a) - width(b) })
	}
	sort.Strings(order)
	for _, f := range order {
		names, before := families[f], 0.0
		for i := range names {
			p := from.Costs[names[i]]
			c := column{names[i:], p - before, 0}
			if i == 0 {
				c.low = p / 4
			}
			out, before = append(out, c), p
		}
	}
	return out
}

func width(name string) int {
	n, _ := strconv.Atoi(name[len(strings.TrimRight(name, "0123456789")):])
	return n
}

// known tells whether a feature takes what is counted nearly for sure: values that are read and written and sums with a product.
func known(feature string) bool {
	for _, f := range []string{"input", "output", "load", "store", "fused"} {
		if strings.HasPrefix(feature, f) {
			return true
		}
	}
	return false
}

// trust in what was counted for a feature: with 0.0025, being wrong by its own size weighs like an error of 5 % in one sample. What is
// counted in instructions is trusted more than first guesses.
func trust(word uint, feature string) float64 {
	switch {
	case word > 8:
		return 0.2
	case strings.HasSuffix(feature, "form"):
		return 1
	case known(feature):
		return 0.25
	}
	return 0.0025
}

// heaviness is the weight of a sample by its relative error: what is further off than 10 % weighs more, so that few are far off. What is
// beyond 40 % is nothing that the features could tell, such as an output of which the compiler sees that it is 0 or 1: it weighs less.
func heaviness(off float64) float64 {
	off = math.Abs(off)
	switch {
	case off < 0.1:
		return 1
	case off < 0.4:
		return math.Pow(off/0.1, 1.5)
	}
	return math.Pow(0.4/off, 4)
}

// fit gives the table that makes the relative errors' squares least, weighted by heaviness, by coordinate descent.
func fit(all []sample, from cost.Table) cost.Table {
	cols := columns(from)
	x := make([]float64, len(cols))
	rows := make([][]float64, len(all)) // each sample's sum is to be 1
	left := make([]float64, len(all))
	for i, c := range cols {
		x[i] = c.prior
	}
	for r, s := range all {
		rows[r] = make([]float64, len(cols))
		left[r] = 1
		for i, c := range cols {
			n := 0.0
			for _, f := range c.features {
				if f == "" {
					n++
				} else {
					n += s.features[f]
				}
			}
			rows[r][i] = n / s.worst
			left[r] -= rows[r][i] * x[i]
		}
	}
	heavy := make([]float64, len(all))
	for range 12 {
		for r := range all {
			heavy[r] = heaviness(left[r])
		}
		for range 250 {
			for i, c := range cols {
				pull := trust(from.Target.Word, c.features[0]) / math.Pow(math.Max(c.prior, 1), 2)
				top, bottom := pull*(c.prior-x[i]), pull
				for r := range all {
					top += heavy[r] * rows[r][i] * left[r]
					bottom += heavy[r] * rows[r][i] * rows[r][i]
				}
				step := math.Max(top/bottom, c.low-x[i])
				x[i] += step
				for r := range all {
					left[r] -= rows[r][i] * step
				}
			}
		}
	}
	out := cost.Table{Target: from.Target, Costs: map[string]float64{}}
	for i, c := range cols {
		for _, f := range c.features {
			if f == "" {
				out.Base += x[i]
			} else {
				out.Costs[f] += x[i]
			}
		}
	}
	round := func(v float64) float64 { return math.Round(v*100) / 100 }
	out.Base = round(out.Base)
	for f, v := range out.Costs {
		out.Costs[f] = round(v)
	}
	return out
}
