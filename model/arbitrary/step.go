package arbitrary

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// kind is a kind of step, made from a signal that it can read: under the key of, or else where keys puts it, which adds the other keys and tells
// whether there was all that it needs.
type kind struct {
	name  string
	of    bool
	reads func(signal) bool
	keys  func(p *Part, s signal) bool
}

// kinds are those that are drawn, the usual ones more often.
func (d *draw) kinds() []kind {
	sum, integrate := kind{"sum", false, isNumber, d.sum}, kind{"integrate", true, isRate, d.integrate}
	lowPass, secondOrder := kind{"low_pass", true, onLine, d.lowPass}, kind{"second_order", true, onLine, d.secondOrder}
	complementary, pid := kind{"complementary", false, isRate, d.complementary}, kind{"pid", false, isNumber, d.pid}
	wraps := func(s signal) bool { return isNumber(s) && turns[s.unit] > 0 && s.size() < 1.4*turns[s.unit] }
	senses := func(s signal) bool { return isNumber(s) && s.input && s.hi > s.lo }
	rests := func(s signal) bool { return isNumber(s) && s.input && s.lo < 0 && s.hi > 0 }
	points := func(s signal) bool { return isNumber(s) && (s.counts > 0 || d.one(40)) }
	return []kind{sum, sum, {"clamp", true, isNumber, d.clamp}, {"wrap", true, wraps, d.wrap}, {"hold", true, isNumber, d.hold}, {"window", true, isNumber, d.window}, integrate, integrate,
		lowPass, lowPass, secondOrder, secondOrder, complementary, complementary, {"bias_at_rest", true, rests, d.bias}, {"angle", false, points, d.angle},
		{"plausible", true, senses, d.plausible}, pid, pid, pid, pid}
}

// drawStep adds a step of a kind that the signals so far allow.
func (d *draw) drawStep() {
	kinds := d.kinds()
	for range 20 {
		k := kinds[d.IntN(len(kinds))]
		p := Part{Name: d.words[0]}
		p.set("kind", "%s", k.name)
		s, ok := d.of(k.reads)
		if k.of {
			p.set("of", "%s", s.name)
		}
		if ok && k.keys(&p, s) {
			d.words = d.words[1:]
			d.spec.Steps = append(d.spec.Steps, p)
			return
		}
	}
}

// publish makes the step's value known. It is true: the step has all that it needs.
func (d *draw) publish(p *Part, s signal) bool {
	s.name = p.Name
	d.signals = append(d.signals, s)
	return true
}

// switched adds a condition under a key, once in n times, if there is one.
func (d *draw) switched(p *Part, key string, n int) {
	if when, ok := d.condition(); ok && d.one(n) {
		p.set(key, "%s", when)
	}
}

func (d *draw) sum(p *Part, first signal) bool {
	terms := []signal{first}
	for range d.IntN(3) {
		s, _ := d.of(isNumber)
		if s.unit != first.unit && !d.one(3) {
			continue
		}
		if !slices.ContainsFunc(terms, func(t signal) bool { return t.name == s.name }) {
			terms = append(terms, s)
		}
	}
	unit := first.unit
	var of []string
	out := signal{}
	mixed := d.one(5)
	for _, t := range terms {
		mixed = mixed || t.unit != first.unit
		k := d.pick("1", "-1", "1", "0.5", "*", "*", "*", "*")
		x := map[string]float64{"1": 1, "-1": -1, "0.5": 0.5}[k]
		if k == "*" {
			x = d.scaled(0.01, 20) * float64(1-2*d.IntN(2))
			if t.size() > 0 && t.unit != first.unit {
				x *= max(first.size(), 1e-9) / t.size()
			}
			if d.extreme {
				x *= d.scaled(1e-5, 1e5)
			}
			k = d.number(x)
		}
		of = append(of, t.name+": "+k)
		a, b := t.lo*x, t.hi*x
		out.lo, out.hi = out.lo+min(a, b), out.hi+max(a, b)
	}
	p.set("of", "{%s}", strings.Join(of, ", "))
	if d.one(4) {
		x := max(out.size(), 1e-9) * d.between(-1, 1)
		p.set("offset", "%s", d.number(x))
		out.lo, out.hi = out.lo+x, out.hi+x
	}
	if d.one(3) {
		lo, hi := d.limits(max(out.size(), 1e-9) * d.between(0.1, 1.2))
		p.set("limits", "%s", span(lo, hi))
		out.lo, out.hi = limited(out, lo, hi)
	}
	if mixed {
		unit = units[d.IntN(len(units))]
		p.set("unit", "%s", unit)
	}
	out.unit = unit
	return d.publish(p, out)
}

func (d *draw) clamp(p *Part, s signal) bool {
	lo, hi := d.limits(max(s.size(), 1e-9) * d.scaled(0.05, 1.2))
	p.set("limits", "%s", span(lo, hi))
	lo, hi = limited(s, lo, hi)
	return d.publish(p, signal{unit: s.unit, lo: lo, hi: hi})
}

