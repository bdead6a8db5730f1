package cost

// tables holds what each feature costs: least-squares fits to worst ticks measured on simulated parts, over the starters and
// random controllers, drawn towards what each form was measured or counted to cost alone (go test ./gen/target -run Calibrate
// -calibrate 24 -v). A form of 64 bits is held to more than one of 32. When fitted, each starter on its own target came out
// within 8 %. Random controllers that the tables were not fitted to are off by 16 to 25 % in the middle and by up to 177 %
// where a tick takes a few instructions only.
var tables = []Table{
	{Target: "avr8", Unit: Cycles, Base: 34, Costs: map[string]float64{
		"absolute16": 5, "absolute32": 10, "add16": 2.1, "add32": 8.1, "add64": 67.7, "and": 0, "angle13": 80.6,
		"angle14": 215.5, "angle15": 216, "byteround16": 3.9, "byteround32": 9.9, "byteround64": 16.9, "byteup32": 4.3,
		"byteup64": 79.2, "clamp16": 2.1, "clamp32": 0, "clamp64": 81.7, "condition": 3.1, "less-or-equal16": 0,
		"less-or-equal32": 6.3, "less-or-equal64": 38.1, "less16": 5, "less32": 8, "less64": 30, "load16": 4.3,
		"load32": 8, "load64": 30, "maximum16": 6, "maximum32": 10, "minimum16": 4.5, "minimum32": 10, "not": 1.3,
		"or": 1.6, "product16x16in16": 0, "product16x16in32": 7.9, "product16x16in64": 60, "product16x32in32": 32.5,
		"product16x32in64": 207.7, "product16x64in64": 0.1, "product32x32in32": 45, "product32x32in64": 215,
		"round16": 6.9, "round32": 38.5, "round64": 140.2, "select16": 4.9, "select32": 0, "select64": 28.8,
		"state16": 22.7, "state32": 55.9, "state64": 85.8, "state8": 3.6, "subtract16": 1.9, "subtract32": 5.5,
		"subtract64": 44.9, "up16": 0.6, "up32": 46.8, "up64": 72.2, "wrap16": 12, "wrap32": 9.9, "wrap64": 150,
	}},
	{Target: "cortex-m0", Unit: Instructions, Base: 11, Costs: map[string]float64{
		"absolute16": 3, "absolute32": 3, "add16": 0, "add32": 6.1, "add64": 11.1, "and": 6.3, "angle13": 0, "angle14": 36,
		"angle15": 150, "byteround16": 1.6, "byteround32": 0, "byteround64": 8.3, "byteup16": 1.1, "byteup32": 2.5,
		"byteup64": 5.8, "clamp16": 9.4, "clamp32": 0, "clamp64": 2, "condition": 0, "less-or-equal16": 0,
		"less-or-equal32": 7.9, "less-or-equal64": 13.9, "less16": 3, "less32": 3, "less64": 6.5, "load16": 7.7,
		"load32": 7.7, "load64": 13.6, "maximum16": 3, "maximum32": 3, "minimum16": 0, "minimum32": 3, "not": 0, "or": 5.7,
		"product16x16in16": 5.7, "product16x16in32": 3.7, "product16x16in64": 38, "product16x32in32": 4,
		"product16x32in64": 44.9, "product16x64in64": 37.6, "product32x32in32": 5.7, "product32x32in64": 44.9,
		"product32x64in64": 44.9, "round16": 1.1, "round32": 0, "round64": 2, "select16": 6.6, "select32": 5.1,
		"select64": 9.6, "state16": 5, "state32": 0, "state64": 2.5, "state8": 4.7, "subtract16": 0, "subtract32": 0.1,
		"subtract64": 2.1, "up16": 1.2, "up32": 0, "up64": 7, "wrap16": 6, "wrap32": 0.6, "wrap64": 14,
	}},
	{Target: "rv32imc", Unit: Instructions, Base: 4, Costs: map[string]float64{
		"absolute16": 3, "absolute32": 3, "add16": 0, "add32": 4.4, "add64": 8.6, "and": 0, "angle13": 33.9,
		"angle14": 35.7, "angle15": 40, "byteround16": 1.4, "byteround32": 1.6, "byteround64": 5.1, "byteup16": 0.6,
		"byteup32": 0.3, "byteup64": 2.5, "clamp16": 7.5, "clamp32": 4.2, "clamp64": 8.3, "condition": 0,
		"less-or-equal16": 0.4, "less-or-equal32": 1.1, "less-or-equal64": 5.6, "less16": 3, "less32": 3, "less64": 6.5,
		"load16": 4.5, "load32": 4.5, "load64": 8.8, "maximum16": 3, "maximum32": 3, "minimum16": 0.1, "minimum32": 3,
		"not": 0, "or": 1.8, "product16x16in16": 4.3, "product16x16in32": 0.7, "product16x16in64": 6,
		"product16x32in32": 0, "product16x32in64": 2.4, "product16x64in64": 8.8, "product32x32in32": 4.3,
		"product32x32in64": 6, "product32x64in64": 10, "round16": 0.9, "round32": 1.6, "round64": 4.4, "select16": 4,
		"select32": 1.8, "select64": 4.7, "state16": 3.8, "state32": 0.5, "state64": 7.6, "state8": 1.6, "subtract16": 0.8,
		"subtract32": 2.2, "subtract64": 5.3, "up16": 0.1, "up32": 0, "up64": 6.5, "wrap16": 6, "wrap32": 5.2,
		"wrap64": 14,
	}},
}
