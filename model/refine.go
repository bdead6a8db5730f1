package model

import (
	"fmt"
	"math"
	"math/big"

	"gainwright/model/bound"
	"gainwright/model/cost"
	"gainwright/model/program"
	"gainwright/model/scale"
)

// goal is the largest rounding asked for at a signal: by the spec, or for an output one of its own counts.
type goal struct {
	name            string
	section, signal int
	want            *big.Rat // in the signal's unit
	byDefault       bool     // nobody asked: one count of an output
	// Where the signal is an output, the step that it takes its value from rounds too; section -1: none.
	from struct{ section, signal int }
}

// goals lists what is asked for, in the order of the sections.
func (u *Unit) goals(p *program.Program) (out []goal) {
	type place struct{ section, signal int }
	places := map[string]place{}
	for s, sec := range p.Sections {
		for j, sig := range sec.Signals {
			places[sig.Name] = place{s, j}
		}
	}
	for s, sec := range p.Sections {
		for j, sig := range sec.Signals {
			g := goal{name: sig.Name, section: s, signal: j, want: u.wanted(sig.Name)}
			g.from.section = -1
			if sec.Kind == "output" {
				for _, o := range p.Outputs {
					if o.Name == sig.Name && g.want == nil {
						g.want, g.byDefault = o.LSB, true
					}
				}
				for _, o := range u.Spec.Outputs {
					if at, ok := places[o.From]; ok && o.Name == sig.Name {
						g.from = at
					}
				}
			}
			if g.want != nil {
				out = append(out, g)
			}
		}
	}
	return out
}

// reached is the rounding at a goal, of which from is the part that the step before an output makes; nil: there is no bound.
func (g goal) reached(local func(section, signal int) *big.Rat) (all, from *big.Rat) {
	if all = local(g.section, g.signal); all == nil || g.from.section < 0 {
		return all, nil
	}
	if from = local(g.from.section, g.from.signal); from == nil || from.Sign() == 0 {
		return all, nil
	}
	return new(big.Rat).Add(all, from), from
}

// over is by what factor each goal is missed; at most 1 where it is met.
func (p *proved) over(goals []goal) []float64 {
	out := make([]float64, len(goals))
	for i, g := range goals {
		reached, _ := g.reached(func(s, j int) *big.Rat {
			if r := p.local.Signals[s][j]; r != nil {
				return r.Size()
			}
			return nil
		})
		if reached != nil {
			out[i] = f64(new(big.Rat).Quo(reached, g.want))
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
	goals := u.goals(best.Integer)
	over := start.over(goals)
	var effort bound.Effort
	for i, g := range goals {
		if g.byDefault && g.from.section >= 0 && u.structured(best.Integer.Sections[g.from.section].Name) {
			continue
		}
		for range mostRefined {
			if over[i] <= 1 || effort > mostEffort/2 {
				break
			}
			var pick *proved
			var formats scale.Result
			var with map[program.ID]int
			var reached []float64
			var what string
			for _, group := range best.Groups() {
				if at := int(u.Asked.Ops[group.Root].Section); at != g.section && at != g.from.section {
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
						pick, formats, with, reached = found, next, trial.Adjust, now
						what = fmt.Sprintf("%s: %+d fraction bits, for the accuracy of %s", u.Asked.Ops[group.Root].Name, bits, g.name)
					}
				}
			}
			if pick == nil {
				break
			}
			best, adjust, start, over = formats, with, pick, reached
			s.Changed = append(s.Changed, what)
		}
	}
	return best, adjust, start, effort
}

// structured tells whether the spec chooses the structure of a second-order section itself: it then keeps the formats that this
// structure is known for, and is warned of what they do, unless an accuracy is asked for.
func (u *Unit) structured(step string) bool {
	for _, s := range u.Spec.Steps {
		for _, a := range s.Args {
			if s.Name == step && a.Key == "structure" && a.Value.Text != "automatic" {
				return true
			}
		}
	}
	return false
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
