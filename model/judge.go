package model

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// judge turns proven facts into bounds in units and into findings for a practitioner.
func judge(u *Unit) {
	for s := range u.Integer.Sections {
		for j, sig := range u.Integer.Sections[s].Signals {
			b := Bound{Section: s, Signal: j, Local: size(u.Certificate.Local.Signals[s][j]), Chain: size(u.Certificate.Chain.Signals[s][j]),
				LocalTurn: u.Certificate.Local.Turns[s][j], ChainTurn: u.Certificate.Chain.Turns[s][j],
				Asked: size(u.Certificate.Asked.Signals[s][j]), AskedTurn: u.Certificate.Asked.Turns[s][j]}
			if b.Local == nil {
				u.Findings.Add(finding.Finding{Pos: u.place(s), Severity: finding.Error, Rule: "rounding-unbounded", Key: "steps." + sig.Name,
					Message: "no bound was found for the rounding of this step", Remedy: u.settling(s, "a time constant of more than a tick, or limits")})
			}
			u.Bounds = append(u.Bounds, b)
		}
	}
	u.judgeConstants()
	u.judgeAccuracy()
	u.judgeSize()
	u.judgeRules()
}

func size(r *interval.Range) *big.Rat {
	if r == nil {
		return nil
	}
	return r.Size()
}

// gainTolerance is the largest relative change of a constant that passes without a warning.
var gainTolerance = big.NewRat(1, 200)

func (u *Unit) judgeConstants() {
	said := map[string]bool{}
	for _, c := range u.Constants {
		if c.Asked.Sign() == 0 {
			continue
		}
		rel := new(big.Rat).Sub(c.Stored, c.Asked)
		rel.Quo(rel, c.Asked)
		if rel.Abs(rel).Cmp(gainTolerance) <= 0 {
			continue
		}
		pc, _ := rel.Float64()
		asked, _ := c.Asked.Float64()
		stored, _ := c.Stored.Float64()
		if c.Limit != nil {
			// A limit is the constant of several operations, and one of an output that of the PID before it, too.
			if end := fmt.Sprint(c.Limit.Key, c.Limit.High); strings.HasPrefix(c.Limit.Key, u.key(c.Section)+".") && !said[end] {
				said[end] = true
				u.judgeLimit(c, asked, stored)
			}
			continue
		}
		remedy := "a narrower tuning range or raw range leaves more bits for it"
		if c.Start {
			remedy = strings.TrimSpace(fmt.Sprintf("start: %.6g %s", stored, c.Unit))
		}
		u.Findings.Add(finding.Finding{Pos: u.place(c.Section), Severity: finding.Warning, Rule: "gain-rounded", Key: c.Name,
			Message: fmt.Sprintf("stored as %.6g where %.6g is asked, %.2g %% off", stored, asked, pc*100),
			Because: []string{fmt.Sprintf("it is %d counts in its format", c.Count)}, Remedy: remedy})
	}
}

// judgeLimit tells of a limit of an output that is stored further in than it is declared.
func (u *Unit) judgeLimit(c Constant, asked, stored float64) {
	side, unit := "low", ""
	if c.Limit.High {
		side = "high"
	}
	if c.Unit != "" {
		unit = " " + c.Unit
	}
	u.Findings.Add(finding.Finding{Pos: u.place(c.Section), Severity: finding.Warning, Rule: "limit-rounded", Key: c.Limit.Key,
		Message: fmt.Sprintf("the %s limit is stored as %.6g%s where %.6g%s is asked", side, stored, unit, asked, unit),
		Because: []string{fmt.Sprintf("a count of the output is %.6g%s, and limits of an output are rounded inwards", f64(c.Limit.Count), unit)},
		Remedy:  program.Outward(c.Stored, c.Limit.High) + " in its place, or more counts_per_unit at the output"})
}

// judgeAccuracy compares the proven rounding with the accuracy asked for: by default one count of each output.
func (u *Unit) judgeAccuracy() {
	pos := map[string]finding.Pos{}
	for _, a := range u.Spec.Accuracy {
		pos[a.Name] = a.Pos
	}
	local := map[[2]int]*big.Rat{}
	for _, b := range u.Bounds {
		local[[2]int{b.Section, b.Signal}] = b.Local
	}
	for _, g := range u.goals(u.Integer) {
		reached, from := g.reached(func(s, j int) *big.Rat { return local[[2]int{s, j}] })
		if reached == nil || reached.Cmp(g.want) <= 0 {
			continue
		}
		step := g.section
		var why []string
		if from != nil {
			step = g.from.section
			why = append(why, fmt.Sprintf("%.4g of it is rounded in the step %s", f64(from), u.Integer.Sections[step].Name))
		}
		limit, remedy := u.limiting(g, step)
		why = append(why, limit)
		p, ok := pos[g.name]
		key := "accuracy." + g.name
		if !ok {
			p, key = u.place(g.section), u.key(g.section)
		}
		unit := u.Integer.Ops[u.Integer.Sections[g.section].Signals[g.signal].Value].Unit
		u.Findings.Add(finding.Finding{Pos: p, Severity: finding.Warning, Rule: "accuracy-missed", Key: key,
			Message: fmt.Sprintf("rounding reaches %.4g %s, %.4g %s is asked for", f64(reached), unit, f64(g.want), unit), Because: why,
			Remedy: fmt.Sprintf("%s, which is reached%s", strings.TrimSpace(fmt.Sprintf("%.2g %s", 1.06*f64(reached), unit)), remedy)})
	}
}

// limiting names what keeps the rounding of a step above what is asked for, and what else than less accuracy would help.
func (u *Unit) limiting(g goal, section int) (limit, remedy string) {
	sec := &u.Integer.Sections[section]
	var step *spec.Step
	for i := range u.Spec.Steps {
		if u.Spec.Steps[i].Name == sec.Name {
			step = &u.Spec.Steps[i]
		}
	}
	unit := u.Integer.Ops[u.Integer.Sections[g.section].Signals[g.signal].Value].Unit
	var coarsest *program.FixedOp
	for i := range u.Integer.Ops {
		op := &u.Integer.Ops[i]
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
	if step == nil {
		return limit, ""
	}
	for _, f := range u.Spec.Formats {
		if name, _, _ := strings.Cut(f.Name, "."); name == step.Name {
			return limit, fmt.Sprintf("; or another format than %s, or none, for %s under formats", f.With(f.M, f.N), f.Name)
		}
	}
	if step.Kind == "second_order" {
		if u.structured(step.Name) {
			return limit, "; or structure: automatic at the step " + step.Name
		}
		return limit, "; or a filter that rings less or is less slow for its rate"
	}
	return limit, ""
}
