package simulate

// figure is one number of a loop that runs are compared by; higher is worse.
type figure struct {
	name, unit string
	of         func(l *Loop) float64
}

func (s *System) figures() []figure {
	var out []figure
	if s.Scenario.Fall != nil {
		out = append(out, figure{"time down", "s", func(l *Loop) float64 { return s.Scenario.Duration - l.Upright }})
	}
	for i := range s.Scenario.Watch {
		w := &s.Scenario.Watch[i]
		at := func(f func(*Watched) float64) func(*Loop) float64 {
			return func(l *Loop) float64 { return f(&l.Watch[i]) }
		}
		time := func(reached bool, t Reached) float64 {
			if !reached {
				return s.Scenario.Duration
			}
			return float64(t)
		}
		out = append(out,
			figure{w.Name + " rms", w.Unit, at(func(w *Watched) float64 { return w.RMS })},
			figure{w.Name + " settling", "s", at(func(w *Watched) float64 { return time(w.Settled, w.Settling) })},
			figure{w.Name + " recovery", "s", at(func(w *Watched) float64 { return time(w.Recovered, w.Recovery) })},
			figure{w.Name + " overshoot", w.Unit, at(func(w *Watched) float64 { return float64(w.Overshoot) })},
			figure{w.Name + " following error", w.Unit, at(func(w *Watched) float64 { return float64(w.Following) })},
			figure{w.Name + " steady error", w.Unit, at(func(w *Watched) float64 { return max(w.SteadyError, -w.SteadyError) })},
			figure{w.Name + " residual", w.Unit, at(func(w *Watched) float64 { return w.Residual.Size })})
	}
	for i, o := range s.Spec.Outputs {
		out = append(out, figure{o.Name + " rms", o.Unit, func(l *Loop) float64 { return l.Effort[i].RMS }})
	}
	return out
}
