package main

import (
	"io"

	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/model/finding"
)

// turnedGains says which way to turn each live gain.
func turnedGains(u *model.Unit, p *paper, side io.Writer, json bool) error {
	t, err := summary.Turned(u, nil)
	if err != nil {
		f := finding.Finding{Pos: finding.Pos{File: u.File, Line: 1, Col: 1}, Severity: finding.Error, Rule: "no-gains-to-turn", Key: "tuning", Message: err.Error(), Remedy: "a section tuning that names gains with their ranges, as in the starters"}
		if len(u.Asked.Gains) > 0 {
			f.Pos, f.Rule, f.Key, f.Remedy = u.Spec.Plant.Pos, "no-linear-view", "plant", "shorter delays, or simulate without --gains"
		}
		newPaper(side).findings(finding.List{f})
		return failure{code: findings}
	}
	stable := true
	for _, g := range t.Gains {
		stable = stable && g.At[1].Stable
	}
	if t.Plane != nil {
		stable = stable && t.Plane.Stable
	}
	if json {
		if err := encode(p, struct {
			answer
			*summary.Turning
		}{answerOf(u, stable), t}); err != nil {
			return err
		}
	} else {
		printTurned(u, t, p)
	}
	if !stable {
		return failure{code: findings}
	}
	return nil
}

func printTurned(u *model.Unit, t *summary.Turning, p *paper) {
	p.line("%s: %s, plant %s, %g s, each live gain at half, once and twice", u.File, u.Spec.Name, u.Plant.Kind.Name, u.Scenario.Duration)
	for i, w := range u.Scenario.Watch {
		p.heading("%s, in %s", w.Name, w.Unit)
		var rows [][]string
		for _, g := range t.Gains {
			for k := range g.At {
				rows = append(rows, append([]string{g.Key}, g.At[k].Cells(i)...))
			}
		}
		p.table("gain|>value|>sensitivity peak|>settled after, s|>overshoot|>swing|>effort, rms", rows)
	}
	for _, n := range t.TurnedNotes() {
		p.text("  ", n)
	}
	p.heading("The whole tuning box")
	p.text("  ", t.BoxSentence())
}
