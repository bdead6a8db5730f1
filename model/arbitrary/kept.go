package arbitrary

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// drawLater adds to every other controller a few steps of the kinds that look a value up or keep several, one behind the other, and an output that shows the
// last. It has random numbers of its own, so that what was drawn before it stays what it was.
func (d *draw) drawLater(seed uint64) {
	d.Rand = rand.New(rand.NewPCG(seed, 0x6b1d))
	if !d.one(2) {
		return
	}
	from, ok := d.of(func(s signal) bool { return onLine(s) && s.hi > s.lo })
	for range 1 + d.IntN(3) {
		if !ok || len(d.words) < 2 {
			return
		}
		if d.one(2) && from.hi-from.lo > 1e-6*from.size() { // else what is written of the points is the same
			from = d.tabled(from)
		} else {
			from = d.sampled(from)
		}
	}
	out := Part{Name: d.name()}
	out.set("from", "%s", from.name)
	out.set("raw", "%s", d.pick("int16", "int16", "int32"))
	out.set("unit", "%s", from.unit)
	out.set("counts_per_unit", "%s", digits(32000/max(from.size(), 1e-9)*d.scaled(0.01, 1.5), 4))
	d.spec.Outputs = append(d.spec.Outputs, out)
}

// tabled adds a table of a signal: few points or many, even or not, flat, steep or falling.
func (d *draw) tabled(s signal) signal {
	p := Part{Name: d.name()}
	p.set("kind", "table")
	p.set("of", "%s", s.name)
	n := 2 + d.IntN(6)
	if d.one(4) && s.counts > 0 {
		n = 2 + d.IntN(30)
	}
	from, width := s.lo, (s.hi-s.lo)*d.between(0.3, 1.2)
	if s.counts > 0 && d.one(2) { // steps of 2^k counts
		width = math.Exp2(math.Floor(math.Log2(max(width*s.counts/float64(n-1), 1)))) * float64(n-1) / s.counts
		from = math.Round(from*s.counts) / s.counts
	}
	out := signal{unit: s.unit}
	if d.one(3) {
		out.unit = units[d.IntN(len(units))]
	}
	size := max(s.size(), 1e-9) * d.scaled(0.01, 20)
	rises := d.one(2)
	var points []string
	y := size * d.between(-1, 1)
	for i := range n {
		x := from + width*float64(i)/float64(n-1)
		if s.counts == 0 {
			x += width / float64(n-1) * d.between(-0.3, 0.3)
		}
		switch {
		case rises:
			y += size / float64(n) * d.between(0, 2)
		case !d.one(5):
			y = size * d.between(-1, 1)
		}
		points = append(points, fmt.Sprintf("[%s, %s]", digits(x, 12), digits(y, 4)))
		if i == 0 {
			out.lo, out.hi = y, y
		}
		out.lo, out.hi = min(out.lo, y), max(out.hi, y)
	}
	p.set("points", "[%s]", strings.Join(points, ", "))
	p.set("unit", "%s", out.unit)
	d.spec.Steps = append(d.spec.Steps, p)
	d.publish(&p, out)
	out.name = p.Name
	return out
}

// sampled adds a median, a moving average or a delay of a signal.
func (d *draw) sampled(s signal) signal {
	p := Part{Name: d.name()}
	of := []struct {
		kind, key string
		ticks     int
	}{{"median", "over", 3 + 2*d.IntN(3)}, {"moving_average", "over", 2 + d.IntN([]int{7, 63}[d.IntN(2)])}, {"delay", "time", 1 + d.IntN([]int{4, 64}[d.IntN(2)])}}[d.IntN(3)]
	p.set("kind", "%s", of.kind)
	p.set("of", "%s", s.name)
	p.set(of.key, "%d ticks", of.ticks)
	d.spec.Steps = append(d.spec.Steps, p)
	out := signal{unit: s.unit, lo: s.lo, hi: s.hi}
	d.publish(&p, out)
	out.name = p.Name
	return out
}
