package trial

import (
	"fmt"
	"math"
	"slices"

	"gainwright/model/finding"
	"gainwright/model/program"
)

// Axes compares an angle with the rate that it is fused with: over a short time the angle must change by
// what the rate adds up to. Where it does not, an axis or a sign of the spec is likely to be wrong.
type Axes struct {
	Step, Angle, Rate string
	Seconds           float64 // of a window
	Windows           int     // used: throughout, the angle is inside its limits and the vector of a usual length
	Slope             float64 // of the change of the angle to the integral of the rate; +1 is right
	Correlation       float64
	Verdict           Verdict
	pos               finding.Pos
}

// Verdict is what can be said about axes and signs.
type Verdict string

// The verdicts. With a correlation of up to leastCorrelation, or with few windows, nothing can be said.
const (
	Right      Verdict = "right"
	Wrong      Verdict = "wrong"
	CannotTell Verdict = "cannot tell"
)

const (
	windowSeconds    = 0.2
	leastWindows     = 20
	leastCorrelation = 0.5
	leastSlope       = 0.5
	mostSlope        = 1.6
)

// pair is an angle and its rate, with the vector that the angle is the direction of.
type pair struct {
	axes        Axes
	angle, rate int   // places among the watched signals
	vector      []int // empty: the angle does not come from a vector
	least       float64
}

// watchAxes finds the steps that fuse an angle with its rate and has their signals remembered.
func (t *trial) watchAxes() []pair {
	var out []pair
	p := t.u.Stored
	for _, sec := range p.Sections {
		of := sec.Facts.Fusion
		if of == nil {
			continue
		}
		angle, rate := t.watch(of.Angle), t.watch(of.Rate)
		if angle < 0 || rate < 0 {
			continue
		}
		q := pair{axes: Axes{Step: sec.Name, Angle: t.signals[t.watched[angle]].name, Rate: t.signals[t.watched[rate]].name, pos: t.u.Spec.Place(sec.Name)}, angle: angle, rate: rate}
		if v := p.Sections[p.Ops[of.Angle].Section].Facts.Direction; v != nil {
			for _, side := range []program.ID{v.Sine, v.Cosine} {
				if w := t.watch(side); w >= 0 {
					q.vector = append(q.vector, w)
				}
			}
			if v.Least != nil {
				q.least, _ = v.Least.Float64()
			}
		}
		out = append(out, q)
	}
	return out
}

// watch has a signal of the stored program remembered at every tick; -1 where the value is none.
func (t *trial) watch(value program.ID) int {
	i := slices.IndexFunc(t.signals, func(s signal) bool { return s.real == value })
	if i < 0 {
		return -1
	}
	if at := slices.Index(t.watched, i); at >= 0 {
		return at
	}
	t.watched, t.seen = append(t.watched, i), append(t.seen, nil)
	return len(t.watched) - 1
}

// axes fits a line through the changes of the angle and the integrals of the rate, over windows that start at
// every tick.
func (t *trial) axes(p pair) Axes {
	out := p.axes
	perSecond, _ := t.u.Integer.Rate.Float64()
	window := max(1, int(math.Round(windowSeconds*perSecond)))
	out.Seconds = float64(window) / perSecond
	angle, rate := t.seen[p.angle], t.seen[p.rate]
	usable := t.usable(p)
	var x, y []float64
	good := 0 // usable ticks in a row
	turned := make([]float64, len(rate)+1)
	for i, r := range rate {
		turned[i+1] = turned[i] + r/perSecond
		if good++; !usable[i] {
			good = 0
		}
		if from := i - window; good > window {
			// the rate of a tick has led to its angle: those behind the first tick count
			x, y = append(x, turned[i+1]-turned[from+1]), append(y, angle[i]-angle[from])
		}
	}
	out.Windows = len(x)
	out.Slope, out.Correlation = fit(x, y)
	switch {
	case out.Windows < leastWindows || math.Abs(out.Correlation) <= leastCorrelation:
		out.Verdict = CannotTell
	case out.Slope < leastSlope || out.Slope > mostSlope:
		out.Verdict = Wrong
	default:
		out.Verdict = Right
	}
	return out
}

// usable tells at which ticks the angle says where up is: it is not at a limit, and its vector is no
// shorter than the spec says and within half of its median length, so that a knock does not count.
func (t *trial) usable(p pair) []bool {
	s := t.signals[t.watched[p.angle]]
	op := t.u.Integer.Ops[s.integer]
	lo, hi := s.scale.units(op.Lo), s.scale.units(op.Hi)
	out := make([]bool, len(t.seen[p.angle]))
	var length []float64
	for i, a := range t.seen[p.angle] {
		out[i] = lo < a && a < hi
		if len(p.vector) == 2 {
			length = append(length, math.Hypot(t.seen[p.vector[0]][i], t.seen[p.vector[1]][i]))
		}
	}
	if length == nil {
		return out
	}
	sorted := slices.Sorted(slices.Values(length))
	median := sorted[len(sorted)/2]
	for i, l := range length {
		out[i] = out[i] && l >= p.least && l >= median/2 && l <= median*3/2
	}
	return out
}

// fit is the slope of y to x by least squares, and their correlation; both 0 where one of them does not vary.
func fit(x, y []float64) (slope, correlation float64) {
	n := float64(len(x))
	var mx, my, xx, xy, yy float64
	for i := range x {
		mx, my = mx+x[i]/n, my+y[i]/n
	}
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx)
		xy += (x[i] - mx) * (y[i] - my)
		yy += (y[i] - my) * (y[i] - my)
	}
	if xx <= 0 || yy <= 0 {
		return 0, 0
	}
	return xy / xx, xy / math.Sqrt(xx*yy)
}

// finding is a warning where the axes look wrong, a note where nothing can be said, else nil.
func (a Axes) finding() *finding.Finding {
	f := finding.Finding{Pos: a.pos, Key: "steps." + a.Step, Because: []string{
		fmt.Sprintf("over %d windows of %.2g s the change of %s is %.2f times the integral of %s, correlation %.2f", a.Windows, a.Seconds, a.Angle, a.Slope, a.Rate, a.Correlation)}}
	switch a.Verdict {
	case Wrong:
		f.Severity, f.Rule = finding.Warning, "axes-differ"
		if a.Slope < 0 {
			f.Message = fmt.Sprintf("%s falls while %s is positive: a slope of +1 is expected", a.Angle, a.Rate)
			f.Remedy = "the other sign of counts_per_unit of the rate, or of one axis of the angle"
		} else {
			f.Message = fmt.Sprintf("%s does not change as %s says: a slope of +1 is expected", a.Angle, a.Rate)
			f.Remedy = "another axis of the sensor, or the counts_per_unit of its data sheet"
		}
	case CannotTell:
		f.Severity, f.Rule = finding.Note, "axes-unknown"
		f.Message = fmt.Sprintf("the log cannot tell whether axes and signs of %s and %s agree", a.Angle, a.Rate)
		f.Remedy = fmt.Sprintf("a log in which the machine is tilted to and fro by hand, %d windows or more", leastWindows)
	default:
		return nil
	}
	return &f
}
