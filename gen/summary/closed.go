package summary

import (
	"fmt"

	"gainwright/model"
	"gainwright/model/loop"
	"gainwright/model/simulate"
	"gainwright/model/target"
)

// computing is how long a tick of the controller takes by the table of costs, in seconds, and from what that follows; 0 where it is not known.
func computing(u *model.Unit) (seconds float64, how string) {
	if u.Cost == nil {
		return 0, ""
	}
	clock, from := target.Named(u.Cost.Target).Clock, "a usual clock"
	if u.Budget != nil {
		clock, from = u.Budget.Clock, "the clock of the budget"
	}
	if clock == 0 {
		return 0, ""
	}
	each := ""
	if u.Cost.Unit == target.Instructions {
		each = ", one cycle for each"
	}
	return u.Cost.Total / clock, fmt.Sprintf("about %.0f %s%s, at %g MHz, %s", u.Cost.Total, u.Cost.Unit, each, clock/1e6, from)
}

// Loop is a unit's closed loop, ready for the linear view.
func Loop(u *model.Unit) *loop.System {
	seconds, _ := computing(u)
	return &loop.System{Spec: u.Spec, Asked: u.Asked, Stored: u.Stored, Integer: u.Integer, Plant: u.Plant, Scenario: u.Scenario, Computing: seconds}
}

// Simulation is a unit's closed loop, ready to run. Its runs are not good where the loop is not stable as a linear system.
func Simulation(u *model.Unit) *simulate.System {
	s := simulate.New(u.Spec, u.Asked, u.Integer, u.Plant, u.Scenario)
	s.Stable = Loop(u).Stable
	return s
}
