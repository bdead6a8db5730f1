package formats

import (
	"fmt"
	"math"
	"math/big"

	"gainwright/model/program"
)

// finerBits are the fraction bits that are tried more for a value.
var finerBits = []int{2, 4, 8}

// mostRefined is how many values are made finer for one goal.
const mostRefined = 6

// refine makes formats finer where the rule's miss what is asked for: the value that helps most first, the cheapest among those with
// which it is met. What cannot be met so is a finding of package lint.
func (s *search) refine() {
	goals := Goals(s.Spec, &s.best.Integer.Frame)
	over := s.best.over(goals)
	enough := s.effort + mostEffort/2
	for i, g := range goals {
		if g.ByDefault && g.From.Section >= 0 {
			if b := s.Asked.Sections[g.From.Section].Facts.Biquad; b != nil && b.Given {
				continue // it is warned of what they do
			}
		}
		for range mostRefined {
			if over[i] <= 1 || s.effort > enough {
				break
			}
			var pick finer
			for _, group := range s.best.Groups() {
				if at := s.Asked.Ops[group.Root].Section; at != g.Section && at != g.From.Section {
					continue
				}
				for _, bits := range finerBits {
					if s.effort > enough {
						break
					}
					s.told.Tried++
					next := finer{adjust: s.adjusted(bits, group.Root)}
					formats, ok := s.try(next.adjust)
					if !ok {
						break // nor are more bits
					}
					var err error
					if next.candidate, err = s.prove(formats, math.Inf(1)); err != nil {
						break
					}
					next.over = next.candidate.over(goals)
					if !noWorse(next.over, over) || next.over[i] > 0.9*over[i] {
						continue
					}
					if pick.candidate == nil || next.betterThan(pick, i) {
						next.told = fmt.Sprintf("%s: %+d fraction bits, for the accuracy of %s", s.Asked.Ops[group.Root].Name, bits, g.Name)
						pick = next
					}
				}
			}
			if pick.candidate == nil {
				break
			}
			s.best, s.adjust, over = pick.candidate, pick.adjust, pick.over
			s.told.Changed = append(s.told.Changed, pick.told)
		}
	}
}

// finer is a candidate of which one group is finer.
type finer struct {
	*candidate
	adjust map[program.ID]int
	over   []float64 // by goal
	told   string    // what was changed
}

// betterThan prefers what meets goal i, the cheaper the better, then what comes nearer to it.
func (f finer) betterThan(g finer, i int) bool {
	if met, before := f.over[i] <= 1, g.over[i] <= 1; met || before {
		return met && (!before || f.cost < g.cost)
	}
	return f.over[i] < g.over[i]
}

// over is by what factor each goal is missed; at most 1 where it is met.
func (c *candidate) over(goals []Goal) []float64 {
	out := make([]float64, len(goals))
	for i, g := range goals {
		reached, _ := g.Reached(func(s, j int) *big.Rat {
			if r := c.local.Signals[s][j]; r != nil {
				return r.Size()
			}
			return nil
		})
		if reached != nil {
			out[i], _ = new(big.Rat).Quo(reached, g.Want).Float64()
		}
	}
	return out
}

// noWorse tells whether each goal that is met stays met, and no other is missed by more.
func noWorse(now, before []float64) bool {
	for i := range now {
		if now[i] > max(1, before[i]) {
			return false
		}
	}
	return true
}
