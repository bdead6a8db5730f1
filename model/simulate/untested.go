package simulate

import (
	"fmt"
	"math"
	"slices"

	"gainwright/model/fields"
	"gainwright/model/plant"
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
	if g := r.last(w, n, 1/hz); g != nil && g.rest > g.from && !g.atRest() && w.Asked() && math.IsNaN(w.Follows) {
		m.Say(w.part, "", "ends-on-a-ramp", "follows_within: 1 "+w.Unit+", or a time at rest behind the ramp", "the target of %s is on a ramp up to the end of the scenario, and nothing is asked of the ramp", w.Name)
	}
	tell("settles_in", aims, "a change of the target with time behind it", "the target never stands still, undisturbed, behind a change")
	tell("overshoot", aims || ramps, "a change of the target", "no change of the target goes undisturbed")
	tell("recovers_in", recoveries, "a disturbance that ends inside the scenario, with time behind it", "no disturbance and no fault leaves time behind it")
	tell("follows_within", ramps, "a ramp, such as 5 s: ramp to 10", "the target is on no ramp that goes undisturbed")
	tell("steady_error", rests, "a time in which the target stands still", "the target never stands still undisturbed")
	tell("swing", rests, "a time in which the target stands still", "the target never stands still undisturbed")
}

// last is the stretch with which a scenario ends.
func (r *reader) last(w *Watch, n int, period float64) *stretch {
	all := r.out.stretches(w, n, period)
	if len(all) == 0 || all[len(all)-1].to < n {
		return nil
	}
	return &all[len(all)-1]
}

// untested says what a run did not test: l is the loop by which that is told.
func (v *verdict) untested(l *Loop) {
	sc := v.Scenario
	for _, name := range l.Off {
		if l.Fell {
			break
		}
		pos := v.Spec.Scenario.Pos
		for _, p := range sc.SetPoints {
			if p.Switch {
				pos = p.pos
			}
		}
		v.add(pos, "switched-off", "set_points", fmt.Sprintf("%s is switched off, but for less than %d ticks: nothing of it is tested", name, leastRest), "a scenario in which it is switched on")
	}
	v.idle(l)
	v.calm(l)
	for i := range sc.Watch {
		w, got := &sc.Watch[i], &l.Watch[i]
		if got.changed && !got.wide && w.Asked() && !l.Fell {
			v.add(w.part, "band-too-wide", "watch."+w.Name+".band", fmt.Sprintf("the target of %s never changes by more than the band: where it does not follow at all, it is inside it too", w.Name), "a narrower band, or a larger change")
		}
		tell := func(key string, judged bool, why string) {
			if _, asked := w.Pos[key]; asked && !judged && !l.Fell {
				v.add(w.Pos[key], "judged-on-nothing", "watch."+w.Name+"."+key, fmt.Sprintf("%s of %s was judged on no part of this run: %s", key, w.Name, why), "a change of the target, a start or a disturbance that is large beside the band")
			}
		}
		tell("settles_in", got.tested || !got.Settled, "it moves by more than its band at no change of its target, and at no release")
		tell("recovers_in", got.shaken || !got.Recovered, "no disturbance and no fault moves it by as much as a tenth of its band")
		tell("overshoot", got.Overshoot != None, "neither a change of its target nor the start outside its band takes it as far as its target")
		tell("swing", got.Swing != None, fmt.Sprintf("the second half of the last stretch has less than %d ticks", leastPoints))
	}
}

// calm says where nothing has happened to any watched quantity. A machine that may fall has to be held all the time.
func (v *verdict) calm(l *Loop) {
	if v.Scenario.Fall != nil || !v.asked {
		return
	}
	if slices.ContainsFunc(l.Watch, func(w Watched) bool { return w.tested || w.shaken || w.strayed }) {
		return
	}
	v.add(v.Spec.Scenario.Pos, "tests-nothing", "", "nothing happens: everything that is watched is inside its band from the start to the end, and nothing moves it by as much as a tenth of that", "a start outside the band, a target that changes, or a disturbance")
}

// idle says where no effort came.
func (v *verdict) idle(l *Loop) {
	moves := slices.ContainsFunc(v.Plant.Actuators, func(a plant.Actuator) bool { return l.Effort[a.Output].moved })
	said := map[int]bool{}
	for _, a := range v.Plant.Actuators {
		e := &l.Effort[a.Output]
		if said[a.Output] || e.moved || moves && e.Biggest > 0 {
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
