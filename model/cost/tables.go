package cost

// tables holds what each feature costs. Figures are least-squares fits to measured worst ticks.
var tables = []Table{
	{Target: "avr8", Unit: Cycles, Base: 60, Costs: map[string]float64{
		"load16": 4, "load32": 8, "load64": 30,
		"byteup32": 6, "up32": 14, "byteup64": 60, "up64": 120,
		"product16x16in32": 20, "product16x32in32": 33, "product32x32in32": 45, "product16x16in64": 60, "product16x32in64": 215, "product32x32in64": 215,
		"byteround16": 4, "round16": 8, "byteround32": 6, "round32": 18, "byteround64": 60, "round64": 120,
		"angle13": 200, "angle14": 208, "angle15": 216,
		"clamp16": 12, "clamp32": 18, "clamp64": 80, "select16": 6, "select32": 10, "select64": 40,
		"wrap16": 12, "wrap32": 24, "wrap64": 150,
		"minimum16": 6, "minimum32": 10, "maximum16": 6, "maximum32": 10, "absolute16": 5, "absolute32": 10,
		"add16": 2, "add32": 4, "add64": 50, "subtract16": 2, "subtract32": 4, "subtract64": 50,
		"less16": 5, "less32": 8, "less64": 30, "less-or-equal16": 5, "less-or-equal32": 8, "less-or-equal64": 30,
		"and": 2, "or": 2, "not": 2, "condition": 4, "state8": 4, "state16": 8, "state32": 16, "state64": 60,
	}},
}
