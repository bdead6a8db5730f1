package cost

import "gainwright/model/target"

// tables are written by the calibration of gen/target; see DEVELOPERS.md. What the features mean is said at Features.
var tables = []Table{
	{Target: target.Named("avr8"), Base: 6.36, Errors: map[Sort]Error{
		Usual: {24, 6.1, 17.6, 17.8},
		Small: {23, 7.2, 22.6, 29.5},
		Wide:  {33, 4.6, 14.3, 21.0},
	}, Costs: map[string]float64{
		"absolute16": 5, "absolute32": 10, "absolute64": 30, "add16": 5.39, "add32": 13.24, "add64": 41.88,
		"addfixed16": 0.82, "addfixed32": 0.82, "addfixed64": 0.82, "angle": 1083.05, "angleform": 0.96, "clamp16": 10,
		"clamp32": 20, "clamp64": 60, "clampfixed16": 9.63, "clampfixed32": 19.26, "clampfixed64": 53.31, "coef": 26.11,
		"condition": 7.24, "extreme16": 5, "extreme32": 10, "extreme64": 40, "extremefixed16": 8.03,
		"extremefixed32": 12.72, "extremefixed64": 31.42, "factorform": 0.88, "far": 4, "framed": 5, "fused32": 5.92,
		"input16": 4.13, "input32": 7.91, "input8": 2.07, "less16": 4.48, "less32": 4.48, "less64": 22.58,
		"library32": 56.3, "limitform": 0.87, "load16": 4.46, "load32": 9.98, "load64": 16.3, "load8": 2.08, "logic": 0.5,
		"negate16": 0.75, "negate32": 5.66, "negate64": 12.85, "output16": 4.29, "output32": 7.97, "output8": 1.89,
		"placed": 5.09, "product64": 333.9, "productform": 1.16, "round16": 0.25, "round32": 0.25, "round64": 61.59,
		"roundbits64": 10.26, "roundform": 0.94, "saved": 2.53, "select16": 3.05, "select32": 3.05, "select64": 6.36,
		"spilled": 0.13, "store16": 4.42, "store32": 10.04, "store64": 16.19, "store8": 2.09, "up64": 66.91,
		"upbits64": 10.72, "upform": 1.13, "widened16to32": 1, "widened16to64": 7.01, "widened32to64": 3.88,
		"widening64": 229.46, "wideningfixed64": 207.47, "wrap16": 6.54, "wrap32": 12.11, "wrap64": 52.11,
	}},
	{Target: target.Named("cortex-m0"), Base: 1.39, Errors: map[Sort]Error{
		Usual: {27, 7.7, 20.7, 26.2},
		Small: {20, 4.6, 11.3, 21.2},
		Wide:  {33, 5.4, 17.4, 18.7},
	}, Costs: map[string]float64{
		"absolute32": 3, "absolute64": 6, "add32": 1.31, "add64": 1.36, "again": 0.61, "angle": 0.91, "chain32": 1.15,
		"chain64": 1.83, "coef": 1.31, "condition": 2.22, "latch": 1.48, "less32": 0.5, "less64": 3.82, "library64": 44.66,
		"limit32": 2.46, "limit64": 2.73, "literal": 0.65, "load": 0.99, "logic": 0.9, "product32": 1.66, "round32": 1.01,
		"round64": 1.22, "saved": 0.25, "select32": 1.93, "select64": 2.72, "sign64": 0.93, "spilled": 0.58, "store": 0.87,
		"truth": 3.29, "up32": 0.84, "up64": 0.97, "wrap32": 7.93, "wrap64": 12,
	}},
	{Target: target.Named("cortex-m4"), Base: 1.45, Errors: map[Sort]Error{
		Usual: {12, 3.0, 12.9, 12.9},
		Small: {30, 7.8, 26.6, 32.3},
		Wide:  {38, 5.9, 13.2, 15.6},
	}, Costs: map[string]float64{
		"absolute32": 3, "absolute64": 4, "add32": 1.13, "add64": 1.22, "again": 0.13, "angle": 0.73, "chain32": 1.16,
		"chain64": 1.14, "coef": 1.26, "condition": 1.95, "latch": 1.15, "less32": 0.5, "less64": 3.69, "limit32": 3.33,
		"limit64": 5.83, "literal": 0.43, "load": 1.21, "logic": 0.38, "product32": 1.11, "product64": 1.03,
		"round32": 0.95, "round64": 0.72, "saved": 0.6, "select32": 2.29, "select64": 2.78, "sign64": 0.93, "spilled": 1,
		"store": 0.93, "truth": 2.56, "up32": 1.07, "up64": 0.73, "wrap32": 4.89, "wrap64": 12,
	}},
	{Target: target.Named("rv32imc"), Base: 1.24, Errors: map[Sort]Error{
		Usual: {15, 3.5, 25.1, 25.1},
		Small: {26, 5.1, 16.8, 18.6},
		Wide:  {39, 3.7, 10.8, 14.6},
	}, Costs: map[string]float64{
		"absolute32": 3, "absolute64": 6, "add32": 1.26, "add64": 1.26, "again": 0.53, "angle": 0.94, "chain32": 0.79,
		"chain64": 1.02, "coef": 1.17, "condition": 0.92, "latch": 1.47, "less32": 0.74, "less64": 2.49, "limit32": 2.06,
		"limit64": 2.31, "literal": 0.74, "load": 1.07, "logic": 0.36, "product32": 1.2, "product64": 0.96,
		"round32": 1.07, "round64": 1.13, "saved": 1, "select32": 1.39, "select64": 1.56, "sign64": 0.98, "spilled": 1,
		"store": 1.13, "truth": 0.96, "up32": 1.08, "up64": 0.79, "wrap32": 5.2, "wrap64": 10,
	}},
}
