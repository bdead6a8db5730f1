package cost

// tables are written by the calibration of gen/target; see DEVELOPERS.md. What the features mean is said at Features.
var tables = []Table{
	{Target: "avr8", Unit: Cycles, Word: 8, Base: 7.1, Errors: map[Sort]Error{
		Usual: {27, 4.5, 18.1, 21.7},
		Small: {11, 11.7, 32.0, 32.0},
		Wide:  {42, 5.0, 16.2, 23.8},
	}, Costs: map[string]float64{
		"absolute16": 5, "absolute32": 10, "absolute64": 30, "add16": 2.7, "add32": 3.11, "add64": 17.63,
		"addfixed16": 0.75, "addfixed32": 3.14, "addfixed64": 13.05, "angle": 1098.4, "angleform": 1, "clamp16": 10,
		"clamp32": 20, "clamp64": 60, "clampfixed16": 13.52, "clampfixed32": 27.05, "clampfixed64": 123.42, "coef": 15.66,
		"condition": 1, "extreme16": 5, "extreme32": 10, "extreme64": 40, "extremefixed16": 1.25, "extremefixed32": 6.56,
		"extremefixed64": 47.88, "factorform": 1.27, "fused32": 4.06, "input16": 1, "input32": 7.79, "input8": 1.14,
		"less16": 1, "less32": 7.62, "less64": 17.39, "library32": 44.77, "limitform": 0.83, "load16": 5.91,
		"load32": 10.94, "load64": 4, "load8": 2.34, "logic": 0.5, "negate16": 2.9, "negate32": 9.33, "negate64": 24.99,
		"output16": 3.83, "output32": 16.61, "output8": 1.16, "product16": 15.87, "product64": 280.28, "productform": 1.51,
		"round16": 1.09, "round32": 1.36, "round64": 71.73, "roundbits64": 8.58, "roundform": 0.8, "saved": 1.5,
		"select16": 1.62, "select32": 1.62, "select64": 55.89, "spilled": 0.33, "store16": 6.07, "store32": 10.94,
		"store64": 4, "store8": 2.34, "up16": 6.17, "up32": 8.3, "up64": 85.83, "upbits16": 4.33, "upbits32": 4.33,
		"upbits64": 6.64, "upform": 0.25, "widened16to32": 3.72, "widened16to64": 7, "widened32to64": 1.25,
		"widening64": 243.48, "wideningfixed64": 219.08, "wrap16": 29.06, "wrap32": 44.64, "wrap64": 84.64,
	}},
	{Target: "cortex-m0", Unit: Instructions, Word: 32, Base: 0.75, Errors: map[Sort]Error{
		Usual: {27, 10.3, 26.4, 39.8},
		Small: {10, 22.6, 43.3, 43.3},
		Wide:  {43, 5.5, 35.4, 66.2},
	}, Costs: map[string]float64{
		"absolute16": 3, "absolute32": 3, "absolute64": 6, "add16": 0.39, "add32": 0.39, "add64": 3.59, "addfixed16": 0.38,
		"addfixed32": 1.1, "addfixed64": 2.9, "angle": 75.28, "clamp16": 6, "clamp32": 6, "clamp64": 14,
		"clampfixed16": 4.59, "clampfixed32": 5.86, "clampfixed64": 8.33, "coef": 7.39, "condition": 0.5, "extreme16": 3.5,
		"extreme32": 3.5, "extreme64": 7, "extremefixed16": 1.91, "extremefixed32": 3.08, "extremefixed64": 3.08,
		"fused32": 1.5, "high64": 39.59, "input16": 0.77, "input32": 0.4, "input8": 1.76, "less16": 0.5, "less32": 1.19,
		"less64": 7.52, "literal12": 1.29, "literal32": 0.25, "load16": 3.42, "load32": 0.72, "load64": 2.52,
		"load8": 2.37, "logic": 0.25, "negate16": 2.63, "negate32": 2.7, "negate64": 5.64, "output16": 2.37,
		"output32": 0.38, "output8": 3.75, "product16": 5.05, "product32": 5.07, "product64": 44.08, "round16": 1.36,
		"round32": 1.36, "round64": 8.05, "select16": 0.75, "select32": 0.75, "select64": 1.92, "store16": 2.56,
		"store32": 0.86, "store64": 3.32, "store8": 4.57, "up16": 0.25, "up32": 0.25, "up64": 2.8, "widened16to64": 2,
		"widened32to64": 2.19, "widening64": 50.77, "wideningfixed64": 51.21, "wrap16": 20.26, "wrap32": 20.66,
		"wrap64": 28.66,
	}},
	{Target: "rv32imc", Unit: Instructions, Word: 32, Base: 0.5, Errors: map[Sort]Error{
		Usual: {20, 6.9, 20.1, 28.5},
		Small: {21, 5.9, 23.4, 27.7},
		Wide:  {39, 5.9, 20.7, 25.3},
	}, Costs: map[string]float64{
		"absolute16": 3, "absolute32": 3, "absolute64": 6, "add16": 1.69, "add32": 1.69, "add64": 3.29, "addfixed16": 0.28,
		"addfixed32": 1.7, "addfixed64": 1.7, "angle": 28.65, "clamp16": 4, "clamp32": 4, "clamp64": 9,
		"clampfixed16": 4.92, "clampfixed32": 4.92, "clampfixed64": 4.92, "coef": 4.84, "condition": 0.38, "extreme16": 3,
		"extreme32": 3, "extreme64": 6, "extremefixed16": 2.22, "extremefixed32": 3.8, "extremefixed64": 4.19,
		"fused32": 1.34, "high64": 0.93, "input16": 1.22, "input32": 0.25, "input8": 1.11, "less16": 0.38, "less32": 0.38,
		"less64": 3.65, "literal12": 0.13, "literal32": 0.32, "load16": 1.12, "load32": 0.93, "load64": 2.84, "load8": 1.9,
		"logic": 0.18, "negate16": 1.96, "negate32": 1.96, "negate64": 4.42, "output16": 2.45, "output32": 1.34,
		"output8": 2.71, "product16": 2.83, "product32": 2.83, "product64": 4.96, "round16": 1.2, "round32": 1.2,
		"round64": 3.3, "select16": 1.09, "select32": 1.09, "select64": 1.09, "store16": 1.08, "store32": 0.93,
		"store64": 2.84, "store8": 1.9, "up16": 0.2, "up32": 0.2, "up64": 4.68, "widened16to64": 1.37,
		"widened32to64": 4.14, "widening64": 6.48, "wideningfixed64": 9.32, "wrap16": 1.85, "wrap32": 1.85, "wrap64": 8.85,
	}},
}
