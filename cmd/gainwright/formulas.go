package main

import "gainwright/model/steps"

// formulaExamples work as they stand, with air and soil in degC, supply in V, current in A, and the switches armed and fault.
var formulaExamples = []struct{ value, more, about string }{
	{"3 duty/degC * (20 degC - air)", "", "units multiply; sums need equal ones"},
	{"clamp(gain * (20 - air), 0, 100)", "numbers: {gain: 3 duty/degC}", "20 takes the unit opposite; gain may be live"},
	{"abs(air - soil) < 2 and not fault", "", "a switch; numbers are compared by < <= > >= alone"},
	{"if armed then air else min(air, soil)", "", "a choice; inside a formula it stands in parentheses"},
	{"air / clamp(supply, 6 V, 15 V)", "", "what is divided by is kept away from 0"},
	{"move(air, soil, 0.25)", "", "a quarter of the way from air to soil"},
	{"clamp(air, previous y - 0.5, previous y + 0.5)", "start: 20 degC", "y follows air by 0.5 degC a tick at most"},
	{"(air > 30 degC) rises or fault falls", "", "on for the one tick at which it comes on, or goes off"},
}

func printFormula(p *paper, k *steps.Kind) {
	p.line("%s: %s", k.Name, k.Doc)
	var rows [][]string
	for _, x := range formulaExamples {
		row := `value: "` + x.value + `"`
		if x.more != "" {
			row += ", " + x.more
		}
		rows = append(rows, []string{row, x.about})
	}
	p.table("Examples", "|", rows)
	p.heading("From weak to strong")
	p.line("  if C then A else B | or | and | not | < <= > >= | + - | * / | -x | x rises, x falls | previous x")
	calls, docs := steps.Functions()
	rows = nil
	for i := range calls {
		rows = append(rows, []string{calls[i], docs[i]})
	}
	p.table("Functions", "|", rows)
	rows = nil
	for _, q := range k.Params {
		_, how := q.Written()
		rows = append(rows, []string{q.Key, how, q.Doc})
	}
	p.table("Keys", "key|such as|meaning", rows)
	p.line("\n  Names are inputs, steps, constants of the spec and the numbers beside the formula. A unit stands behind its number up to\n" +
		"  the next space: 3 V/s is a rate, 3 V / s divides by s. Between { and } quotes keep a formula's commas together.\n" +
		"  previous x is what x was in the last tick: of the step itself, or of any other, also a later one. What a step's signal\n" +
		"  was before its first tick is said there: start: 20 degC. Other keys take it, too: of: previous x.\n" +
		"  enable, reset and when take a formula that yields a switch: enable: \"armed and air < 40 degC\"\n" +
		"  What is compared is a signal, or a sum of signals: anything else becomes a signal of its own first, which reports show.")
}
