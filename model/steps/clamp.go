package steps

var clampKind = &Kind{
	Name:     "clamp",
	Doc:      "Limits a signal.",
	Equation: "y = min(max(x, low), high)",
	Source:   "common practice, no source",
	Units:    "own = of = limits",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the signal"},
		{Key: "limits", Form: Limits, Required: true, Doc: "[low, high]"},
	},
	Lower: func(l *Lowering) {
		x := l.Signal("of")
		lo, hi := l.Limits("limits", x.unit)
		l.Equation("%s = min(max(%s, %s), %s)", l.step.Name, l.arg("of").Value.Text, decimal(lo), decimal(hi))
		l.facts().Level, l.facts().Passes = &x.id, true
		l.Publish(l.limited(x.id, lo, hi), "", nil)
	},
}
