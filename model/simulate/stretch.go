package simulate

import (
	"cmp"
	"math"
	"slices"
)

// stretch is a part of a run that begins with a change: of the target, of a switch, with the release, or with the end of a disturbance or
// fault. What happens while something disturbs belongs to no stretch.
type stretch struct {
	from, rest, to int     // ticks; from rest on the target stands still, to is excluded
	recovery       bool    // a disturbance or fault has ended
	change         float64 // of the target in SI units, on a circle the short way round; 0: by the release or a switch
}

// leastRest is how many ticks a target must stand still for anything to be judged at rest, and a stretch must have.
const leastRest = 10

// atRest tells whether the stretch holds something to judge at rest.
func (g *stretch) atRest() bool { return g.to-g.rest >= leastRest }

// edge is where a stretch begins or ends.
type edge struct {
	at     float64
	kind   int // changed, disturbs, calms
	change float64
}

const (
	changed = iota
	disturbs
	calms
)

// stretches cuts a run of n ticks for one watched quantity.
func (sc *Scenario) stretches(w *Watch, n int, period float64) []stretch {
	tick := func(t float64) int { return min(n, int(math.Ceil(t/period-1e-9))) }
	var out []stretch
	disturbed := 0
	for _, e := range sc.edges(w) {
		at := tick(e.at)
		if len(out) > 0 && out[len(out)-1].to < 0 {
			out[len(out)-1].to = at
		}
		switch e.kind {
		case disturbs:
			disturbed++
			continue
		case calms:
			disturbed--
		}
		if disturbed == 0 && at < n && e.at >= sc.HeldUntil {
			out = append(out, stretch{at, tick(w.movesUntil(sc, e.at)), -1, e.kind == calms, e.change})
		}
	}
	if len(out) > 0 && out[len(out)-1].to < 0 {
		out[len(out)-1].to = n
	}
	for i := range out {
		out[i].rest = min(out[i].rest, out[i].to)
	}
	return slices.DeleteFunc(out, func(g stretch) bool { return g.to-g.from < leastRest })
}

// struck is the tick at which the first of what ends where a stretch begins began.
func (sc *Scenario) struck(g *stretch, period float64) int {
	at := g.from
	began := func(from, long float64) {
		if end := from + long; math.IsInf(end, 1) || int(math.Ceil(end/period-1e-9)) == g.from {
			at = min(at, int(math.Ceil(from/period-1e-9)))
		}
	}
	for _, d := range sc.Disturbances {
		began(d.At, d.For)
	}
	for _, f := range sc.Faults {
		began(f.At, f.For)
	}
	return at
}

// edges lists in order what begins and ends stretches.
func (sc *Scenario) edges(w *Watch) []edge {
	out := []edge{{sc.HeldUntil, changed, 0}}
	for i := range sc.SetPoints {
		p := &sc.SetPoints[i]
		for k := 1; k < len(p.Points); k++ {
			before, q := p.Points[k-1], p.Points[k]
			at := q.At
			if q.Ramp {
				at = before.At
			}
			// A point that repeats the value before it changes nothing. A switch begins a stretch as a new target does.
			if by := q.Value - before.Value; by == 0 || at < sc.HeldUntil {
				continue
			} else if i == w.SetPoint {
				by *= w.perInput
				if !q.Ramp {
					by = w.Error(by, 0)
				}
				out = append(out, edge{at, changed, by})
			} else if p.Switch {
				out = append(out, edge{at, changed, 0})
			}
		}
	}
	add := func(at, long float64) {
		out = append(out, edge{at, disturbs, 0})
		if end := at + long; end < sc.Duration {
			out = append(out, edge{end, calms, 0})
		} else if math.IsInf(end, 1) { // it stays: the controller must live with it
			out = append(out, edge{at, calms, 0})
		}
	}
	for _, d := range sc.Disturbances {
		add(d.At, d.For)
	}
	for _, f := range sc.Faults {
		add(f.At, f.For)
	}
	slices.SortStableFunc(out, func(a, b edge) int { return cmp.Or(cmp.Compare(a.at, b.at), a.kind-b.kind) })
	return out
}

// movesUntil is when the target that is on a ramp at time t stands still; t where it does already.
func (w *Watch) movesUntil(sc *Scenario, t float64) float64 {
	if w.SetPoint < 0 {
		return t
	}
	points := sc.SetPoints[w.SetPoint].Points
	for k := 1; k < len(points); k++ {
		if before, q := points[k-1], points[k]; q.Ramp && q.Value != before.Value && before.At <= t && t < q.At {
			return q.At
		}
	}
	return t
}
