package target

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"gainwright/model/cost"
)

// counted is what each feature takes by count of the instructions that it comes down to, on each part. A fit is drawn towards
// it, goes no lower than a quarter of it, and knows no feature that is not in it.
var counted = map[string]cost.Table{
	"avr8": {Target: "avr8", Unit: cost.Cycles, Word: 8, Base: 8, Costs: map[string]float64{
		"input8": 2, "input16": 4, "input32": 8, "output8": 2, "output16": 4, "output32": 8,
		"load8": 2, "load16": 4, "load32": 8, "load64": 16, "store8": 2, "store16": 4, "store32": 8, "store64": 16, "coef": 12,
		"widened16to32": 4, "widened16to64": 7, "widened32to64": 5,
		"add16": 2, "add32": 8, "add64": 30, "addfixed16": 3, "addfixed32": 6, "addfixed64": 20, "fused32": 5,
		"negate16": 3, "negate32": 7, "negate64": 15, "select16": 3, "select32": 6, "select64": 25,
		"less16": 4, "less32": 7, "less64": 20, "logic": 2, "condition": 4,
		"clamp16": 10, "clamp32": 20, "clamp64": 60, "clampfixed16": 10, "clampfixed32": 20, "clampfixed64": 60,
		"extreme16": 5, "extreme32": 10, "extreme64": 40, "extremefixed16": 5, "extremefixed32": 10, "extremefixed64": 40,
		"wrap16": 12, "wrap32": 20, "wrap64": 60, "absolute16": 5, "absolute32": 10, "absolute64": 30,
		"product16": 10, "library32": 45, "widening64": 220, "wideningfixed64": 220, "product64": 300,
		"factorform": 1, "productform": 1, "placed": 4, "limitform": 0.9, "roundform": 1, "upform": 1, "angleform": 0.9, "angle": 950,
		"round16": 1, "round32": 3, "round64": 70, "roundbits64": 8,
		"up64": 40, "upbits64": 8, "saved": 4, "spilled": 0.5, "framed": 20, "far": 4,
	}},
	"cortex-m0": {Target: "cortex-m0", Unit: cost.Instructions, Word: 32, Base: 3, Costs: map[string]float64{
		"input8": 1, "input16": 2, "input32": 1, "output8": 1.5, "output16": 1.5, "output32": 1.5,
		"load8": 1, "load16": 2, "load32": 1, "load64": 2, "store8": 1.5, "store16": 1.5, "store32": 1.5, "store64": 2.5, "coef": 6,
		"widened16to64": 2, "widened32to64": 2, "literal12": 1.5, "literal32": 1,
		"add16": 1.3, "add32": 1.5, "add64": 4, "addfixed16": 1.5, "addfixed32": 1.5, "addfixed64": 4, "fused32": 1.3,
		"negate16": 1, "negate32": 1, "negate64": 3, "select16": 3, "select32": 3, "select64": 5,
		"less16": 2, "less32": 2, "less64": 5, "logic": 1, "condition": 2,
		"clamp16": 6, "clamp32": 6, "clamp64": 14, "clampfixed16": 5, "clampfixed32": 6, "clampfixed64": 11,
		"extreme16": 3.5, "extreme32": 3.5, "extreme64": 7, "extremefixed16": 3.5, "extremefixed32": 3.5, "extremefixed64": 7,
		"wrap16": 6, "wrap32": 6, "wrap64": 14, "absolute16": 3, "absolute32": 3, "absolute64": 6,
		"product16": 2.5, "product32": 3, "widening64": 46, "wideningfixed64": 46, "product64": 46, "high64": 46,
		"round16": 1.5, "round32": 1.7, "round64": 6, "up16": 1, "up32": 1, "up64": 3, "angle": 85,
	}},
	"rv32imc": {Target: "rv32imc", Unit: cost.Instructions, Word: 32, Base: 2, Costs: map[string]float64{
		"input8": 1, "input16": 1, "input32": 1, "output8": 1.5, "output16": 1.5, "output32": 1.5,
		"load8": 1, "load16": 1, "load32": 1, "load64": 2, "store8": 1, "store16": 1, "store32": 1, "store64": 2, "coef": 5,
		"widened16to64": 2, "widened32to64": 2, "literal12": 0.5, "literal32": 1.2,
		"add16": 1.1, "add32": 1.1, "add64": 4, "addfixed16": 1.1, "addfixed32": 1.1, "addfixed64": 4, "fused32": 1,
		"negate16": 1, "negate32": 1, "negate64": 3, "select16": 2, "select32": 2, "select64": 3,
		"less16": 1.5, "less32": 1.5, "less64": 4, "logic": 0.7, "condition": 1.5,
		"clamp16": 4, "clamp32": 4, "clamp64": 9, "clampfixed16": 4, "clampfixed32": 4, "clampfixed64": 9,
		"extreme16": 3, "extreme32": 3, "extreme64": 6, "extremefixed16": 3, "extremefixed32": 3, "extremefixed64": 6,
		"wrap16": 5, "wrap32": 5, "wrap64": 12, "absolute16": 3, "absolute32": 3, "absolute64": 6,
		"product16": 1.5, "product32": 1.5, "widening64": 2.5, "wideningfixed64": 4, "product64": 6, "high64": 3,
		"round16": 1.5, "round32": 1.5, "round64": 5, "up16": 0.8, "up32": 0.8, "up64": 3.5, "angle": 30,
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

// trust in what was counted: being wrong by its own size weighs like an error of 5 % in one sample.
const trust = 0.0025

// fit gives the table that makes the relative errors' squares least, by coordinate descent.
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
	for range 2000 {
		for i, c := range cols {
			pull := trust / math.Pow(math.Max(c.prior, 1), 2)
			switch {
			case strings.HasSuffix(c.features[0], "form"):
				pull *= 400
			case known(c.features[0]):
				pull *= 100
			}
			top, bottom := pull*(c.prior-x[i]), pull
			for r := range all {
				top += rows[r][i] * left[r]
				bottom += rows[r][i] * rows[r][i]
			}
			step := math.Max(top/bottom, c.low-x[i])
			x[i] += step
			for r := range all {
				left[r] -= rows[r][i] * step
			}
		}
	}
	out := cost.Table{Target: from.Target, Unit: from.Unit, Word: from.Word, Costs: map[string]float64{}}
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