// limited is what a signal reaches behind limits.
func limited(s signal, lo, hi float64) (float64, float64) {
	return min(max(s.lo, lo), hi), max(min(s.hi, hi), lo)
}

var turns = map[string]float64{"deg": 360, "turn": 1}

func (d *draw) wrap(p *Part, s signal) bool {
	return d.publish(p, signal{unit: s.unit, circle: true, lo: -turns[s.unit] / 2, hi: turns[s.unit] / 2})
}

func (d *draw) hold(p *Part, s signal) bool {
	when, armed := d.condition()
	if !armed {
		return false
	}
	p.set("when", "%s", when)
	out := signal{unit: s.unit, circle: s.circle, lo: min(s.lo, 0), hi: max(s.hi, 0)}
	limited := d.one(2)
	lo, hi := s.lo, s.hi
	if limited {
		lo, hi = d.limits(max(s.size(), 1e-9) * d.scaled(0.1, 1.2))
		p.set("limits", "%s", span(lo, hi))
		out.lo, out.hi = min(lo, 0), max(hi, 0)
	}
	if d.one(3) || lo > 0 || hi < 0 {
		p.set("start", "%s", close5(d.inside(lo, hi)))
	}
	return d.publish(p, out)
}

func (d *draw) window(p *Part, s signal) bool {
	lo, hi := d.limits(max(s.size(), 1e-9) * d.scaled(0.05, 1))
	p.set("limits", "%s", span(lo, hi))
	if d.one(2) {
		if a, b := close5(lo+(hi-lo)*0.2), close5(lo+(hi-lo)*0.7); a != b {
			p.set("release", "[%s, %s]", a, b)
		}
	}
	d.switched(p, "when", 2)
	return d.publish(p, signal{isSwitch: true, hi: 1})
}

func (d *draw) plausible(p *Part, s signal) bool {
	width := s.hi - s.lo
	lo, hi := s.lo+width*d.between(0.05, 0.4), s.lo+width*d.between(0.6, 0.95)
	p.set("range", "%s", span(lo, hi))
	if d.one(2) {
		p.set("back_after", "%d ticks", int(d.scaled(1, 32768)))
	}
	trips := d.one(2)
	if trips {
		jump := width * d.scaled(0.001, 0.5) // in a tick, and more than a count
		if s.counts > 0 {
			jump = max(jump, 1.5/s.counts)
		}
		p.set("fastest", "%s", digits(jump*d.rate, 3))
	}
	if d.one(2) {
		trips = true
		p.set("frozen_after", "%d ticks", int(d.scaled(2, 32768)))
	}
	if when, ok := d.condition(); ok && trips && d.one(2) {
		p.set("reset", "%s", when)
	}
	d.switched(p, "when", 3)
	d.publish(p, signal{isSwitch: true, hi: 1})
	if d.one(2) {
		d.signals = append(d.signals, signal{name: p.Name + ".tripped", isSwitch: true, hi: 1})
	}
	return true
}

func (d *draw) integrate(p *Part, s signal) bool {
	unit := strings.TrimSuffix(s.unit, "/s")
	out := signal{unit: unit}
	step := max(s.size(), 1e-9) / d.rate
	if turns[unit] > 0 && step < turns[unit]*0.9 && d.one(2) {
		p.set("around", "circle")
		out.circle, out.lo, out.hi = true, -turns[unit]/2, turns[unit]/2
		if d.one(4) {
			p.set("start", "%s", close5(turns[unit]*d.between(-0.49, 0.49)))
		}
	} else {
		out.lo, out.hi = d.limits(step * d.scaled(0.5, 1e5))
		p.set("limits", "%s", span(out.lo, out.hi))
		if d.one(3) || out.lo > 0 || out.hi < 0 {
			p.set("start", "%s", close5(d.inside(out.lo, out.hi)))
		}
	}
	d.switched(p, "reset", 3)
	return d.publish(p, out)
}

// share adds one of time_constant, cutoff and blend.
func (d *draw) share(p *Part, mapping bool) {
	ticks := d.scaled(0.3, 2000)
	if d.extreme {
		ticks = d.scaled(0.001, 1e5)
	}
	switch d.IntN(3) {
	case 0:
		p.set("blend", "%s", digits(ticks/(1+ticks), []int{1, 2, 3, 4, 5}[d.IntN(5)]))
		if p.Get("blend") == "1" {
			p.Keys[len(p.Keys)-1].Text = "0.98"
		}
		return
	case 1:
		p.set("cutoff", "%s Hz", d.number(d.rate/(2*math.Pi*ticks)))
	default:
		p.set("time_constant", "%s", d.seconds(ticks/d.rate))
	}
	if mapping && d.one(3) {
		p.set("mapping", "%s", d.pick("matched", "backward"))
	}
}

