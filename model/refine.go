package model

import (
	"fmt"
	"math"
	"math/big"

	"gainwright/model/bound"
	"gainwright/model/cost"
	"gainwright/model/formats"
	"gainwright/model/program"
	"gainwright/model/scale"
)

// over is by what factor each goal is missed; at most 1 where it is met.
func (p *proved) over(goals []formats.Goal) []float64 {
	out := make([]float64, len(goals))
	for i, g := range goals {
		reached, _ := g.Reached(func(s, j int) *big.Rat {
			if r := p.local.Signals[s][j]; r != nil {
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

// finerBits are the fraction bits that are tried more for a value.
var finerBits = []int{2, 4, 8}

// mostRefined is how many values are made finer for one goal.
const mostRefined = 6

// refine makes formats finer where the rule's miss what is asked for: the value that helps most first, the cheapest among those with
// which it is met. What cannot be met so is told by the pass that judges. It returns the new formats, what was adjusted, and the effort.
func (u *Unit) refine(t *cost.Table, r scale.Request, best scale.Result, start *proved, s *Search) (scale.Result, map[program.ID]int, *proved, bound.Effort) {
	adjust := map[program.ID]int{}
	goals := formats.Goals(u.Spec, best.Integer)
	over := start.over(goals)
	var effort bound.Effort
	for i, g := range goals {
		if g.ByDefault && g.From.Section >= 0 && formats.ChoosesStructure(u.Spec, best.Integer.Sections[g.From.Section].Name) {
			continue
		}
		for range mostRefined {
			if over[i] <= 1 || effort > mostEffort/2 {
				break
			}
			var pick *proved
			var finest scale.Result
			var with map[program.ID]int
			var reached []float64
			var what string
			for _, group := range best.Groups() {
				if at := int(u.Asked.Ops[group.Root].Section); at != g.Section && at != g.From.Section {
					continue
				}
				for _, bits := range finerBits {
					if effort > mostEffort/2 {
						break
					}
					trial := r
					trial.Adjust = clone(adjust)
					trial.Adjust[group.Root] += bits
					s.Tried++
					next, ok := tryScale(trial)
					if !ok {
						break // nor are more bits
					}
					found, took := u.prove(t, next, math.Inf(1))
					effort += took
					if found == nil {
						break
					}
					now := found.over(goals)
					if !noWorse(now, over) || now[i] > 0.9*over[i] {
						continue
					}
					if pick == nil || better(now[i], found.cost, reached[i], pick.cost) {
						pick, finest, with, reached = found, next, trial.Adjust, now
						what = fmt.Sprintf("%s: %+d fraction bits, for the accuracy of %s", u.Asked.Ops[group.Root].Name, bits, g.Name)
					}
				}
			}
			if pick == nil {
				break
			}
			best, adjust, start, over = finest, with, pick, reached
			s.Changed = append(s.Changed, what)
		}
	}
	return best, adjust, start, effort
}

// better prefers what meets a goal, the cheaper the better, then what comes nearer to it.
func better(over, cost, overBefore, costBefore float64) bool {
	if met, before := over <= 1, overBefore <= 1; met || before {
		return met && (!before || cost < costBefore)
	}
	return over < overBefore
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
