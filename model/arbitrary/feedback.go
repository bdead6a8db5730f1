package arbitrary

import (
	"fmt"
	"math/rand/v2"
)

// drawFeedback adds to every third controller steps that read what signals were in the last tick, and an output that shows one. It has random numbers of
// its own, so that what was drawn before it stays what it was.
func (d *draw) drawFeedback(seed uint64) {
	d.Rand = rand.New(rand.NewPCG(seed, 0x2c95))
	if !d.one(3) {
		return
	}
	for range 1 + d.IntN(2) {
		x, ok := d.of(func(s signal) bool { return onLine(s) && s.hi > s.lo })
		if !ok || len(d.words) < 4 {
			return
		}
		ways := []func(signal) signal{d.difference, d.slew, d.moved, d.peak, d.ring, d.ring, d.limitedRing}
		s := ways[d.IntN(len(ways))](x)
		out := Part{Name: d.name()}
		out.set("from", "%s", s.name)
		out.set("raw", "%s", d.pick("int16", "int16", "int32"))
		out.set("unit", "%s", s.unit)
		out.set("counts_per_unit", "%s", digits(32000/max(s.size(), 1e-9)*d.scaled(0.01, 1.5), 4))
		d.spec.Outputs = append(d.spec.Outputs, out)
	}
}

// step adds a step whose keys are given in pairs.
func (d *draw) step(name string, s signal, keys ...string) signal {
	p := Part{Name: name}
	for i := 0; i < len(keys); i += 2 {
		p.set(keys[i], "%s", keys[i+1])
	}
	d.spec.Steps = append(d.spec.Steps, p)
	d.publish(&p, s)
	s.name, s.input, s.counts, s.integral = name, false, 0, nil
	return s
}

// difference is what a signal has changed by.
func (d *draw) difference(x signal) signal {
	out := signal{unit: x.unit, lo: x.lo - x.hi, hi: x.hi - x.lo}
	return d.step(d.name(), out, "kind", "sum", "of", fmt.Sprintf("{%s: 1, previous %s: -1}", x.name, x.name))
}

// slew is a signal that changes by so much a tick at most.
func (d *draw) slew(x signal) signal {
	name, most := d.name(), d.number((x.hi-x.lo)*d.scaled(1e-4, 1))
	return d.step(name, signal{unit: x.unit, lo: x.lo, hi: x.hi}, "kind", "formula",
		"value", fmt.Sprintf(`"clamp(%s, previous %s - %s, previous %s + %s)"`, x.name, name, most, name, most), "unit", x.unit, "start", d.number(d.inside(x.lo, x.hi)))
}

// moved is a signal smoothed by a share of the way.
func (d *draw) moved(x signal) signal {
	name := d.name()
	return d.step(name, signal{unit: x.unit, lo: x.lo, hi: x.hi}, "kind", "formula",
		"value", fmt.Sprintf(`"move(previous %s, %s, %s)"`, name, x.name, d.number(d.scaled(1e-3, 1))), "unit", x.unit, "start", d.number(d.inside(x.lo, x.hi)))
}

// peak is the largest or smallest value so far.
func (d *draw) peak(x signal) signal {
	name := d.name()
	return d.step(name, signal{unit: x.unit, lo: x.lo, hi: x.hi}, "kind", "formula",
		"value", fmt.Sprintf(`"%s(%s, previous %s)"`, d.pick("min", "max"), x.name, name), "unit", x.unit, "start", d.number(d.inside(x.lo, x.hi)))
}

// ring is two steps that feed one another back, stable: the first takes a share of the second, and the second is the first, perhaps smoothed.
func (d *draw) ring(x signal) signal {
	first, second, back := d.name(), d.name(), d.between(-0.95, 0.95)
	size := x.size() / (1 - max(back, -back))
	a := d.step(first, signal{unit: x.unit, lo: -size, hi: size}, "kind", "sum", "of", fmt.Sprintf("{%s: 1, previous %s: %s}", x.name, second, digits(back, 3)), "unit", x.unit)
	keys := []string{"kind", "sum", "of", "{" + first + ": 1}", "unit", x.unit, "start", d.number(size * d.between(-1, 1))}
	switch d.IntN(3) {
	case 0:
		keys = []string{"kind", "low_pass", "of", first, "time_constant", d.seconds(d.scaled(2, 50) / d.rate), "start", d.number(size * d.between(-1, 1))}
	case 1: // two shares that would run away one by one
		p, q := 1.625, -0.75
		d.spec.Steps[len(d.spec.Steps)-1].Keys[1].Text = fmt.Sprintf("{%s: 0.125, previous %s: %g, previous %s: %g}", x.name, first, p, second, q)
		d.spec.Steps[len(d.spec.Steps)-1].set("start", "%s", "0")
		keys[3] = "{previous " + first + ": 1}"
		d.alone[first], d.alone[second] = true, true
	}
	return d.step(second, a, keys...)
}

// limitedRing is two steps that feed one another back and would run away without a limit.
func (d *draw) limitedRing(x signal) signal {
	first, second, back := d.name(), d.name(), d.between(-2, 2)
	lo, hi := d.limits(max(x.size(), 1e-9) * d.between(0.5, 3))
	d.step(first, signal{unit: x.unit, lo: x.lo + 2*lo, hi: x.hi + 2*hi}, "kind", "sum", "of", fmt.Sprintf("{%s: 1, previous %s: %s}", x.name, second, digits(back, 3)), "unit", x.unit)
	return d.step(second, signal{unit: x.unit, lo: lo, hi: hi}, "kind", "clamp", "of", first, "limits", span(lo, hi), "start", d.number(d.inside(lo, hi)))
}