// start adds a start of a filter: a number, or a signal of the unit.
func (d *draw) start(p *Part, s signal) {
	switch d.IntN(5) {
	case 0:
		p.set("start", "%s", close5(d.inside(s.lo, s.hi)))
	case 1:
		if o, ok := d.of(func(o signal) bool { return isNumber(o) && o.unit == s.unit && o.size() < 4*s.size() }); ok {
			p.set("start", "%s", o.name)
		}
	}
}

func (d *draw) lowPass(p *Part, s signal) bool {
	d.share(p, true)
	d.start(p, s)
	return d.publish(p, signal{unit: s.unit, lo: s.lo, hi: s.hi})
}

func (d *draw) complementary(p *Part, r signal) bool {
	s, ok := d.of(func(s signal) bool { return onLine(s) && s.unit+"/s" == r.unit })
	if !ok {
		return false
	}
	p.set("angle", "%s", s.name)
	p.set("rate", "%s", r.name)
	d.share(p, false)
	d.start(p, s)
	return d.publish(p, signal{unit: s.unit, lo: 2 * s.lo, hi: 2 * s.hi})
}

func (d *draw) secondOrder(p *Part, s signal) bool {
	if d.one(3) {
		r, w := d.between(0, 0.98), d.between(0, math.Pi)
		if d.extreme {
			r = 1 - d.scaled(1e-4, 1)
		}
		a1, a2 := -2*r*math.Cos(w), r*r
		if d.one(4) { // two real poles
			q := d.between(-0.95, 0.95)
			a1, a2 = -(r + q), r*q
		}
		if d.one(6) {
			a1 = 0
		}
		n := 4 + d.IntN(5)
		k := d.scaled(0.01, 3)
		p.set("b", "[%s, %s, %s]", digits(k*d.between(-1, 1), n), digits(k*d.between(-1, 1)*float64(d.IntN(2)), n), digits(k*d.between(-1, 1)*float64(d.IntN(2)), n))
		p.set("a", "[%s, %s]", digits(a1, n), digits(a2, n))
	} else {
		p.set("response", "%s", d.pick("low_pass", "high_pass", "band_pass", "notch", "peaking"))
		f := d.rate * d.scaled(0.005, 0.48)
		if d.extreme {
			f = d.rate * d.scaled(0.0003, 0.49)
		}
		p.set("frequency", "%s Hz", digits(f, 3))
		p.set("q", "%s", digits(d.scaled(0.3, 5), 2))
		if p.Get("response") == "peaking" {
			p.set("gain_db", "%s", digits(d.between(-20, 20), 2))
		}
	}
	if d.one(2) {
		p.set("structure", "%s", d.pick("automatic", "direct", "transposed", "feedback", "feedback_2", "wide"))
	}
	return d.publish(p, signal{unit: s.unit, lo: -2 * s.size(), hi: 2 * s.size()})
}

func (d *draw) bias(p *Part, s signal) bool {
	p.set("limit", "%s", digits(s.size()*d.scaled(0.001, 1.5), 2))
	p.set("average", "%d ticks", int(d.scaled(1, 32769)))
	d.publish(p, signal{unit: s.unit, lo: s.lo, hi: s.hi})
	if d.one(2) {
		d.signals = append(d.signals, signal{name: p.Name + ".ready", isSwitch: true, hi: 1})
	}
	return true
}

func (d *draw) angle(p *Part, y signal) bool {
	x, ok := d.of(func(s signal) bool { return isNumber(s) && s.unit == y.unit && (s.counts == y.counts || d.one(40)) })
	if !ok {
		return false
	}
	p.set("of", "[%s, %s]", y.name, x.name)
	if d.one(2) {
		p.set("least_length", "%s", digits(max(y.size(), 1e-9)*d.scaled(0.001, 0.5), 2))
	}
	out := signal{unit: "deg", circle: true, lo: -180, hi: 180}
	if d.one(2) {
		out = signal{unit: "deg", lo: -90, hi: 90}
		if d.one(2) {
			out.lo, out.hi = d.limits(d.between(5, 180))
		}
		p.set("limits", "%s", span(out.lo, out.hi))
	}
	return d.publish(p, out)
}

// tune declares a gain as live, with a range around it.
func (d *draw) tune(p *Part, key string, value float64) {
	if !d.one(3) {
		return
	}
	lo, hi := 0.0, value*d.between(1.5, 5)
	if d.one(4) {
		lo = value * d.between(0.1, 0.9)
	}
	if d.one(8) {
		lo = -hi
	}
	lo, hi = min(lo, hi), max(lo, hi)
	d.spec.Tuning = append(d.spec.Tuning, Key{fmt.Sprintf("%s.%s", p.Name, key), fmt.Sprintf("[%s, %s]", digits(lo, 2), digits(hi, 2))})
}
