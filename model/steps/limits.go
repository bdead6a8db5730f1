package steps

import (
	"math/big"

	"gainwright/model/finding"
	"gainwright/model/program"
)

// span is a pair of limits that end in an output. They are stored as whole counts of it that lie inside what is declared.
type span struct {
	lo, hi *big.Rat
	count  *big.Rat  // of the output that the step feeds; nil: it feeds none, and its limits are stored like any constant
	keys   [2]string // where each is declared
}

// clamp limits a value to the span.
func (l *Lowering) clamp(a program.ID, s span, role, doc string) program.ID {
	id := l.Clamp(a, s.lo, s.hi, role, doc)
	if s.count != nil {
		for n, high := range []bool{false, true} {
			l.p.Ops[l.p.Ops[id].Args[1+n]].Limit = &program.Limit{Count: s.count, High: high, Key: s.keys[n]}
		}
	}
	return id
}

// limited clamps a value to the limits of the step, which are given in the key limits. Whether they are counted like the output
// is known when formats are chosen: only then can it be told whether a count lies inside.
func (l *Lowering) limited(a program.ID, lo, hi *big.Rat) program.ID {
	key := "steps." + l.step.Name + ".limits"
	return l.clamp(a, span{lo, hi, l.fedCount(), [2]string{key, key}}, "limited", "limited")
}

// fedCount is what a count of the output that the step feeds stands for: the finest of them, or nil.
func (l *Lowering) fedCount() (finest *big.Rat) {
	for _, o := range l.spec.Outputs {
		if o.From != l.step.Name {
			continue
		}
		if lsb := new(big.Rat).Inv(new(big.Rat).Abs(o.CountsPerUnit)); finest == nil || lsb.Cmp(finest) < 0 {
			finest = lsb
		}
	}
	return finest
}

// checkInside refuses limits between two counts of the output.
func (l *Lowering) checkInside(s span, pos finding.Pos, key string) {
	if s.count == nil {
		return
	}
	if message, remedy, none := program.NoCount(s.lo, s.hi, s.count); none {
		l.findings.Add(finding.Finding{Pos: pos, Severity: finding.Error, Rule: "no-count-inside", Key: key, Message: message, Remedy: remedy})
	}
}
