package lint

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/formats"
	"gainwright/model/program"
)

// accuracy compares the proven rounding with the accuracy asked for: by default one count of each output.
func (l *linter) accuracy() {
	pos := map[string]finding.Pos{}
	for _, a := range l.Spec.Accuracy {
		pos[a.Name] = a.Pos
	}
	local := map[[2]int]*big.Rat{}
	for _, b := range l.Roundings {
		local[[2]int{b.Section, b.Signal}] = b.Local
	}
	for _, g := range formats.Goals(l.Spec, &l.Integer.Frame) {
		reached, from := g.Reached(func(s, j int) *big.Rat { return local[[2]int{s, j}] })
		if reached == nil || reached.Cmp(g.Want) <= 0 {
			continue
		}
		step := g.Section
		var why []string
		if from != nil {
			step = g.From.Section
			why = append(why, fmt.Sprintf("%.4g of it is rounded in the step %s", f64(from), l.Integer.Sections[step].Name))
		}
		limit, remedy := l.limiting(g, step)
		why = append(why, limit)
		p, ok := pos[g.Name]
		key := "accuracy." + g.Name
		if !ok {
			p, key = l.place(g.Section), l.key(g.Section)
		}
		unit := l.Integer.Ops[l.Integer.Sections[g.Section].Signals[g.Signal].Value].Unit
		l.found.Add(finding.Finding{Pos: p, Severity: finding.Warning, Rule: "accuracy-missed", Key: key,
			Message: fmt.Sprintf("rounding reaches %.4g %s, %.4g %s is asked for", f64(reached), unit, f64(g.Want), unit), Because: why,
			Remedy: fmt.Sprintf("%s, which is reached%s", strings.TrimSpace(fmt.Sprintf("%.2g %s", 1.06*f64(reached), unit)), remedy)})
	}
}

// limiting names what keeps the rounding of a step above what is asked for, and what else than less accuracy would help.
func (l *linter) limiting(g formats.Goal, section int) (limit, remedy string) {
	sec := &l.Integer.Sections[section]
	unit := l.Integer.Ops[l.Integer.Sections[g.Section].Signals[g.Signal].Value].Unit
	var coarsest *program.FixedOp
	for i := range l.Integer.Ops {
		op := &l.Integer.Ops[i]
		if int(op.Section) == section && op.Kind == program.Angle {
			return "its arctangent is taken from a table, which is at its finest", ""
		}
		if int(op.Section) == section && op.Kind == program.Round && op.Unit == unit && (coarsest == nil || op.LSB.Cmp(coarsest.LSB) > 0) {
			coarsest = op
		}
	}
	if coarsest != nil {
		limit = strings.TrimSpace(fmt.Sprintf("its coarsest rounding is that of %s, to %.4g %s", coarsest.Name, f64(coarsest.LSB), unit))
	} else {
		limit = "no format of a single value brings it lower"
	}
	if sec.Role != program.Step {
		return limit, ""
	}
	for _, f := range l.Spec.Formats {
		if name, _, _ := strings.Cut(f.Name, "."); name == sec.Name {
			return limit, fmt.Sprintf("; or another format than %s, or none, for %s under formats", f.With(f.M, f.N), f.Name)
		}
	}
	if b := sec.Facts.Biquad; b != nil {
		if b.Given {
			return limit, "; or structure: automatic at the step " + sec.Name
		}
		return limit, "; or a filter that rings less or is less slow for its rate"
	}
	return limit, ""
}
