package model

import (
	"gainwright/model/budget"
	"gainwright/model/cost"
	"gainwright/model/target"
)

// Estimate is what one tick costs on the target by the table of package cost.
type Estimate struct {
	Target   string
	Unit     target.Unit
	Total    float64
	Sections []budget.Part // by section, without the fixed part of a tick
	Sort     cost.Sort
	Error    cost.Error // of estimates of that sort
}

// estimateCost fills in Cost where the target has a table, and judges it by the spec's budget.
func estimateCost(u *Unit) {
	t := cost.For(u.Spec.Target)
	if t == nil {
		return
	}
	sections, all := t.Sections(u.Integer)
	for _, s := range sections {
		all.Add(s)
	}
	total, _ := t.Estimate(all)
	e := &Estimate{Target: t.Target.Name, Unit: t.Target.Unit, Total: total, Sort: t.Sort(all, total)}
	e.Error = t.Errors[e.Sort]
	var dearest budget.Part
	for s := range u.Integer.Sections {
		part, _ := t.Estimate(sections[s])
		p := budget.Part{Name: u.Integer.Sections[s].Name, Share: part - t.Base}
		if p.Share > dearest.Share {
			dearest = p
		}
		e.Sections = append(e.Sections, p)
	}
	u.Cost = e
	if u.Budget != nil {
		u.Findings = append(u.Findings, u.Budget.Judge(u.Spec.Rate, total, e.Unit, dearest)...)
	}
}
