package lint

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/scale"
)

// gainTolerance is the largest relative change of a constant that passes without a warning.
var gainTolerance = big.NewRat(1, 200)

func (l *linter) constants() {
	said := map[string]bool{}
	for _, c := range l.Constants {
		if c.Asked.Sign() == 0 || c.Point {
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
			if end := fmt.Sprint(c.Limit.Key, c.Limit.High); strings.HasPrefix(c.Limit.Key, l.key(c.Section)+".") && !said[end] {
				said[end] = true
				l.judgeLimit(c, asked, stored)
			}
			continue
		}
		remedy := "a narrower tuning range or raw range leaves more bits for it"
		if c.Start {
			remedy = strings.TrimSpace(fmt.Sprintf("start: %.6g %s", stored, c.Unit))
		}
		l.found.Add(finding.Finding{Pos: l.place(c.Section), Severity: finding.Warning, Rule: "gain-rounded", Key: c.Name,
			Message: fmt.Sprintf("stored as %.6g where %.6g is asked, %.2g %% off", stored, asked, pc*100),
			Because: []string{fmt.Sprintf("it is %d counts in its format", c.Count)}, Remedy: remedy})
	}
}

// judgeLimit tells of a limit of an output that is stored further in than it is declared.
func (l *linter) judgeLimit(c scale.Constant, asked, stored float64) {
	side, unit := "low", ""
	if c.Limit.High {
		side = "high"
	}
	if c.Unit != "" {
		unit = " " + c.Unit
	}
	l.found.Add(finding.Finding{Pos: l.place(c.Section), Severity: finding.Warning, Rule: "limit-rounded", Key: c.Limit.Key,
		Message: fmt.Sprintf("the %s limit is stored as %.6g%s where %.6g%s is asked", side, stored, unit, asked, unit),
		Because: []string{fmt.Sprintf("a count of the output is %.6g%s, and limits of an output are rounded inwards", f64(c.Limit.Count), unit)},
		Remedy:  program.Outward(c.Stored, c.Limit.High) + " in its place, or more counts_per_unit at the output"})
}
