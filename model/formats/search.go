package formats

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"gainwright/model/bound"
	"gainwright/model/cost"
	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/scale"
	"gainwright/model/target"
)

// Search is what the search of formats found.
type Search struct {
	Target  string
	Unit    target.Unit
	Rule    float64 // estimate for the formats that the rule gives
	Found   float64 // and for those taken
	All32   float64 // and if every number took 32 bits; 0 on parts of 32 bits
	Tried   int
	Changed []string // what was changed against the rule, and what it saves
}

// LeastGain is what a change of formats must save, in cycles or instructions: less is within the tables' error.
const LeastGain = 4

// mostSearched is how many operations a program may have to be searched; a larger one keeps the formats of the rule.
const mostSearched = 400

// mostEffort is what the proofs of a search may cost; those of an honest controller take a tenth.
const mostEffort bound.Effort = 300e6

// search looks for the formats of one controller.
type search struct {
	Request
	rule   scale.Request // for the formats that the rule gives
	table  *cost.Table
	told   Search
	effort bound.Effort

	best   *candidate
	adjust map[program.ID]int // fraction bits of best more or less than the rule gives, by the root of a group
}

// find makes the formats of the rule finer where they miss the accuracy asked for, then looks for cheaper ones around them, where costs are known.
func (s *search) find() (finding.List, error) {
	formats := scale.Run(s.rule)
	if formats.Findings.Failed() {
		return formats.Findings, nil
	}
	var err error
	if s.best, err = s.prove(formats, math.Inf(1)); err != nil {
		return formats.Findings, err
	}
	s.told.Rule = s.best.cost
	searched := len(s.Asked.Ops) <= mostSearched
	if searched {
		s.refine()
	}
	if searched && s.priced() {
		s.cheapen()
	}
	s.told.Found = s.best.cost
	return s.best.Findings, nil
}

// priced tells whether the costs are those of the target itself.
func (s *search) priced() bool { return s.table.Target == s.rule.Target }

// cheapen changes one group of values or all of a section at a time, as long as something is saved and the accuracy asked for is kept. It ends where
// no change of a single format that is tried saves LeastGain or more; it does not claim that nothing cheaper exists.
func (s *search) cheapen() {
	limits := s.limits(s.best)
	refused := map[string]bool{} // adjustments: what costs too much or does too little once does so later
	for improved := true; improved; {
		improved = false
		for _, moved := range movables(s.Asked, s.best.Result) {
			for _, m := range worthTrying(s.best.Result, moved) {
				adjust := s.adjusted(m, moved.roots...)
				key := text(adjust)
				if s.told.Tried++; refused[key] {
					continue
				}
				refused[key] = true // or it is taken
				next, ok := s.try(adjust)
				if !ok || !keepsConstants(next) {
					continue
				}
				most := s.best.cost - LeastGain
				if assignLikely(next.Integer, s.Reach); s.price(next.Integer) > most {
					continue
				}
				if s.effort > mostEffort {
					return
				}
				found, err := s.prove(next, most)
				if err != nil || !found.meets(limits) {
					continue
				}
				s.told.Changed = append(s.told.Changed, fmt.Sprintf("%s: %+d fraction bits, saves %.0f %s", moved.named(s.Asked), m, s.best.cost-found.cost, s.told.Unit))
				s.best, s.adjust, improved = found, adjust, true
				break
			}
		}
	}
}

// adjusted is the adjustment of the best formats with m fraction bits more at some groups.
func (s *search) adjusted(m int, roots ...program.ID) map[program.ID]int {
	out := maps.Clone(s.adjust)
	for _, root := range roots {
		out[root] += m
	}
	return out
}

// text is the text of an adjustment, the same for the same one.
func text(adjust map[program.ID]int) string {
	var out []byte
	for _, id := range slices.Sorted(maps.Keys(adjust)) {
		if adjust[id] != 0 {
			out = fmt.Appendf(out, "%d:%d ", id, adjust[id])
		}
	}
	return string(out)
}

// try is the rule with an adjustment, for formats that may not exist at all.
func (s *search) try(adjust map[program.ID]int) (res scale.Result, ok bool) {
	r := s.rule
	r.Adjust = adjust
	res = scale.Run(r)
	ok = true
	for _, f := range res.Findings { // whether a live gain vanishes depends on its value
		ok = ok && (f.Severity != finding.Error || f.Rule == "gain-vanishes")
	}
	return res, ok
}

// price estimates what a tick costs.
func (s *search) price(p *program.Fixed) float64 {
	total, _ := s.table.Estimate(s.table.Features(p))
	return total
}

// everywhere32 estimates what a tick would cost if every number took 32 bits or more.
func (s *search) everywhere32(p *program.Fixed) float64 {
	q := p.Clone()
	for i := range q.Ops {
		if op := &q.Ops[i]; op.Type == program.I16 && op.Kind != program.Input {
			if op.Type = program.I32; op.Lo < op.Hi { // and it needs them: else products of 16 bits would do
				op.Hi = max(op.Hi, 1<<15)
			}
		}
	}
	for i := range q.States {
		if s := &q.States[i]; s.Type == program.I16 {
			s.Type = program.I32
		}
	}
	return s.price(q)
}
