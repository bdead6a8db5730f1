package simulate

import (
	"encoding/json"
	"fmt"
	"math"

	"gainwright/model/finding"
)

// Outcome is what one run of both loops showed.
type Outcome struct {
	Seed       uint64       `json:"seed"`
	Loops      [2]Loop      `json:"loops"` // reference, integer
	Difference []Difference `json:"difference"`
	Findings   finding.List `json:"findings"` // what was asked for and not held
}

// Reached is a time or a size that need not exist: below 0 there is none, and JSON has null for it.
type Reached float64

// None is a time that was not reached, or a size of what does not apply.
const None Reached = -1

// MarshalJSON writes the number, or null.
func (r Reached) MarshalJSON() ([]byte, error) {
	if r < 0 {
		return []byte("null"), nil
	}
	return json.Marshal(float64(r))
}

// Loop is what one loop showed.
type Loop struct {
	Name        string    `json:"name"`
	Fell        bool      `json:"fell"`
	RanAway     bool      `json:"ran_away"`  // a quantity grew beyond all bounds
	Upright     float64   `json:"upright_s"` // time until the fall, or the end
	Effort      []Effort  `json:"effort"`
	Watch       []Watched `json:"watch"`
	Switches    []Switch  `json:"switches"`
	FirstEffort Reached   `json:"first_effort_s"` // none: there was none
	WindUp      float64   `json:"wind_up"`        // largest value of an integral that a switch holds, before the first effort
	CutOff      Reached   `json:"cut_off_s"`      // from the fall until all efforts were 0 for good; none: no fall, or never
	Restarts    int       `json:"restarts"`
	BrownOuts   int       `json:"brown_outs"`
	LowestVolts float64   `json:"lowest_volts"` // 0 without a battery
}

// Effort is how hard an output worked, in its unit.
type Effort struct {
	Name      string  `json:"name"`
	Unit      string  `json:"unit"`
	RMS       float64 `json:"rms"`
	Biggest   float64 `json:"biggest"`
	Saturated float64 `json:"saturated_share"` // of the ticks at a limit
	Last      float64 `json:"last"`            // at the end: 0 where a fall has cut it off
}

// Switch tells when a switch signal of the controller changed; it is off at the start, so times are on, off, on ...
type Switch struct {
	Name    string    `json:"name"`
	Times   []float64 `json:"times_s"` // the first ones
	Changes int       `json:"changes"`
}

// Watched is what a watched quantity did, in Unit. There is no time that was not reached, and nothing that does not apply.
type Watched struct {
	Name        string      `json:"name"`
	Unit        string      `json:"unit"`
	RMS         float64     `json:"rms"`       // deviation from the target, from the release to the end
	Settling    Reached     `json:"settles_s"` // worst over the changes of the target
	Settled     bool        `json:"settled"`
	Recovery    Reached     `json:"recovers_s"` // worst over the disturbances
	Recovered   bool        `json:"recovered"`
	Overshoot   Reached     `json:"overshoot"`    // worst
	SteadyError float64     `json:"steady_error"` // mean over the last fifth of a stretch, worst, with its sign
	Highest     float64     `json:"highest"`      // value
	Lowest      float64     `json:"lowest"`
	Residual    Oscillation `json:"residual"` // over the second half of the last stretch
}

// MarshalJSON leaves out the times of what was reached where something else of its kind was not.
func (w Watched) MarshalJSON() ([]byte, error) {
	if !w.Settled {
		w.Settling = None
	}
	if !w.Recovered {
		w.Recovery = None
	}
	type plain Watched
	return json.Marshal(plain(w))
}

// Difference is how far the two loops were apart, while both stood, in the quantity's unit.
type Difference struct {
	Name     string  `json:"name"`
	Unit     string  `json:"unit"`
	Largest  float64 `json:"largest"`
	RMS      float64 `json:"rms"`
	RMSRatio float64 `json:"rms_ratio"` // deviation of the integer loop over that of the reference
}

// findings says what a loop did not hold.
func (s *System) findings(out *Outcome, which int) {
	l := &out.Loops[which]
	because := []string(nil)
	who := "the integer controller"
	if which == Reference {
		who = "the reference controller"
		because = []string{"the reference runs in float64 with the gains as asked: it is the tuning that fails, not the integers"}
	}
	say := func(pos finding.Pos, rule, key, message string, args ...any) {
		out.Findings.Add(finding.Finding{Pos: pos, Severity: finding.Error, Rule: rule, Key: "scenario." + key, Message: who + " " + fmt.Sprintf(message, args...), Because: because})
	}
	if l.RanAway {
		say(s.Spec.Scenario.Pos, "runs-away", "duration", "lets the machine run away at %.3f s: a quantity grows beyond all bounds", l.Upright)
	} else if f := s.Scenario.Fall; f != nil && l.Fell {
		say(f.Pos, "falls", "falls", "lets the machine fall at %.3f s", l.Upright)
	}
	for i := range s.Scenario.Watch {
		w, got := &s.Scenario.Watch[i], &l.Watch[i]
		key := "watch." + w.Name + "."
		if !math.IsNaN(w.SettlesIn) && (!got.Settled || float64(got.Settling) > w.SettlesIn) {
			say(w.Pos["settles_in"], "settles-late", key+"settles_in", "%s", late(got.Settled, float64(got.Settling), w.SettlesIn))
		}
		if !math.IsNaN(w.RecoversIn) && (!got.Recovered || float64(got.Recovery) > w.RecoversIn) {
			say(w.Pos["recovers_in"], "recovers-late", key+"recovers_in", "%s after a disturbance", late(got.Recovered, float64(got.Recovery), w.RecoversIn))
		}
		if float64(got.Overshoot)*w.PerUnit > w.Overshoot {
			say(w.Pos["overshoot"], "overshoots", key+"overshoot", "overshoots by %.4g %s, at most %.4g is asked for", got.Overshoot, w.Unit, w.Overshoot/w.PerUnit)
		}
		if math.Abs(got.SteadyError)*w.PerUnit > w.SteadyError {
			say(w.Pos["steady_error"], "steady-error", key+"steady_error", "keeps an error of %.4g %s, at most %.4g is asked for", got.SteadyError, w.Unit, w.SteadyError/w.PerUnit)
		}
		if got.Lowest*w.PerUnit < w.Stays[0] || got.Highest*w.PerUnit > w.Stays[1] {
			say(w.Pos["stays"], "leaves-range", key+"stays", "lets it go from %.4g to %.4g %s, [%.4g, %.4g] is asked for", got.Lowest, got.Highest, w.Unit, w.Stays[0]/w.PerUnit, w.Stays[1]/w.PerUnit)
		}
	}
}

func late(reached bool, seconds, wanted float64) string {
	if !reached {
		return fmt.Sprintf("does not bring it to its target to stay; %.4g s is asked for", wanted)
	}
	return fmt.Sprintf("needs %.4g s to bring it to its target to stay, at most %.4g s is asked for", seconds, wanted)
}
