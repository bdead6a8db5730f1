package steps

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// fewCounts is how many counts of a range the sensor must be able to tell apart at least, where one count is worth more than a unit.
const fewCounts = 10

// upsideDown refuses an input of whose range [lo, hi] there is hardly a count: counts_per_unit was turned upside down, most likely. It is
// said before anything that follows from it.
func (l *Lowering) upsideDown(in *spec.Input, lo, hi *big.Rat) bool {
	if in.CountsPerUnit == nil || lo == nil || in.Raw == "bool" {
		return false
	}
	key := "inputs." + in.Name + ".counts_per_unit"
	if slices.ContainsFunc(*l.findings, func(f finding.Finding) bool { return f.Rule == "upside-down" && f.Key == key }) {
		return true
	}
	per := new(big.Rat).Abs(in.CountsPerUnit)
	counts := new(big.Rat).Mul(new(big.Rat).Sub(hi, lo), per)
	if per.Cmp(big.NewRat(1, 1)) >= 0 || counts.Cmp(big.NewRat(fewCounts, 1)) >= 0 {
		return false
	}
	one, _ := new(big.Rat).Inv(per).Float64()
	n, _ := counts.Float64()
	from, _ := lo.Float64()
	to, _ := hi.Float64()
	l.findings.Add(finding.Finding{Pos: in.CountsPos, Severity: finding.Error, Rule: "upside-down", Key: key,
		Message: fmt.Sprintf("the range [%.6g, %.6g] %s has %.2g counts: one count is worth %.6g %s", from, to, in.Unit, n, one, in.Unit),
		Because: []string{"counts_per_unit is how many counts make one unit, not what one count is worth"},
		Remedy:  fmt.Sprintf("%.6g, if one count is worth %s %s", one, program.Outward(per, true), in.Unit)})
	return true
}
