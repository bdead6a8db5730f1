package simulate

import (
	"fmt"
	"math"

	"gainwright/model/fields"
)

// What tests nothing must not count as held. Most of it is told when the scenario is read, the rest by the run.

// untested says which criteria of a watched quantity no stretch of the scenario can judge.
func (r *reader) untested(m *fields.Map, w *Watch) {
	hz, _ := r.spec.Rate.Float64()
	n := int(math.Ceil(r.out.Duration*hz)) + 1
	var aims, rests, ramps, recoveries bool
	for _, g := range r.out.stretches(w, n, 1/hz) {
		rests = rests || g.atRest()
		aims = aims || g.atRest() && !g.recovery
		ramps = ramps || g.rest > g.from && !g.recovery
		recoveries = recoveries || g.atRest() && g.recovery
	}
	tell := func(key string, judged bool, remedy, why string) {
		if _, asked := w.Pos[key]; asked && !judged {
			m.Say(w.Pos[key], key, "judged-on-nothing", remedy, "%s of %s is judged on no part of this scenario: %s", key, w.Name, why)
		}
	}
	tell("settles_in", aims, "a change of the target with time behind it", "the target never stands still, undisturbed, behind a change")
	tell("overshoot", aims || ramps, "a change of the target", "no change of the target goes undisturbed")
	tell("recovers_in", recoveries, "a disturbance that ends inside the scenario, with time behind it", "no disturbance and no fault leaves time behind it")
	tell("follows_within", ramps, "a ramp, such as 5 s: ramp to 10", "the target is on no ramp that goes undisturbed")
	tell("steady_error", rests, "a time in which the target stands still", "the target never stands still undisturbed")
	tell("swing", rests, "a time in which the target stands still", "the target never stands still undisturbed")
}

// untested says what a run did not test: l is the loop by which that is told.
func (v *verdict) untested(l *Loop) {
	sc := v.Scenario
	for _, name := range l.Off {
		pos := v.Spec.Scenario.Pos
		for _, p := range sc.SetPoints {
			if p.Switch {
				pos = p.pos
			}
		}
		v.add(pos, "switched-off", "set_points", fmt.Sprintf("%s is switched off throughout: nothing of it is tested", name), "a scenario in which it is switched on")
	}
	v.idle(l)
	for i := range sc.Watch {
		w, got := &sc.Watch[i], &l.Watch[i]
		tell := func(key string, judged bool, why string) {
			if _, asked := w.Pos[key]; asked && !judged && !l.Fell {
				v.add(w.Pos[key], "judged-on-nothing", "watch."+w.Name+"."+key, fmt.Sprintf("%s of %s was judged on no part of this run: %s", key, w.Name, why), "a change of the target, or a start, by more than the band")
			}
		}
		tell("settles_in", got.tested || !got.Settled, "neither a change of its target nor the start is larger than its band")
		tell("overshoot", got.Overshoot != None, "neither its target changes nor does it start outside its band")
		tell("swing", got.Swing != None, fmt.Sprintf("the second half of the last stretch has less than %d ticks", leastPoints))
	}
}

// idle says where no effort came.
func (v *verdict) idle(l *Loop) {
	still := true
	for _, a := range v.Plant.Actuators {
		still = still && !l.Effort[a.Output].moved
	}
	said := map[int]bool{}
	for _, a := range v.Plant.Actuators {
		e := &l.Effort[a.Output]
		if said[a.Output] || e.moved || !still && e.Biggest > 0 {
			continue
		}
		said[a.Output] = true
		message := fmt.Sprintf("%s gives no effort in the whole run: nothing of it is tested", e.Name)
		if e.Biggest > 0 {
			message = fmt.Sprintf("%s stands at %.4g %s in the whole run: nothing is controlled", e.Name, e.Last, e.Unit)
		}
		v.add(v.Spec.Scenario.Pos, "no-effort", "", message, "a scenario in which it has to act")
	}
}
