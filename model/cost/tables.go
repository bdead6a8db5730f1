package cost

// tables are written by the calibration of gen/target; see DEVELOPERS.md. What the features mean is said at Features.
var tables = []Table{
	{Target: "avr8", Unit: Cycles, Word: 8, Base: 6.57, Errors: map[Sort]Error{
		Usual: {22, 6.1, 13.4, 19.6},
		Small: {16, 6.1, 29.4, 29.4},
		Wide:  {42, 4.4, 18.5, 25.0},
	}, Costs: map[string]float64{
		"absolute16": 5, "absolute32": 10, "absolute64": 30, "add16": 1.37, "add32": 10.71, "add64": 26,
		"addfixed16": 0.75, "addfixed32": 4.37, "addfixed64": 17.96, "angle": 1088.06, "angleform": 0.89, "clamp16": 10,
		"clamp32": 20, "clamp64": 60, "clampfixed16": 11.18, "clampfixed32": 22.37, "clampfixed64": 81.32, "coef": 10.65,
		"condition": 1, "extreme16": 5, "extreme32": 10, "extreme64": 40, "extremefixed16": 3.3, "extremefixed32": 7.67,
		"extremefixed64": 14.93, "factorform": 0.99, "far": 4.43, "framed": 5, "fused32": 5.84, "input16": 3.93,
		"input32": 7.84, "input8": 2.05, "less16": 1, "less32": 7.57, "less64": 24.79, "library32": 40.8,
		"limitform": 0.98, "load16": 5.4, "load32": 9.06, "load64": 16.58, "load8": 2.01, "logic": 1.86, "negate16": 5.99,
		"negate32": 7.63, "negate64": 19.46, "output16": 4.15, "output32": 10.25, "output8": 1.87, "placed": 5.28,
		"product64": 308.64, "productform": 1.05, "round16": 0.25, "round32": 0.25, "round64": 58.3, "roundbits64": 12.63,
		"roundform": 0.91, "saved": 2.78, "select16": 1.26, "select32": 1.26, "select64": 23.97, "spilled": 0.13,
		"store16": 5.33, "store32": 9.18, "store64": 16.61, "store8": 2.01, "up64": 63.11, "upbits64": 2, "upform": 1.06,
		"widened16to32": 1.19, "widened16to64": 7, "widened32to64": 4.96, "widening64": 215.38, "wideningfixed64": 211.17,
		"wrap16": 12.43, "wrap32": 20.62, "wrap64": 60.62,
	}},
	{Target: "cortex-m0", Unit: Instructions, Word: 32, Base: 1.24, Errors: map[Sort]Error{
		Usual: {21, 8.6, 21.1, 23.0},
		Small: {18, 5.1, 24.1, 24.1},
		Wide:  {41, 5.1, 13.6, 16.2},
	}, Costs: map[string]float64{
		"absolute32": 3, "absolute64": 6, "add32": 1.06, "add64": 1.15, "again": 0.59, "angle": 0.99, "chain32": 1.08,
		"chain64": 1.74, "coef": 1.25, "condition": 2.18, "latch": 1.35, "less32": 0.57, "less64": 3.75,
		"library64": 45.34, "limit32": 2.91, "limit64": 3.25, "literal": 0.57, "load": 1.44, "logic": 0.54,
		"product32": 1.25, "round32": 0.84, "round64": 1.42, "saved": 0.25, "select32": 1.87, "select64": 2.62,
		"sign64": 0.96, "spilled": 0.64, "store": 1.02, "truth": 2.52, "up32": 1.19, "up64": 0.9, "wrap32": 7.42,
		"wrap64": 12,
	}},
	{Target: "rv32imc", Unit: Instructions, Word: 32, Base: 1.27, Errors: map[Sort]Error{
		Usual: {13, 3.2, 25.3, 25.3},
		Small: {26, 4.5, 17.3, 20.6},
		Wide:  {41, 3.5, 9.1, 14.4},
	}, Costs: map[string]float64{
		"absolute32": 3, "absolute64": 6, "add32": 1.25, "add64": 1.25, "again": 0.55, "angle": 0.94, "chain32": 0.81,
		"chain64": 1.02, "coef": 1.17, "condition": 0.92, "latch": 1.48, "less32": 0.73, "less64": 2.47, "limit32": 2.11,
		"limit64": 2.4, "literal": 0.72, "load": 1.07, "logic": 0.37, "product32": 1.2, "product64": 0.98, "round32": 1.06,
		"round64": 1.12, "saved": 1, "select32": 1.4, "select64": 1.53, "sign64": 0.97, "spilled": 1, "store": 1.14,
		"truth": 0.96, "up32": 1.1, "up64": 0.77, "wrap32": 5.2, "wrap64": 10,
	}},
}
