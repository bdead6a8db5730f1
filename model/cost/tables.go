package cost

// tables are written by the calibration of gen/target; see DEVELOPERS.md. What the features mean is said at Features.
var tables = []Table{
	{Target: "avr8", Unit: Cycles, Word: 8, Base: 6.58, Errors: map[Sort]Error{
		Usual: {22, 5.9, 13.5, 19.5},
		Small: {16, 6.3, 29.4, 29.4},
		Wide:  {42, 4.5, 18.6, 25.0},
	}, Costs: map[string]float64{
		"absolute16": 5, "absolute32": 10, "absolute64": 30, "add16": 1.57, "add32": 10.62, "add64": 25.78,
		"addfixed16": 0.75, "addfixed32": 4.37, "addfixed64": 18.05, "angle": 1087.9, "angleform": 0.89, "clamp16": 10,
		"clamp32": 20, "clamp64": 60, "clampfixed16": 11.2, "clampfixed32": 22.39, "clampfixed64": 81.52, "coef": 10.67,
		"condition": 1.01, "extreme16": 5, "extreme32": 10, "extreme64": 40, "extremefixed16": 3.3, "extremefixed32": 7.68,
		"extremefixed64": 15.1, "factorform": 0.99, "far": 4.43, "framed": 5, "fused32": 5.84, "input16": 3.93,
		"input32": 7.83, "input8": 2.05, "less16": 1, "less32": 7.58, "less64": 24.66, "library32": 40.8,
		"limitform": 0.98, "load16": 5.4, "load32": 9.06, "load64": 16.58, "load8": 2.01, "logic": 1.86, "negate16": 5.96,
		"negate32": 7.62, "negate64": 19.3, "output16": 4.15, "output32": 10.24, "output8": 1.87, "placed": 5.28,
		"product64": 308.33, "productform": 1.05, "round16": 0.25, "round32": 0.25, "round64": 58.38, "roundbits64": 12.65,
		"roundform": 0.92, "saved": 2.79, "select16": 1.25, "select32": 1.25, "select64": 24.15, "spilled": 0.13,
		"store16": 5.33, "store32": 9.17, "store64": 16.6, "store8": 2.01, "up64": 62.71, "upbits64": 2, "upform": 1.06,
		"widened16to32": 1.24, "widened16to64": 7, "widened32to64": 5.03, "widening64": 215.37, "wideningfixed64": 210.93,
		"wrap16": 12.53, "wrap32": 20.77, "wrap64": 60.77,
	}},
	{Target: "cortex-m0", Unit: Instructions, Word: 32, Base: 1.25, Errors: map[Sort]Error{
		Usual: {21, 10.1, 20.9, 22.8},
		Small: {18, 5.1, 24.0, 24.0},
		Wide:  {41, 5.1, 13.7, 16.3},
	}, Costs: map[string]float64{
		"absolute32": 3, "absolute64": 6, "add32": 1.07, "add64": 1.14, "again": 0.59, "angle": 0.99, "chain32": 1.08,
		"chain64": 1.73, "coef": 1.24, "condition": 2.25, "latch": 1.34, "less32": 0.57, "less64": 3.73,
		"library64": 45.44, "limit32": 2.83, "limit64": 3.19, "literal": 0.59, "load": 1.46, "logic": 0.54,
		"product32": 1.25, "round32": 0.85, "round64": 1.4, "saved": 0.25, "select32": 1.9, "select64": 2.69,
		"sign64": 0.96, "spilled": 0.63, "store": 0.99, "truth": 2.51, "up32": 1.17, "up64": 0.92, "wrap32": 7.44,
		"wrap64": 12,
	}},
	{Target: "rv32imc", Unit: Instructions, Word: 32, Base: 1.24, Errors: map[Sort]Error{
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
