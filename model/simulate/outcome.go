package simulate

import (
	"encoding/json"

	"gainwright/model/finding"
)

// Outcome is what one run of both loops showed.
type Outcome struct {
	Seed       uint64       `json:"seed"`
	Loops      [2]Loop      `json:"loops"` // reference, integer
	Difference []Difference `json:"difference"`
	Findings   finding.List `json:"findings"`                 // what was asked for and not held
	NoView     string       `json:"no_linear_view,omitempty"` // why it was not told whether the loops are stable as linear systems
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
	RanAway     bool      `json:"ran_away"`          // a quantity grew beyond all bounds
	Inexact     int       `json:"inexact,omitempty"` // pieces of the motion that were not followed with a small error
	Upright     float64   `json:"upright_s"`         // time until the fall, or the end
	Effort      []Effort  `json:"effort"`
	Watch       []Watched `json:"watch"`
	Switches    []Switch  `json:"switches"`
	FirstEffort Reached   `json:"first_effort_s"` // none: there was none
	WindUp      float64   `json:"wind_up"`        // largest value of an integral that a switch holds, before the first effort
	CutOff      Reached   `json:"cut_off_s"`      // from the fall until all efforts were 0 for good; none: no fall, or never
	Restarts    int       `json:"restarts"`
	BrownOuts   int       `json:"brown_outs"`
	LowestVolts float64   `json:"lowest_volts"`           // 0 without a battery
	Off         []string  `json:"switched_off,omitempty"` // steps that were on for less than leastRest ticks after the release
	Unstable    bool      `json:"unstable"`               // as a linear system, where that was looked at
}

// Effort is how hard an output worked, in its unit.
type Effort struct {
	Name      string  `json:"name"`
	Unit      string  `json:"unit"`
	RMS       float64 `json:"rms"`
	Biggest   float64 `json:"biggest"`
	Saturated float64 `json:"saturated_share"` // of the ticks at a limit
	Last      float64 `json:"last"`            // at the end: 0 where a fall has cut it off
	moved     bool    // it was not the same at all ticks
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
	Overshoot   Reached     `json:"overshoot"`       // beyond the final value in the direction of the change, worst
	Following   Reached     `json:"following_error"` // largest while the target is on a ramp
	SteadyError float64     `json:"steady_error"`    // mean over the last fifth of a target at rest, worst, with its sign
	Highest     float64     `json:"highest"`         // value
	Lowest      float64     `json:"lowest"`
	Residual    Oscillation `json:"residual"` // over the second half of the last stretch
	Swing       Reached     `json:"swing"`    // its size; none: the stretch is too short to see it, or the machine fell
	AtEnd       bool        `json:"settled_at_end"`
	changed     bool        // the target has changed
	wide        bool        // by more than the band
	tested      bool        // the quantity has moved by more than the band at a change of its target, or from where it was let go
	shaken      bool        // a disturbance or fault has moved it by a tenth of its band at least
	strayed     bool        // it has been outside its band
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
