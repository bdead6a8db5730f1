package summary

import (
	"fmt"
	"math"

	"gainwright/model"
	"gainwright/model/witness"
)

// Cost is what a tick costs on the target by the table, and what the search of formats did.
type Cost struct {
	Target   string     `json:"target"`
	Unit     string     `json:"unit"` // cycles or instructions
	Tick     Whole      `json:"tick"`
	Error    CostError  `json:"error"`
	Steps    []StepCost `json:"steps"`
	ByRule   Whole      `json:"by_rule"` // with the formats that the search started from
	Wide     Whole      `json:"wide"`    // if every number took 32 bits; 0 on parts of 32 bits
	Searched int        `json:"searched"`
	Changes  []string   `json:"changes"`
}

// CostError is how far the table was off for other controllers whose ticks are of the same sort.
type CostError struct {
	Sort        string  `json:"sort"`        // usual; small; wide: with arithmetic of 64 bits
	Controllers int     `json:"controllers"` // random ones, that the table was not fitted to
	Nineteen    float64 `json:"nineteen"`    // percent: 19 of 20 of them are off by no more
	Most        float64 `json:"most"`        // percent
}

// String says it in a sentence.
func (e CostError) String() string {
	of := map[string]string{"usual": "controllers", "small": "controllers with ticks as short as this", "wide": "controllers with arithmetic of 64 bits"}[e.Sort]
	return fmt.Sprintf("Of %d random %s that the table was not fitted to, it was off by at most %.0f %% for 19 of 20, %.0f %% for all.", e.Controllers, of, math.Ceil(e.Nineteen), math.Ceil(e.Most))
}

// StepCost is the share of one step.
type StepCost struct {
	Step string `json:"step"`
	Cost Whole  `json:"cost"`
}

// InVain says that a search took nothing, and what it left alone.
func (c *Cost) InVain() string {
	return fmt.Sprintf("%d changes of formats were tried; none that keeps the accuracy saves %d %s.", c.Searched, model.LeastGain, c.Unit)
}

func costOf(u *model.Unit) *Cost {
	if u.Cost == nil {
		return nil
	}
	c := &Cost{Target: u.Cost.Target, Unit: string(u.Cost.Unit), Tick: Whole(u.Cost.Total),
		Error: CostError{string(u.Cost.Sort), u.Cost.Error.Controllers, u.Cost.Error.Nineteen, u.Cost.Error.Most}, Steps: []StepCost{}, Changes: []string{}}
	for _, s := range u.Cost.Sections {
		c.Steps = append(c.Steps, StepCost{s.Name, Whole(s.Share)})
	}
	if s := u.Search; s != nil {
		c.ByRule, c.Wide, c.Searched = Whole(s.Rule), Whole(s.Wide), s.Tried
		c.Changes = append(c.Changes, s.Changed...)
	}
	return c
}

// Witness is how close a sequence of inputs, run bit-exactly, came to a bound.
type Witness struct {
	Signal  string  `json:"signal"`
	Unit    string  `json:"unit"`
	What    string  `json:"what"` // highest, lowest or rounding
	Bound   float64 `json:"bound"`
	Reached float64 `json:"reached"`
	Share   float64 `json:"share"`
	Ticks   int     `json:"ticks"`
	How     string  `json:"how"`
}

// Witnesses searches for them; it takes seconds.
func Witnesses(u *model.Unit) []Witness {
	out := []Witness{}
	for _, w := range witness.Find(u.Stored, u.Integer, u.Certificate, 1) {
		out = append(out, Witness(w))
	}
	return out
}
