package model

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/interval"
)

// judge turns proven facts into bounds in units and into findings for a practitioner.
func judge(u *Unit) {
	for s := range u.Integer.Sections {
		for j, sig := range u.Integer.Sections[s].Signals {
			b := Bound{Section: s, Signal: j, Local: size(u.Certificate.Local.Signals[s][j]), Chain: size(u.Certificate.Chain.Signals[s][j])}
			if b.Local == nil {
				u.Findings.Add(finding.Finding{Pos: u.place(s), Severity: finding.Error, Rule: "rounding-unbounded", Key: "steps." + sig.Name,
					Message: "no bound was found for the rounding of this step", Remedy: u.settling(s, "a time constant of more than a tick, or limits")})
			}
			u.Bounds = append(u.Bounds, b)
		}
	}
	u.judgeConstants()
	u.judgeAccuracy()
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
		remedy := "a narrower tuning range or raw range leaves more bits for it"
		if c.Start {
			remedy = strings.TrimSpace(fmt.Sprintf("start: %.6g %s", stored, c.Unit))
		}
		u.Findings.Add(finding.Finding{Pos: u.place(c.Section), Severity: finding.Warning, Rule: "gain-rounded", Key: c.Name,
			Message: fmt.Sprintf("stored as %.6g where %.6g is asked, %.2g %% off", stored, asked, pc*100),
			Because: []string{fmt.Sprintf("it is %d counts in its format", c.Count)}, Remedy: remedy})
	}
}

// judgeAccuracy compares the proven rounding with the accuracy asked for: by default one count of each output.
func (u *Unit) judgeAccuracy() {
	asked := map[string]*big.Rat{}
	pos := map[string]finding.Pos{}
	for _, a := range u.Spec.Accuracy {
		asked[a.Name], pos[a.Name] = u.accuracy(a), a.Pos
	}
	for _, o := range u.Integer.Outputs {
		if asked[o.Name] == nil {
			asked[o.Name] = o.LSB
		}
	}
	own := map[string]*big.Rat{} // of each step itself
	for _, b := range u.Bounds {
		own[u.Integer.Sections[b.Section].Signals[b.Signal].Name] = b.Local
	}
	for _, b := range u.Bounds {
		sec := &u.Integer.Sections[b.Section]
		sig := sec.Signals[b.Signal]
		want, reached, step := asked[sig.Name], b.Local, sec.Name
		if want == nil || reached == nil {
			continue
		}
		why := []string(nil)
		if sec.Kind == "output" { // the step that it takes its value from rounds too
			for _, o := range u.Spec.Outputs {
				if from := own[o.From]; o.Name == sec.Name && from != nil && from.Sign() > 0 {
					reached, step = new(big.Rat).Add(reached, from), o.From
					why = append(why, fmt.Sprintf("%.4g of it is rounded in the step %s", f64(from), o.From))
				}
			}
		}
		if reached.Cmp(want) <= 0 {
			continue
		}
		p, ok := pos[sig.Name]
		key := "accuracy." + sig.Name
		if !ok {
			p, key = u.place(b.Section), u.key(b.Section)
		}
		unit := u.Integer.Ops[sig.Value].Unit
		u.Findings.Add(finding.Finding{Pos: p, Severity: finding.Warning, Rule: "accuracy-missed", Key: key,
			Message: fmt.Sprintf("rounding reaches %.4g %s, %.4g %s is asked for", f64(reached), unit, f64(want), unit), Because: why,
			Remedy: fmt.Sprintf("%s, which is reached; or %s", strings.TrimSpace(fmt.Sprintf("%.2g %s", 1.06*f64(reached), unit)), u.finer(step))})
	}
}

// finer says how a step comes to round less. A pinned format holds for what a step hands on: it does nothing for the recursion of a
// second-order section.
func (u *Unit) finer(step string) string {
	for _, s := range u.Spec.Steps {
		if s.Name != step || s.Kind != "second_order" {
			continue
		}
		for _, a := range s.Args {
			if a.Key == "structure" && a.Value.Text != "automatic" {
				return "structure: automatic at the step " + step
			}
		}
		return "a filter that rings less or is less slow for its rate"
	}
	return "a finer pinned format under formats, where the result itself is too coarse"
}
