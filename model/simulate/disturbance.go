package simulate

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gainwright/model/fields"
	"gainwright/model/spec"
)

func (r *reader) readDisturbances() {
	loads := r.plant.Loads()
	for i, v := range r.Items("disturbances", "[{at: 10 s, for: 1 s, push: 1 N}]") {
		m := r.event("a disturbance", "disturbances", i, v)
		if m == nil {
			continue
		}
		d := Disturbance{Load: -1, About: m.Text("about", "door opens")}
		d.At, d.For = r.when(m)
		for _, name := range loads {
			if !m.Has(name) {
				continue
			}
			if d.Load >= 0 {
				m.Say(m.At(name), name, "two-loads", "a disturbance of its own", "a disturbance has one load, this is the second")
				continue
			}
			d.Load, d.Name = r.plant.Input(name), name
			d.Value = m.Quantity(name, r.plant.Model.Inputs()[d.Load].Unit, 0)
			m.Inside(name, d.Value, -1e9, 1e9, "", "")
			if rest := r.plant.Model.Inputs()[d.Load].Rest; d.Value == rest {
				m.Say(m.At(name), name, "tests-nothing", "another value, or no such disturbance", "%s is %g where nothing disturbs: this disturbance changes nothing", name, rest)
			}
		}
		if d.At+d.For <= r.out.HeldUntil {
			m.Say(m.At("at"), "at", "tests-nothing", "a time after held_until", "it is over before the machine is let go at %.6g s: it changes nothing", r.out.HeldUntil)
		}
		m.Done()
		if d.Load < 0 {
			m.Say(m.Pos, "", "missing-key", "one of "+strings.Join(loads, ", "), "a disturbance needs a load: %s", strings.Join(loads, ", "))
			continue
		}
		r.out.Disturbances = append(r.out.Disturbances, d)
	}
	slices.SortStableFunc(r.out.Disturbances, func(a, b Disturbance) int { return cmp.Compare(a.At, b.At) })
}

// firstTick is the number of the first tick not before a time.
func firstTick(at, hz float64) float64 { return math.Ceil(at*hz - 1e-9) }

// event opens one entry of a list of what happens.
func (r *reader) event(what, key string, i int, v spec.Value) *fields.Map {
	if i == maxEvents {
		r.Say(v.Pos, key, "too-many", "fewer entries", "at most %d entries are read", maxEvents)
	}
	if i >= maxEvents || v.Shape == spec.Refused {
		return nil
	}
	return r.Below(what, spec.Arg{Key: key, Pos: v.Pos, Value: v}, "{at: 10 s, for: 1 s, ...}")
}

// when reads at and for. What happens must leave something of the run behind it, or stay for good.
func (r *reader) when(m *fields.Map) (at, long float64) {
	hz, _ := r.spec.Rate.Float64()
	end := r.out.Duration
	known := m.Need("at", "10 s") != nil
	if known {
		at = m.Quantity("at", "s", 0)
		known = m.Inside("at", at, 0, end, "s", ": inside the scenario")
	}
	if known = known && r.timed; known && at > end-leastRest/hz {
		m.Say(m.At("at"), "at", "after-the-end", "an earlier time, or a longer scenario", "it begins at the end of the scenario, %.6g s: nothing of it is seen", end)
		known = false
	}
	long = m.Quantity("for", "s", math.Inf(1))
	if known && long > 0 && firstTick(at, hz) >= firstTick(at+long, hz) {
		m.Say(m.At("for"), "for", "between-ticks", fmt.Sprintf("%.6g s at least", 1/hz), "it begins and ends between two ticks of %.6g s: it never acts", 1/hz)
	}
	if m.Has("for") && m.Inside("for", long, 1e-9, 1e9, "s", "") && known && at+long > end-leastRest/hz {
		m.Say(m.At("for"), "for", "outlasts", "a shorter time, a longer scenario, or no for: it stays, and the loop must live with it",
			"it ends at %.6g s, the scenario at %.6g s: nothing is seen of what comes after it", at+long, end)
	}
	return at, long
}
