// Package budget reads what a tick may cost on the target and judges an estimate against it.
package budget

import (
	"fmt"
	"math/big"

	"gainwright/model/fields"
	"gainwright/model/finding"
	"gainwright/model/spec"
)

// Budget is the time that one tick has.
type Budget struct {
	Pos   finding.Pos
	Clock float64 // Hz
	Share float64 // of the tick that controller and other work may take, 0 to 1
	Other float64 // s in each tick for the sensor bus and other work
}

// Read decodes the spec's budget section; nil where there is none.
func Read(s *spec.Spec) (*Budget, finding.List) {
	var found finding.List
	if s.Budget == nil {
		return nil, nil
	}
	m := fields.New("a budget", "budget", s.Budget.Pos, s.Budget.Args, &found)
	m.Need("clock", "16 MHz")
	b := &Budget{Pos: s.Budget.Pos, Clock: m.Quantity("clock", "Hz", 16e6), Share: m.Quantity("share", "", 1), Other: m.Quantity("other", "s", 0)}
	m.Inside("clock", b.Clock, 1e3, 1e10, "Hz", "the processor's clock")
	m.Inside("share", b.Share, 0.001, 1, "", "the share of a tick that may be used")
	m.Inside("other", b.Other, 0, 3600, "s", "time for other work in each tick")
	m.Done()
	return b, found
}

// Left is how many cycles of a tick are left for the controller at a rate in ticks per second.
func (b *Budget) Left(rate float64) float64 { return (b.Share/rate - b.Other) * b.Clock }

// Judge says whether an estimate fits a tick at a rate per second; cycles counts as instructions too, since one instruction takes at
// least one cycle. A nil budget has time for everything.
func (b *Budget) Judge(rate *big.Rat, e *Estimate) finding.List {
	if b == nil {
		return nil
	}
	perSecond, _ := rate.Float64()
	left := b.Left(perSecond)
	if e.Total <= left {
		return nil
	}
	dearest := e.dearest()
	f := finding.Finding{Pos: b.Pos, Severity: finding.Error, Rule: "does-not-fit", Key: "budget",
		Message: fmt.Sprintf("a tick takes about %.0f %s, %.0f cycles are left for it", e.Total, e.Unit, max(left, 0)),
		Because: []string{
			fmt.Sprintf("at %g Hz and a clock of %g MHz a tick has %.0f cycles, of which a share of %.4g less %.4g us of other work is left", perSecond, b.Clock/1e6, b.Clock/perSecond, b.Share, b.Other*1e6),
			fmt.Sprintf("the step that costs most is %s, about %.0f %s", dearest.Name, dearest.Cost, e.Unit)},
	}
	if l := e.Later; l != nil {
		f.Because = append(f.Because, fmt.Sprintf("that is the first tick, in which every step runs; the worst of the others takes about %.0f", l.Worst))
	}
	need := e.Total/b.Clock + b.Other
	f.Remedy = fmt.Sprintf("rate: %.3g Hz, or slower, or a larger share, a faster clock, less other work", b.Share/need*0.995)
	return finding.List{f}
}
