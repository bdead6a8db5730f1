package cost

// tables holds what each feature costs: least-squares fits to worst ticks measured on simulated parts, over the starters and
// random controllers, drawn towards what each form was measured or counted to cost alone (go test ./gen/target -run Calibrate
// -calibrate 24 -v). Where few controllers have a feature, the wider form is held to at least the narrower one's cost. When
// fitted, each starter on its own target came out within 8 %; of the random controllers nine of ten within 18 % (avr8), 26 %
// (cortex-m0) and 17 % (rv32imc), and the worst 57 % off.
var tables = []Table{
	{Target: "avr8", Unit: Cycles, Base: 34, Costs: map[string]float64{
		"absolute16": 5, "absolute32": 10, "add16": 2.1, "add32": 8.1, "add64": 67.7, "and": 0, "angle13": 80.6,
		"angle14": 215.5, "angle15": 216, "byteround16": 3.9, "byteround32": 9.9, "byteround64": 16.9, "byteup32": 4.3,
		"byteup64": 79.2, "clamp16": 2.1, "clamp32": 2.1, "clamp64": 81.7, "condition": 3.1, "less-or-equal16": 0,
		"less-or-equal32": 6.3, "less-or-equal64": 38.1, "less16": 5, "less32": 8, "less64": 30, "load16": 4.3,
		"load32": 8, "load64": 30, "maximum16": 6, "maximum32": 10, "minimum16": 4.5, "minimum32": 10, "not": 1.3,
		"or": 1.6, "product16x16in16": 0, "product16x16in32": 7.9, "product16x16in64": 60, "product16x32in32": 32.5,
		"product16x32in64": 207.7, "product16x64in64": 215, "product32x32in32": 45, "product32x32in64": 215,
		"round16": 6.9, "round32": 38.5, "round64": 140.2, "select16": 4.9, "select32": 4.9, "select64": 28.8,
		"state16": 22.7, "state32": 55.9, "state64": 85.8, "state8": 3.6, "subtract16": 1.9, "subtract32": 5.5,
		"subtract64": 44.9, "up16": 0.6, "up32": 46.8, "up64": 79.2, "wrap16": 12, "wrap32": 12, "wrap64": 150,
	}},
	{Target: "cortex-m0", Unit: Instructions, Base: 11, Costs: map[string]float64{
		"absolute16": 3, "absolute32": 3, "add16": 0, "add32": 6.1, "add64": 11.1, "and": 6.3, "angle13": 0, "angle14": 36,
		"angle15": 150, "byteround16": 1.6, "byteround32": 1.6, "byteround64": 4.4, "byteup16": 1.1, "byteup32": 1.2,
		"byteup64": 4.8, "clamp16": 9.4, "clamp32": 9.4, "clamp64": 16.1, "condition": 0, "less-or-equal16": 0,
		"less-or-equal32": 7.9, "less-or-equal64": 13.9, "less16": 3, "less32": 3, "less64": 6.5, "load16": 7.7,
		"load32": 7.7, "load64": 13.6, "maximum16": 3, "maximum32": 3, "minimum16": 0, "minimum32": 3, "not": 0, "or": 5.7,
		"product16x16in16": 5.7, "product16x16in32": 5.7, "product16x16in64": 38, "product16x32in32": 5.7,
		"product16x32in64": 44.9, "product16x64in64": 44.9, "product32x32in32": 5.7, "product32x32in64": 44.9,
		"product32x64in64": 44.9, "round16": 1.6, "round32": 1.6, "round64": 4.4, "select16": 6.6, "select32": 6.6,
		"select64": 11.9, "state16": 5, "state32": 5, "state64": 9.5, "state8": 4.7, "subtract16": 0, "subtract32": 0.1,
		"subtract64": 2.1, "up16": 1.1, "up32": 1.2, "up64": 4.8, "wrap16": 6, "wrap32": 6, "wrap64": 14,
	}},
	{Target: "rv32imc", Unit: Instructions, Base: 4, Costs: map[string]float64{
		"absolute16": 3, "absolute32": 3, "add16": 0, "add32": 4.4, "add64": 8.6, "and": 0, "angle13": 33.9,
		"angle14": 35.7, "angle15": 40, "byteround16": 1.4, "byteround32": 1.6, "byteround64": 4.4, "byteup16": 0.6,
		"byteup32": 0.6, "byteup64": 3.8, "clamp16": 7.5, "clamp32": 7.5, "clamp64": 13.2, "condition": 0,
		"less-or-equal16": 0.4, "less-or-equal32": 1.1, "less-or-equal64": 5.6, "less16": 3, "less32": 3, "less64": 6.5,
		"load16": 4.5, "load32": 4.5, "load64": 8.8, "maximum16": 3, "maximum32": 3, "minimum16": 0.1, "minimum32": 3,
		"not": 0, "or": 1.8, "product16x16in16": 4.3, "product16x16in32": 4.3, "product16x16in64": 6,
		"product16x32in32": 4.3, "product16x32in64": 6.45, "product16x64in64": 8.8, "product32x32in32": 4.3,
		"product32x32in64": 6, "product32x64in64": 10, "round16": 1.4, "round32": 1.6, "round64": 4.4, "select16": 4,
		"select32": 4, "select64": 8, "state16": 3.8, "state32": 3.8, "state64": 7.7, "state8": 1.6, "subtract16": 0.8,
		"subtract32": 2.2, "subtract64": 5.3, "up16": 0.6, "up32": 0.6, "up64": 3.8, "wrap16": 6, "wrap32": 6,
		"wrap64": 14,
	}},
}
