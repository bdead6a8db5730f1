package cost

// tables are written by the calibration of gen/target; see DEVELOPERS.md. What the features mean is said at Features.
var tables = []Table{
	{Target: "avr8", Unit: Cycles, Word: 8, Base: 6.19, Errors: map[Sort]Error{
		Usual: {30, 6.0, 19.2, 22.1},
		Small: {18, 11.3, 69.2, 69.2},
		Wide:  {32, 4.4, 14.3, 15.6},
	}, Costs: map[string]float64{
		"absolute16": 5, "absolute32": 10, "absolute64": 30, "add16": 1.93, "add32": 8.47, "add64": 25.1,
		"addfixed16": 0.75, "addfixed32": 4.47, "addfixed64": 17.72, "angle": 1055.16, "angleform": 0.91, "clamp16": 10,
		"clamp32": 20, "clamp64": 60, "clampfixed16": 11.14, "clampfixed32": 22.27, "clampfixed64": 80.44, "coef": 12.17,
		"condition": 4.98, "extreme16": 5, "extreme32": 10, "extreme64": 40, "extremefixed16": 8.75,
		"extremefixed32": 12.43, "extremefixed64": 12.43, "factorform": 1.01, "far": 4.88, "framed": 5, "fused32": 5.86,
		"input16": 3.74, "input32": 7.84, "input8": 2.05, "less16": 1, "less32": 7.82, "less64": 25.5, "library32": 41.57,
		"limitform": 0.95, "load16": 5.06, "load32": 8.78, "load64": 16.68, "load8": 2.01, "logic": 0.5, "negate16": 4.16,
		"negate32": 8.42, "negate64": 20.53, "output16": 4.46, "output32": 10.43, "output8": 1.79, "placed": 5.82,
		"product16": 49.5, "product64": 307.65, "productform": 1.06, "round16": 0.25, "round32": 0.25, "round64": 58.74,
		"roundbits64": 12.47, "roundform": 0.94, "saved": 2.6, "select16": 0.75, "select32": 0.75, "select64": 25.04,
		"spilled": 0.13, "store16": 5.08, "store32": 8.91, "store64": 16.72, "store8": 2.01, "up64": 65.36, "upbits64": 2,
		"upform": 1.05, "widened16to32": 1.62, "widened16to64": 7, "widened32to64": 4.76, "widening64": 223.35,
		"wideningfixed64": 213.84, "wrap16": 14.33, "wrap32": 23.37, "wrap64": 63.37,
	}},
	{Target: "cortex-m0", Unit: Instructions, Word: 32, Base: 1.26, Errors: map[Sort]Error{
		Usual: {28, 6.3, 17.8, 26.5},
		Small: {20, 4.6, 18.3, 21.8},
		Wide:  {32, 5.2, 18.8, 51.4},
	}, Costs: map[string]float64{
		"absolute32": 3, "absolute64": 6, "add32": 1.11, "add64": 1.05, "again": 0.58, "angle": 0.99, "chain32": 1.08,
		"chain64": 1.73, "coef": 1.24, "condition": 2.17, "latch": 1.36, "less32": 0.58, "less64": 3.83,
		"library64": 44.92, "limit32": 2.9, "limit64": 3.39, "literal": 0.59, "load": 1.42, "logic": 0.54,
		"product32": 1.24, "round32": 0.83, "round64": 1.45, "saved": 0.25, "select32": 1.87, "select64": 2.64,
		"sign64": 0.96, "spilled": 0.63, "store": 1.01, "truth": 2.52, "up32": 1.18, "up64": 0.88, "wrap32": 7.41,
		"wrap64": 12,
	}},
	{Target: "rv32imc", Unit: Instructions, Word: 32, Base: 1.31, Errors: map[Sort]Error{
		Usual: {23, 2.2, 9.9, 13.2},
		Small: {25, 4.1, 22.0, 23.0},
		Wide:  {32, 3.9, 14.3, 28.3},
	}, Costs: map[string]float64{
		"absolute32": 3, "absolute64": 6, "add32": 1.38, "add64": 0.89, "again": 0.54, "angle": 0.94, "chain32": 0.81,
		"chain64": 1.03, "coef": 1.15, "condition": 0.92, "latch": 1.45, "less32": 0.72, "less64": 2.51, "limit32": 2.08,
		"limit64": 2.85, "literal": 0.73, "load": 1.04, "logic": 0.39, "product32": 1.14, "product64": 1, "round32": 1.04,
		"round64": 1.2, "saved": 1, "select32": 1.36, "select64": 1.6, "sign64": 1.01, "spilled": 1, "store": 1.13,
		"truth": 0.97, "up32": 1.05, "up64": 0.84, "wrap32": 5.19, "wrap64": 10,
	}},
}
