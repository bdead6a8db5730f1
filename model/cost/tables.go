package cost

// tables are written by the calibration of gen/target; see DEVELOPERS.md. What the features mean is said at Features.
var tables = []Table{
	{Target: "avr8", Unit: Cycles, Word: 8, Base: 6.55, Errors: map[Sort]Error{
		Usual: {22, 6.0, 13.3, 19.7},
		Small: {16, 6.2, 28.8, 28.8},
		Wide:  {42, 4.4, 18.5, 25.0},
	}, Costs: map[string]float64{
		"absolute16": 5, "absolute32": 10, "absolute64": 30, "add16": 1.18, "add32": 10.73, "add64": 25.82,
		"addfixed16": 0.75, "addfixed32": 4.33, "addfixed64": 18.02, "angle": 1088.2, "angleform": 0.89, "clamp16": 10,
		"clamp32": 20, "clamp64": 60, "clampfixed16": 11.18, "clampfixed32": 22.37, "clampfixed64": 81.32, "coef": 10.61,
		"condition": 1.11, "extreme16": 5, "extreme32": 10, "extreme64": 40, "extremefixed16": 3.21,
		"extremefixed32": 7.58, "extremefixed64": 14.97, "factorform": 0.99, "far": 4.45, "framed": 5, "fused32": 5.85,
		"input16": 3.93, "input32": 7.83, "input8": 2.05, "less16": 1, "less32": 7.59, "less64": 24.46, "library32": 40.79,
		"limitform": 0.98, "load16": 5.4, "load32": 9.07, "load64": 16.58, "load8": 2.01, "logic": 1.85, "negate16": 6.09,
		"negate32": 7.65, "negate64": 19.26, "output16": 4.16, "output32": 10.19, "output8": 1.87, "placed": 5.19,
		"product64": 308.94, "productform": 1.05, "round16": 0.25, "round32": 0.25, "round64": 58.41, "roundbits64": 12.6,
		"roundform": 0.91, "saved": 2.81, "select16": 1.27, "select32": 1.27, "select64": 23.8, "spilled": 0.13,
		"store16": 5.33, "store32": 9.18, "store64": 16.6, "store8": 2.01, "up64": 62.92, "upbits64": 2, "upform": 1.07,
		"widened16to32": 1.21, "widened16to64": 7, "widened32to64": 5.02, "widening64": 215.33, "wideningfixed64": 211.06,
		"wrap16": 12.31, "wrap32": 20.44, "wrap64": 60.44,
	}},
	{Target: "cortex-m0", Unit: Instructions, Word: 32, Base: 1.26, Errors: map[Sort]Error{
		Usual: {21, 8.7, 21.2, 22.8},
		Small: {18, 5.3, 24.3, 24.3},
		Wide:  {41, 4.9, 13.9, 16.1},
	}, Costs: map[string]float64{
		"absolute32": 3, "absolute64": 6, "add32": 1.1, "add64": 1.06, "again": 0.59, "angle": 0.99, "chain32": 1.08,
		"chain64": 1.73, "coef": 1.24, "condition": 2.18, "latch": 1.34, "less32": 0.57, "less64": 3.76, "library64": 45.4,
		"limit32": 2.91, "limit64": 3.34, "literal": 0.57, "load": 1.43, "logic": 0.54, "product32": 1.24, "round32": 0.84,
		"round64": 1.43, "saved": 0.25, "select32": 1.86, "select64": 2.63, "sign64": 0.96, "spilled": 0.64, "store": 1.01,
		"truth": 2.52, "up32": 1.19, "up64": 0.9, "wrap32": 7.42, "wrap64": 12,
	}},
	{Target: "rv32imc", Unit: Instructions, Word: 32, Base: 1.31, Errors: map[Sort]Error{
		Usual: {13, 3.1, 25.5, 25.5},
		Small: {27, 3.5, 15.9, 22.0},
		Wide:  {40, 4.2, 10.8, 15.0},
	}, Costs: map[string]float64{
		"absolute32": 3, "absolute64": 6, "add32": 1.38, "add64": 0.89, "again": 0.55, "angle": 0.94, "chain32": 0.82,
		"chain64": 1.03, "coef": 1.15, "condition": 0.92, "latch": 1.45, "less32": 0.73, "less64": 2.51, "limit32": 2.08,
		"limit64": 2.87, "literal": 0.72, "load": 1.04, "logic": 0.4, "product32": 1.15, "product64": 1, "round32": 1.05,
		"round64": 1.19, "saved": 1, "select32": 1.35, "select64": 1.61, "sign64": 1, "spilled": 1, "store": 1.13,
		"truth": 0.97, "up32": 1.06, "up64": 0.85, "wrap32": 5.19, "wrap64": 10,
	}},
}
