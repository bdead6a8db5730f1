package cost

// tables holds what each feature costs. Figures are least-squares fits to measured worst ticks.
var tables = []Table{
	{Target: "avr8", Unit: Cycles, Base: 60, Costs: map[string]float64{
		"load16": 4, "load32": 8, "load64": 16,
		"byteup32": 6, "up32": 40, "byteup64": 16, "up64": 200,
		"product16x16in32": 30, "product16x32in32": 50, "product32x32in32": 60, "product16x16in64": 60, "product16x32in64": 250, "product32x32in64": 250,
		"byteround32": 10, "round32": 60, "byteround64": 40, "round64": 200, "byteround16": 6, "round16": 20,
		"angle13": 270, "angle14": 280, "angle15": 290,
		"clamp16": 12, "clamp32": 22, "clamp64": 50, "select16": 6, "select32": 10, "select64": 20,
		"wrap16": 12, "wrap32": 24, "wrap64": 50,
		"minimum16": 6, "minimum32": 10, "maximum16": 6, "maximum32": 10, "absolute16": 5, "absolute32": 10,
		"add16": 2, "add32": 4, "add64": 8, "subtract16": 2, "subtract32": 4, "subtract64": 8,
		"less16": 5, "less32": 8, "less-or-equal16": 5, "less-or-equal32": 8, "less64": 16, "less-or-equal64": 16,
		"and": 2, "or": 2, "not": 2, "condition": 4, "state8": 4, "state16": 8, "state32": 16, "state64": 32,
	}},
}
