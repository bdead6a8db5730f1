package loop

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Box is what becomes of the loop over the whole tuning box: every live gain anywhere in its range. It was looked at on an even grid, ends
// included, which proves nothing between its points.
type Box struct {
	Points   int       `json:"points"`
	Each     int       `json:"points_each_way"`
	Unstable int       `json:"unstable_points"`
	Nearest  []float64 `json:"nearest_unstable"` // the one nearest to the gains in force, each measured in its range; in the order of the gains, none: null
	Radius   float64   `json:"largest_pole"`     // over the grid: below 1 where every point is stable
	RadiusAt []float64 `json:"largest_pole_at"`
	Damping  float64   `json:"least_damping"`
	DampedAt []float64 `json:"least_damping_at"`
}

// mostPoints is the size of the grid that Box looks at. Finer grids cost more than they tell: the loop changes smoothly.
const mostPoints = 4096

// Box looks at the whole tuning box. It fails where there is no live gain with a range, or too many to look at all corners.
func (t *Tuning) Box() (*Box, error) {
	var free []int
	now := t.Now()
	for i, g := range t.Gains {
		if g.Lo.Cmp(g.Hi) < 0 {
			free = append(free, i)
		}
	}
	if len(free) == 0 {
		return nil, fmt.Errorf("no gain can be tuned while the loop runs")
	}
	if off := t.s.idle(t.m); len(off) > 0 {
		return nil, fmt.Errorf("%s is switched off", strings.Join(off, " and "))
	}
	each := int(math.Pow(mostPoints, 1/float64(len(free))) + 1e-9)
	if each < 2 {
		return nil, fmt.Errorf("%d gains can be tuned: their box has more corners than are looked at, %d", len(free), mostPoints)
	}
	each = min(each, 101)
	b := &Box{Points: 1, Each: each, Radius: -1, Damping: math.Inf(1)} // a loop need not have poles
	for range free {
		b.Points *= each
	}
	near := math.Inf(1)
	for n := range b.Points {
		gains, far := slices.Clone(now), 0.0
		for k, i := n, 0; i < len(free); i, k = i+1, k/each {
			lo, hi := t.span(free[i])
			x := lo + (hi-lo)*float64(k%each)/float64(each-1)
			gains[free[i]] = x
			far += math.Pow((x-now[free[i]])/(hi-lo), 2)
		}
		r := t.At(gains)
		if r.Radius > b.Radius {
			b.Radius, b.RadiusAt = r.Radius, gains
		}
		if r.Damping < b.Damping {
			b.Damping, b.DampedAt = r.Damping, gains
		}
		if !r.Stable {
			b.Unstable++
			if far < near {
				near, b.Nearest = far, gains
			}
		}
	}
	return b, nil
}

// Now are the gains in force at start, as asked, in the order of Gains.
func (t *Tuning) Now() []float64 {
	out := make([]float64, len(t.Gains))
	for i, g := range t.Gains {
		out[i], _ = g.Value.Float64()
	}
	return out
}

// span is the tuning range of a gain.
func (t *Tuning) span(gain int) (lo, hi float64) {
	lo, _ = t.Gains[gain].Lo.Float64()
	hi, _ = t.Gains[gain].Hi.Float64()
	return lo, hi
}
