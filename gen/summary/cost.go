package summary

import (
	"fmt"
	"math"
	"strings"

	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/witness"
)

// costData is what a tick costs on the target by the table, and what the search of formats did: in cycles or instructions; by_rule with the formats that
// the search started from, wide if every number took 32 bits (0 on parts of 32 bits). The error is how far the table was off for other controllers whose
// ticks are of the same sort (usual, small, or wide: with arithmetic of 64 bits), random ones that it was not fitted to: for 19 of 20, and for all. Where some steps do
// not run in each tick, tick is the first one, in which all do; the worst and the mean of the later ones stand beside it.
func costData(u *model.Unit) document.Object {
	c, rule, wide, tried, changes := u.Cost, 0.0, 0.0, 0, []string{}
	if s := u.Search; s != nil {
		rule, wide, tried, changes = s.Rule, s.All32, s.Tried, append(changes, s.Changed...)
	}
	e := document.Fields("sort", c.Sort, "controllers", c.Error.Controllers, "nineteen", c.Error.Nineteen, "most", c.Error.Most)
	data := document.Fields("target", c.Target, "unit", c.Unit, "tick", Whole(c.Total), "error", e, "steps", steps(u),
		"by_rule", Whole(rule), "wide", Whole(wide), "searched", tried, "changes", changes)
	if l := c.Later; l != nil {
		data = append(data, document.Fields("later_worst", Whole(l.Worst), "later_meet", l.Meet, "later_mean", Whole(l.Mean))...)
	}
	return data
}

// steps lists what each step costs.
func steps(u *model.Unit) *document.Table {
	c := u.Cost
	t := &document.Table{Title: fmt.Sprintf("Cost of a tick on %s, by table: about %.0f %s", c.Target, c.Total, c.Unit),
		Columns: document.Columns("step:step|cost:>" + string(c.Unit)), Bare: true}
	most := 0.0
	for _, s := range c.Sections {
		most = max(most, s.Cost)
	}
	for _, s := range c.Sections {
		t.Put(document.Word(s.Name), document.Cell{Text: fmt.Sprintf("%.0f", s.Cost), Value: Whole(s.Cost), Share: s.Cost / max(most, 1)})
	}
	return t
}

// costParts say it to people.
func costParts(u *model.Unit) []document.Part {
	c := u.Cost
	out := []document.Part{document.Aside("Estimated without a compiler; verify --on measures it.")}
	if b := u.Budget; b != nil {
		rate, _ := u.Spec.Rate.Float64()
		out = append(out, document.Aside("The budget leaves %.0f clock cycles in each tick.", b.Left(rate)))
	}
	rest := c.Total
	for _, s := range c.Sections {
		rest -= s.Cost
	}
	of := map[string]string{"usual": "controllers", "small": "controllers with ticks as short as this", "wide": "controllers with arithmetic of 64 bits"}[string(c.Sort)]
	out = append(out, steps(u), document.Aside("The call, and what belongs to no step, take the other %.0f.", max(rest, 0)),
		document.Note("Of %d random %s that the table was not fitted to, it was off by at most %.0f %% for 19 of 20, %.0f %% for all.",
			c.Error.Controllers, of, math.Ceil(c.Error.Nineteen), math.Ceil(c.Error.Most)))
	if l := c.Later; l != nil {
		out = append(out, document.Note("That is the first tick, in which every step runs. The worst of the others takes about %.0f, with %s; the mean is %.0f.", l.Worst, strings.Join(l.Meet, ", "), l.Mean))
	}
	s := u.Search
	if s == nil {
		return out
	}
	if s.All32 > 0 {
		out = append(out, document.Note("With 32 bits for every number it would be about %.0f, %.2f times as much.", s.All32, s.All32/c.Total))
	}
	switch {
	case s.Tried == 0:
	case len(s.Changed) == 0:
		out = append(out, document.Note("%d changes of formats were tried; none that keeps the accuracy saves %d %s.", s.Tried, model.LeastGain, c.Unit))
	default:
		out = append(out, document.Note("%d changes of formats were tried; taken:", s.Tried), document.List(s.Changed))
	}
	return out
}

// Witnesses searches for sequences of inputs that, run bit-exactly, come close to a bound: the highest or lowest value, or rounding. It takes seconds.
func Witnesses(u *model.Unit) *document.Table {
	t := &document.Table{Title: "How close inputs come to the bounds, each sequence run bit-exactly",
		Columns: document.Columns("signal:signal|unit|what:|bound:>bound|reached:>reached|:unit|share:>share|ticks|how:by")}
	for _, w := range witness.Find(u.Stored, u.Integer, u.Certificate, 1) {
		t.Put(document.Word(w.Signal), w.Unit, document.Word(w.What), document.Both(fmt.Sprintf("%.6g", w.Bound), w.Bound),
			document.Both(fmt.Sprintf("%.6g", w.Reached), w.Reached),
			document.Cell{Text: w.Unit}, document.Cell{Text: fmt.Sprintf("%.2f %%", 100*w.Share), Value: w.Share, Share: w.Share}, w.Ticks, document.Word(w.How))
	}
	return t
}
