package budget

import (
	"cmp"
	"slices"

	"gainwright/model/cost"
	"gainwright/model/program"
	"gainwright/model/target"
)

// Estimate is what one tick costs on the target by the table of package cost.
type Estimate struct {
	Target   string
	Unit     target.Unit
	Total    float64 // of the dearest tick: the first, in which every step runs
	Later    *Later  // of those after it; nil: each runs all steps
	Sections []Part  // by section, without the fixed part of a tick
	Sort     cost.Sort
	Error    cost.Error // of estimates of that sort
}

// Part is what one step costs.
type Part struct {
	Name string
	Cost float64 // in the unit of the estimate
}

// Price estimates what a tick of an integer program costs; nil where the target has no table.
func Price(p *program.Fixed, target string) *Estimate {
	t := cost.For(target)
	if t == nil {
		return nil
	}
	sections, all := t.Sections(p)
	for _, s := range sections {
		all.Add(s)
	}
	total, _ := t.Estimate(all)
	e := &Estimate{Target: t.Target.Name, Unit: t.Target.Unit, Total: total, Sort: t.Sort(all, total)}
	e.Error = t.Errors[e.Sort]
	for s := range p.Sections {
		part, _ := t.Estimate(sections[s])
		e.Sections = append(e.Sections, Part{Name: p.Sections[s].Name, Cost: part - t.Base})
	}
	e.Later = later(p, e)
	return e
}

// dearest is the step that costs most.
func (e *Estimate) dearest() Part {
	return slices.MaxFunc(e.Sections, func(a, b Part) int { return cmp.Compare(a.Cost, b.Cost) })
}
