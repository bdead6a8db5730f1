package simulate

import "math"

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
	out := Loop{Name: l.name, Fell: l.fell, Upright: s.Scenario.Duration, RanAway: l.lost, FirstEffort: Reached(l.first), WindUp: l.windUp, CutOff: None, Restarts: l.restarts, BrownOuts: l.brownOuts,
		Effort: []Effort{}, Watch: []Watched{}, Switches: []Switch{}}
	if l.fell {
		out.Upright = l.fellAt
		idle := !l.lost
		for _, e := range l.effort {
			idle = idle && e.last == 0
		}
		if idle {
			out.CutOff = Reached(math.Max(0, l.last-l.fellAt))
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
	out := Watched{Name: w.Name, Unit: w.Unit, Settling: None, Recovery: None, Settled: true, Recovered: true, Overshoot: None, Highest: math.Inf(-1), Lowest: math.Inf(1)}
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
		seconds := Reached(float64(settled) * period)
		if !reached {
			seconds = None
		}
		if g.target {
			out.Settled = out.Settled && reached
			out.Settling = max(out.Settling, seconds)
			out.Overshoot = max(out.Overshoot, Reached(overshoot(e[g.from:g.to])))
		} else {
			out.Recovered = out.Recovered && reached
			out.Recovery = max(out.Recovery, seconds)
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
		out.Overshoot /= Reached(w.PerUnit)
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
