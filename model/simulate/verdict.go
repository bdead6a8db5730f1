package simulate

import (
	"fmt"
	"math"
	"strings"

	"gainwright/model/finding"
)

// findings says what the named loops did not hold, and what the run did not test.
func (s *System) findings(out *Outcome, which ...int) finding.List {
	v := &verdict{System: s, asked: s.Scenario.Fall != nil}
	for i := range s.Scenario.Watch {
		v.asked = v.asked || s.Scenario.Watch[i].Asked()
	}
	for _, i := range which {
		v.loop(&out.Loops[i], i)
	}
	v.untested(&out.Loops[which[0]])
	if len(v.found) == 0 && !v.asked {
		v.add(s.Scenario.Watch[0].part, "nothing-asked", "watch", "nothing is asked of the loops: a band alone is no criterion", "settles_in: 2 s, or another criterion beside band; gainwright help measures lists them")
	}
	return v.found
}

// verdict is one judgement of a run.
type verdict struct {
	*System
	asked   bool
	who     string
	because []string
	found   finding.List
}

func (v *verdict) add(pos finding.Pos, rule, key, message, remedy string) {
	v.found.Add(finding.Finding{Pos: pos, Severity: finding.Error, Rule: rule, Key: inScenario(key), Message: message, Remedy: remedy})
}

func (v *verdict) say(pos finding.Pos, rule, key, message string, args ...any) {
	v.found.Add(finding.Finding{Pos: pos, Severity: finding.Error, Rule: rule, Key: inScenario(key), Message: v.who + " " + fmt.Sprintf(message, args...), Because: v.because})
}

func inScenario(key string) string { return strings.TrimSuffix("scenario."+key, ".") }

// loop says what one loop did not hold.
func (v *verdict) loop(l *Loop, which int) {
	v.who, v.because = "the integer controller", nil
	if which == Reference {
		v.who = "the reference controller"
		v.because = []string{"the reference runs in float64 with the gains as asked: it is the tuning that fails, not the integers"}
	}
	sc := v.Scenario
	if l.RanAway {
		v.say(v.Spec.Scenario.Pos, "runs-away", "duration", "lets the machine run away at %.3f s: a quantity grows beyond all bounds", l.Upright)
	} else if f := sc.Fall; f != nil && l.Fell {
		v.say(f.Pos, "falls", "falls", "lets the machine fall at %.3f s", l.Upright)
	}
	if l.Inexact > 0 {
		v.say(v.Spec.Scenario.Pos, "inexact", "duration", "moves the machine so fast, or strikes so often, that at %d times its motion could not be followed with a small error", l.Inexact)
	}
	if l.Unstable {
		v.say(v.Spec.Scenario.Pos, "unstable", "", "makes no stable loop with the linearised machine, whatever this run shows: simulate --linear tells by how much")
	}
	for i := range sc.Watch {
		if sc.Watch[i].Asked() {
			v.watched(&sc.Watch[i], &l.Watch[i], l.Fell)
		}
	}
}

// watched holds a quantity against what is asked of it.
func (v *verdict) watched(w *Watch, got *Watched, fell bool) {
	key := "watch." + w.Name + "."
	before := len(v.found)
	if !math.IsNaN(w.SettlesIn) && (!got.Settled || float64(got.Settling) > w.SettlesIn) {
		v.say(w.Pos["settles_in"], "settles-late", key+"settles_in", "%s", late(got.Settled, float64(got.Settling), w.SettlesIn))
	}
	if !math.IsNaN(w.RecoversIn) && (!got.Recovered || float64(got.Recovery) > w.RecoversIn) {
		v.say(w.Pos["recovers_in"], "recovers-late", key+"recovers_in", "%s after a disturbance", late(got.Recovered, float64(got.Recovery), w.RecoversIn))
	}
	unsettled := len(v.found) > before
	more := func(name, rule, does string, size, limit float64) {
		if math.Abs(size)*w.PerUnit > limit {
			v.say(w.Pos[name], rule, key+name, "%s %.4g %s, at most %.4g is asked for", does, size, w.Unit, limit/w.PerUnit)
		}
	}
	more("overshoot", "overshoots", "overshoots by", max(0, float64(got.Overshoot)), w.Overshoot)
	more("follows_within", "follows-badly", "follows the ramp with an error of", max(0, float64(got.Following)), w.Follows)
	more("steady_error", "steady-error", "keeps an error of", got.SteadyError, w.SteadyError)
	more("swing", "swings", "leaves a swing to each side of", max(0, float64(got.Swing)), w.Swing)
	if got.Lowest*w.PerUnit < w.Stays[0] || got.Highest*w.PerUnit > w.Stays[1] {
		v.say(w.Pos["stays"], "leaves-range", key+"stays", "lets it go from %.4g to %.4g %s, [%.4g, %.4g] is asked for", got.Lowest, got.Highest, w.Unit, w.Stays[0]/w.PerUnit, w.Stays[1]/w.PerUnit)
	}
	switch {
	case fell:
	case got.Residual.Cycle && got.Residual.Size*w.PerUnit > w.Band:
		v.say(w.part, "cycles", key+"band", "never brings it to rest: it swings by %.4g %s to each side, more than the band of %.4g", got.Residual.Size, w.Unit, w.Band/w.PerUnit)
	case !got.AtEnd && !unsettled:
		v.say(w.part, "never-settles", key+"band", "does not have it inside the band of %.4g %s at the end of the run", w.Band/w.PerUnit, w.Unit)
	}
}

func late(reached bool, seconds, wanted float64) string {
	if !reached {
		return fmt.Sprintf("does not bring it to its target to stay; %.4g s is asked for", wanted)
	}
	return fmt.Sprintf("needs %.4g s to bring it to its target to stay, at most %.4g s is asked for", seconds, wanted)
}
