package simulate

import (
	"math"
	"slices"
)

func (s *System) judge(loops [2]*loop, seed uint64, period float64) *Outcome {
	out := &Outcome{Seed: seed}
	for i, l := range loops {
		out.Loops[i] = s.measure(l, period)
	}
	if s.Stable != nil {
		stable, err := s.Stable(s)
		for i := range stable {
			out.Loops[i].Unstable = err == nil && !stable[i]
		}
		if err != nil {
			out.NoView = err.Error()
		}
	}
	for i := range s.Scenario.Watch {
		out.Difference = append(out.Difference, s.difference(i, loops, out))
	}
	out.Findings = s.findings(out, Reference, Integer)
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
	out := Loop{Name: l.name, Fell: l.fell, Upright: s.Scenario.Duration, RanAway: l.lost, Inexact: l.rig.Inexact(), FirstEffort: Reached(l.first), WindUp: l.windUp, CutOff: None, Restarts: l.restarts, BrownOuts: l.brownOuts,
		Effort: []Effort{}, Watch: []Watched{}, Switches: []Switch{}}
	if l.fell {
		out.Upright = l.fellAt
		if !l.lost && !slices.ContainsFunc(l.effort, func(e effortSum) bool { return e.Last != 0 }) {
			out.CutOff = Reached(math.Max(0, l.last-l.fellAt))
		}
	}
	if s.Plant.Battery != nil {
		out.LowestVolts = l.lowest
	}
	for _, e := range l.effort {
		n := math.Max(1, float64(l.ticks))
		e.RMS, e.Saturated = math.Sqrt(e.squares/n), float64(e.saturated)/n
		out.Effort = append(out.Effort, e.Effort)
	}
	for _, c := range l.changes {
		out.Switches = append(out.Switches, c.Switch)
	}
	for _, p := range l.enables {
		if p.on < leastRest {
			out.Off = append(out.Off, p.name)
		}
	}
	for i := range s.Scenario.Watch {
		out.Watch = append(out.Watch, s.watched(&s.Scenario.Watch[i], l, i, period))
	}
	return out
}

func (s *System) watched(w *Watch, l *loop, index int, period float64) Watched {
	out := Watched{Name: w.Name, Unit: w.Unit, Settling: None, Recovery: None, Settled: true, Recovered: true, Overshoot: None, Following: None, Swing: None,
		Highest: math.Inf(-1), Lowest: math.Inf(1), AtEnd: true}
	n := l.upTo(period)
	y := l.watched[index][:n]
	e := make([]float64, n)
	start := min(n, int(math.Ceil(s.Scenario.HeldUntil/period-1e-9)))
	squares := 0.0
	for k := range y {
		e[k] = w.Error(y[k], w.TargetAt(s.Scenario, float64(k)*period))
		if k >= start {
			squares += e[k] * e[k]
			out.strayed = out.strayed || math.Abs(e[k]) > w.Band
			out.Highest, out.Lowest = math.Max(out.Highest, y[k]), math.Min(out.Lowest, y[k])
		}
	}
	out.RMS = math.Sqrt(squares/math.Max(1, float64(n-start))) / w.PerUnit
	all := s.Scenario.stretches(w, n, period)
	for i := range all {
		out.add(w, &all[i], y, e, period)
		if all[i].recovery && span(y[s.Scenario.struck(&all[i], period):all[i].to]) > w.Band/10 {
			out.shaken = true
		}
	}
	if len(all) > 0 && !l.fell {
		last := &all[len(all)-1]
		rest := e[(last.from+last.to)/2 : last.to]
		if out.Residual = oscillation(rest, period, w.Band/100); len(rest) >= leastPoints {
			out.Swing = Reached(out.Residual.Size)
		}
	}
	for _, v := range []*float64{&out.SteadyError, &out.Highest, &out.Lowest, &out.Residual.Size} {
		*v /= w.PerUnit
	}
	for _, v := range []*Reached{&out.Overshoot, &out.Following, &out.Swing} {
		if *v > 0 {
			*v /= Reached(w.PerUnit)
		}
	}
	if start >= n {
		out.Highest, out.Lowest = 0, 0
	}
	return out
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
