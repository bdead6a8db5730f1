package simulate

import (
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

// Loop is what one loop showed.
type Loop struct {
	Name        string    `json:"name"`
	Fell        bool      `json:"fell"`
	RanAway     bool      `json:"ran_away"`  // a quantity grew beyond all bounds
	Upright     float64   `json:"upright_s"` // time until the fall, or the end
	Effort      []Effort  `json:"effort"`
	Watch       []Watched `json:"watch"`
	Switches    []Switch  `json:"switches"`
	FirstEffort float64   `json:"first_effort_s"` // -1: there was none
	WindUp      float64   `json:"wind_up"`        // largest value of an integral that a switch holds, before the first effort
	CutOff      float64   `json:"cut_off_s"`      // from the fall until all efforts were 0 for good; -1: no fall, or never
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

// Watched is what a watched quantity did, in Unit. A time that was not reached is -1; what does not apply is -1 too.
type Watched struct {
	Name        string      `json:"name"`
	Unit        string      `json:"unit"`
	RMS         float64     `json:"rms"`       // deviation from the target, from the release to the end
	Settling    float64     `json:"settles_s"` // worst over the changes of the target
	Settled     bool        `json:"settled"`
	Recovery    float64     `json:"recovers_s"` // worst over the disturbances
	Recovered   bool        `json:"recovered"`
	Overshoot   float64     `json:"overshoot"`    // worst
	SteadyError float64     `json:"steady_error"` // mean over the last fifth of a stretch, worst, with its sign
	Highest     float64     `json:"highest"`      // value
	Lowest      float64     `json:"lowest"`
	Residual    Oscillation `json:"residual"` // over the second half of the last stretch
}

// Difference is how far the two loops were apart, while both stood, in the quantity's unit.
type Difference struct {
	Name     string  `json:"name"`
	Unit     string  `json:"unit"`
	Largest  float64 `json:"largest"`
	RMS      float64 `json:"rms"`
	RMSRatio float64 `json:"rms_ratio"` // deviation of the integer loop over that of the reference
}

func (s *System) judge(loops [2]*loop, seed uint64, period float64) *Outcome {
	out := &Outcome{Seed: seed}
	for i, l := range loops {
		out.Loops[i] = s.measure(l, period)
	}
	for i := range s.Scenario.Watch {
		out.Difference = append(out.Difference, s.difference(i, loops, out))
	}
	for i := range out.Loops {
		s.findings(out, i)
	}
	return out
}

// upTo is how many ticks a loop stood.
func (l *loop) upTo(period float64) int {
	if l.fell {
		return min(l.ticks, int(math.Round(l.fellAt/period)))
	}
	return l.ticks
}

func (s *System) measure(l *loop, period float64) Loop {
	out := Loop{Name: l.name, Fell: l.fell, Upright: s.Scenario.Duration, RanAway: l.lost, FirstEffort: l.first, WindUp: l.windUp, CutOff: -1, Restarts: l.restarts, BrownOuts: l.brownOuts}
	if l.fell {
		out.Upright = l.fellAt
		idle := !l.lost
		for _, e := range l.effort {
			idle = idle && e.last == 0
		}
		if idle {
			out.CutOff = math.Max(0, l.last-l.fellAt)
		}
	}
	if s.Plant.Battery != nil {
		out.LowestVolts = l.lowest
	}
	for i, e := range l.effort {
		o := s.Spec.Outputs[i]
		n := math.Max(1, float64(l.ticks))
		out.Effort = append(out.Effort, Effort{o.Name, o.Unit, math.Sqrt(e.squares / n), e.biggest, float64(e.saturated) / n, e.last})
	}
	for _, c := range l.changes {
		out.Switches = append(out.Switches, Switch{c.name, c.times, c.count})
	}
	for i := range s.Scenario.Watch {
		out.Watch = append(out.Watch, s.watched(&s.Scenario.Watch[i], l, i, period))
	}
	return out
}

func (s *System) watched(w *Watch, l *loop, index int, period float64) Watched {
	out := Watched{Name: w.Name, Unit: w.Unit, Settling: -1, Recovery: -1, Settled: true, Recovered: true, Overshoot: -1, Highest: math.Inf(-1), Lowest: math.Inf(1)}
	n := l.upTo(period)
	y := l.watched[index][:n]
	e := make([]float64, n)
	start := min(n, int(math.Ceil(s.Scenario.HeldUntil/period-1e-9)))
	squares := 0.0
	for k := range y {
		e[k] = w.Error(y[k], w.TargetAt(s.Scenario, float64(k)*period))
		if k >= start {
			squares += e[k] * e[k]
			out.Highest, out.Lowest = math.Max(out.Highest, y[k]), math.Min(out.Lowest, y[k])
		}
	}
	out.RMS = math.Sqrt(squares/math.Max(1, float64(n-start))) / w.PerUnit
	all := s.segments(w, n, period)
	for i, g := range all {
		settled := settle(e[g.from:g.to], w.Band)
		reached := settled >= 0
		seconds := math.Max(float64(settled)*period, -1)
		if !reached {
			seconds = -1
		}
		if g.target {
			out.Settled = out.Settled && reached
			out.Settling = math.Max(out.Settling, seconds)
			out.Overshoot = math.Max(out.Overshoot, overshoot(e[g.from:g.to]))
		} else {
			out.Recovered = out.Recovered && reached
			out.Recovery = math.Max(out.Recovery, seconds)
		}
		fifth := e[g.to-max(1, (g.to-g.from)/5) : g.to]
		mean := 0.0
		for _, v := range fifth {
			mean += v / float64(len(fifth))
		}
		if math.Abs(mean) > math.Abs(out.SteadyError) {
			out.SteadyError = mean
		}
		if i == len(all)-1 && !l.fell {
			out.Residual = oscillation(e[(g.from+g.to)/2:g.to], period, w.Band/100)
			out.Residual.Size /= w.PerUnit
		}
	}
	for _, v := range []*float64{&out.SteadyError, &out.Highest, &out.Lowest} {
		*v /= w.PerUnit
	}
	if out.Overshoot > 0 {
		out.Overshoot /= w.PerUnit
	}
	if start >= n {
		out.Highest, out.Lowest = 0, 0
	}
	return out
}

// settle is the tick from which on the error stays inside the band, or -1.
func settle(e []float64, band float64) int {
	at := len(e)
	for at > 0 && math.Abs(e[at-1]) <= band {
		at--
	}
	if at == len(e) {
		return -1
	}
	return at
}

// overshoot is how far the error goes beyond 0, away from its first sign.
func overshoot(e []float64) float64 {
	first, most := 0.0, 0.0
	for _, v := range e {
		if first == 0 {
			first = v
		}
		if v*first < 0 {
			most = math.Max(most, math.Abs(v))
		}
	}
	return most
}

func (s *System) difference(i int, loops [2]*loop, out *Outcome) Difference {
	w := &s.Scenario.Watch[i]
	d := Difference{Name: w.Name, Unit: w.Unit}
	a, b := loops[Reference].watched[i], loops[Integer].watched[i]
	hz, _ := s.Spec.Rate.Float64()
	n := min(loops[Reference].upTo(1/hz), loops[Integer].upTo(1/hz))
	squares := 0.0
	for k := range n {
		e := math.Abs(w.Error(a[k], b[k]))
		d.Largest = math.Max(d.Largest, e/w.PerUnit)
		squares += e * e
	}
	d.RMS = math.Sqrt(squares/math.Max(1, float64(n))) / w.PerUnit
	if base := out.Loops[Reference].Watch[i].RMS; base > 0 {
		d.RMSRatio = out.Loops[Integer].Watch[i].RMS / base
	}
	return d
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
		if !math.IsNaN(w.SettlesIn) && (!got.Settled || got.Settling > w.SettlesIn) {
			say(w.Pos["settles_in"], "settles-late", key+"settles_in", "%s", late(got.Settled, got.Settling, w.SettlesIn))
		}
		if !math.IsNaN(w.RecoversIn) && (!got.Recovered || got.Recovery > w.RecoversIn) {
			say(w.Pos["recovers_in"], "recovers-late", key+"recovers_in", "%s after a disturbance", late(got.Recovered, got.Recovery, w.RecoversIn))
		}
		if got.Overshoot*w.PerUnit > w.Overshoot {
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
