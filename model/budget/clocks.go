package budget

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// Steps that do not run at each tick meet in some ticks and not in others. In the first tick all run.

// Later is what the ticks after the first cost, where some steps do not run in each.
type Later struct {
	Worst float64
	Meet  []string // the steps that run in the worst of them, besides those that run in each
	Mean  float64  // in the long run
}

// meets tells whether two clocks run in the same tick, of those after the first: where their phases agree by the greatest common divisor of the ticks
// between their runs. Several clocks meet where each two of them do.
func meets(a, b program.Clock) bool {
	return (a.Phase-b.Phase)%gcd(a.Ticks(), b.Ticks()) == 0
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// slow is what is run by one clock together.
type slow struct {
	clock    program.Clock
	cost     float64
	sections []int
}

// mostTries is how many sets of clocks are looked at. Beyond it the dearest tick is taken for one in which all run, as in the first.
const mostTries = 1 << 14

// dearest finds what meets and costs most together.
func dearest(list []slow) (cost float64, set []int) {
	order := make([]int, len(list))
	rest := 0.0
	for i := range list {
		order[i] = i
		rest += list[i].cost
	}
	all := rest
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(list[b].cost, list[a].cost) })
	tries := 0
	var taken []int
	var try func(at int, so, left float64)
	try = func(at int, so, left float64) {
		if tries++; so > cost {
			cost, set = so, slices.Clone(taken)
		}
		if at == len(order) || so+left <= cost || tries > mostTries {
			return
		}
		next := order[at]
		left -= list[next].cost
		if !slices.ContainsFunc(taken, func(i int) bool { return !meets(list[i].clock, list[next].clock) }) {
			taken = append(taken, next)
			try(at+1, so+list[next].cost, left)
			taken = taken[:len(taken)-1]
		}
		try(at+1, so, left)
	}
	if try(0, 0, rest); tries > mostTries {
		return all, order
	}
	slices.Sort(set)
	return cost, set
}

// together gathers the sections of a program that do not run at each tick: those that read one another by one clock are moved together.
func together(p *program.Fixed, e *Estimate) (list []slow) {
	of := make([]int, len(p.Sections))
	for s := range of {
		of[s] = s
		if p.At(s).Every == 0 {
			continue
		}
		for _, id := range p.Sections[s].Inputs {
			if t := p.Ops[id].Section; p.At(t) == p.At(s) && of[t] != of[s] {
				from := of[s]
				for i := range of[:s+1] {
					if of[i] == from {
						of[i] = of[t]
					}
				}
			}
		}
	}
	at := map[int]int{}
	for s := range of {
		if p.At(s).Every == 0 {
			continue
		}
		n, there := at[of[s]]
		if !there {
			n, at[of[s]] = len(list), len(list)
			list = append(list, slow{clock: p.At(s)})
		}
		list[n].cost += e.Sections[s].Cost
		list[n].sections = append(list[n].sections, s)
	}
	return list
}

// later finds what the ticks after the first cost; nil where each runs all steps.
func later(p *program.Fixed, e *Estimate) *Later {
	list := together(p, e)
	if len(list) == 0 {
		return nil
	}
	each := e.Total
	for _, s := range list {
		each -= s.cost
	}
	worst, set := dearest(list)
	l := &Later{Worst: each + worst, Mean: each}
	for _, s := range list {
		l.Mean += s.cost / float64(s.clock.Ticks())
	}
	for _, i := range set {
		for _, s := range list[i].sections {
			if name := p.Sections[s].Name; !strings.Contains(name, ".") { // what stands before a step is not told apart
				l.Meet = append(l.Meet, name)
			}
		}
	}
	return l
}

// The search of phases goes through so many groups of steps, and so many phases of each, at most.
const (
	mostGroups = 12
	mostPhases = 64
)

// leastSaved is the share of the worst later tick that other phases are to save before they are proposed.
const leastSaved = 0.1

// Phases proposes other phases, where they make the worst tick after the first shorter.
func Phases(s *spec.Spec, p *program.Fixed, e *Estimate) (found finding.List) {
	if e.Later == nil {
		return nil
	}
	list := together(p, e)
	if len(list) < 2 || len(list) > mostGroups {
		return nil
	}
	now, _ := dearest(list)
	better := slices.Clone(list)
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(list[b].cost, list[a].cost) })
	for n := range order {
		placed := make([]slow, 0, n+1)
		for _, i := range order[:n+1] {
			placed = append(placed, better[i])
		}
		own := &placed[n]
		if stepOf(s, p, *own) == "" { // no phase is written there
			continue
		}
		least, phase := -1.0, own.clock.Phase
		for k := range min(own.clock.Every, mostPhases) {
			own.clock.Phase = k
			cost, _ := dearest(placed)
			if least < 0 || cost < least || cost == least && k == better[order[n]].clock.Phase {
				least, phase = cost, k
			}
		}
		better[order[n]].clock.Phase = phase
	}
	then, _ := dearest(better)
	if then > now-leastSaved*e.Later.Worst {
		return nil
	}
	var words, because []string
	var first *spec.Step
	for i := range list {
		if list[i].clock == better[i].clock {
			continue
		}
		for _, section := range list[i].sections {
			if st := s.Step(p.Sections[section].Name); st != nil {
				words = append(words, fmt.Sprintf("phase: %s, at the step %s", ticks(better[i].clock.Phase), st.Name))
				if first == nil {
					first = st
				}
			}
		}
	}
	if first == nil {
		return nil
	}
	if more, reader, source := older(p, list, better); more > 0 {
		because = append(because, fmt.Sprintf("what %s then reads of %s is up to %s older than now", reader, source, ticks(more)))
	} else {
		because = append(because, "no slower step then reads of another what is older than now")
	}
	found.Add(finding.Finding{Pos: first.Pos, Severity: finding.Note, Rule: "phases-meet", Key: "steps." + first.Name,
		Message: fmt.Sprintf("the worst tick after the first takes about %.0f %s, since %s run in it; with other phases about %.0f", e.Later.Worst, e.Unit, strings.Join(e.Later.Meet, ", "), e.Later.Worst-now+then),
		Because: because, Remedy: strings.Join(words, "; ")})
	return found
}

// ticks words a number of them.
func ticks(n int) string {
	if n == 1 {
		return "1 tick"
	}
	return fmt.Sprintf("%d ticks", n)
}

// stepOf is a step of the spec that some sections belong to, or nothing.
func stepOf(s *spec.Spec, p *program.Fixed, of slow) string {
	for _, section := range of.sections {
		if st := s.Step(p.Sections[section].Name); st != nil {
			return st.Name
		}
	}
	return ""
}

// older finds by how many ticks, at most, a value is older as another step reads it, where both do not run at each tick.
func older(p *program.Fixed, now, then []slow) (most int, reader, source string) {
	of := map[int]int{}
	for i, s := range now {
		for _, section := range s.sections {
			of[section] = i
		}
	}
	for i, s := range now {
		for _, section := range s.sections {
			for _, id := range p.Sections[section].Inputs {
				from := p.Ops[id].Section
				j, is := of[from]
				if !is || j == i {
					continue
				}
				if more := age(then[j].clock, then[i].clock) - age(now[j].clock, now[i].clock); more > most {
					most, reader, source = more, p.Sections[section].Name, p.Sections[from].Name
				}
			}
		}
	}
	return most, reader, source
}

// age is how many ticks old a value is at most as another clock finds it.
func age(of, at program.Clock) int {
	g := gcd(of.Ticks(), at.Ticks())
	return ((at.Phase-of.Phase)%g+g)%g + of.Ticks() - g
}
