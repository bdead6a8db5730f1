package simulate

import (
	"math"
	"slices"
)

// segment is a stretch of a run that begins with a change: of the target, or the end of a disturbance or fault.
type segment struct {
	from, to int // ticks, to excluded
	target   bool
}

// segments cuts a run of n ticks for one watched quantity. What happens while something disturbs belongs to no segment.
func (s *System) segments(w *Watch, n int, period float64) []segment {
	type edge struct {
		at   float64
		kind int // 0: target changed; 1: disturbed from here on; 2: a disturbance ends
	}
	sc := s.Scenario
	edges := []edge{{sc.HeldUntil, 0}}
	for i := range sc.SetPoints {
		p := &sc.SetPoints[i]
		for _, q := range p.Points[1:] {
			// A switch that starts the controller begins a stretch as a new target does.
			if q.At > sc.HeldUntil && (i == w.SetPoint || s.Spec.Inputs[p.Input].Raw == "bool") {
				edges = append(edges, edge{q.At, 0})
			}
		}
	}
	add := func(at, long float64) {
		edges = append(edges, edge{at, 1})
		if end := at + long; end < sc.Duration {
			edges = append(edges, edge{end, 2})
		} else if at+long == math.Inf(1) { // it stays: the controller must live with it
			edges = append(edges, edge{at, 2})
		}
	}
	for _, d := range sc.Disturbances {
		add(d.At, d.For)
	}
	for _, f := range sc.Faults {
		add(f.At, f.For)
	}
	slices.SortStableFunc(edges, func(a, b edge) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return a.kind - b.kind
	})
	var out []segment
	disturbed := 0
	close := func(at int) {
		if len(out) > 0 && out[len(out)-1].to < 0 {
			out[len(out)-1].to = min(at, n)
		}
	}
	for _, e := range edges {
		tick := int(math.Ceil(e.at/period - 1e-9))
		close(tick)
		switch e.kind {
		case 1:
			disturbed++
			continue
		case 2:
			disturbed--
		}
		if disturbed == 0 && tick < n {
			out = append(out, segment{tick, -1, e.kind == 0})
		}
	}
	close(n)
	return slices.DeleteFunc(out, func(g segment) bool { return g.to-g.from < 2 })
}
