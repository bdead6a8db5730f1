package arbitrary

import (
	"math"
	"strconv"
)

func (d *draw) pid(p *Part, m signal) bool {
	circle := m.circle || turns[m.unit] > 0 && m.size() < 0.7*turns[m.unit] && d.one(4)
	target, named := d.of(func(s signal) bool {
		return isNumber(s) && s.unit == m.unit && s.name != m.name && (!circle || s.size() < 0.8*turns[m.unit])
	})
	if named && d.one(2) {
		p.set("target", "%s", target.name)
	} else {
		target = signal{}
		mid, half := (m.lo+m.hi)/2, (m.hi-m.lo)/5 // well inside: how far a signal reaches is an estimate
		x := d.inside(mid-half, mid+half)
		p.set("target", "%s", close5(x))
		target.lo, target.hi = x, x
	}
	p.set("measured", "%s", m.name)
	if circle {
		p.set("around", "circle")
	}
	rate, measured := d.of(func(s signal) bool { return isNumber(s) && s.unit == m.unit+"/s" })
	if measured = measured && d.one(2); measured {
		p.set("measured_rate", "%s", rate.name)
	}
	effort := d.scaled(1, 30000)
	if d.extreme {
		effort = d.scaled(1e-3, 1e6)
	}
	e := max(target.size()+m.size(), 1e-9)
	if circle {
		e = min(e, turns[m.unit]/2)
	}
	derivative := measured || !circle
	if d.one(4) {
		d.standard(p, effort/e, derivative)
	} else {
		d.parallel(p, effort/e, derivative)
	}
	d.options(p, circle, measured)
	lo, hi := d.limits(effort)
	hasIntegral := p.Get("ki") != "" || p.Get("ti") != ""
	enable, armed := d.condition()
	if armed = armed && d.one(3) && lo <= 0 && hi >= 0; armed {
		p.set("enable", "%s", enable)
	}
	limited := hasIntegral || !d.one(4)
	if limited {
		p.set("limits", "%s", span(lo, hi))
	}
	out, start := signal{}, 0.0
	if hasIntegral {
		out.integral = &start
		a, b := lo, hi
		if d.one(3) || lo > 0 || hi < 0 { // what the output limits, too, need not hold a start
			a, b = d.limits(max(math.Abs(lo), math.Abs(hi)) * d.between(0.2, 2))
			p.set("integral_limits", "%s", span(a, b))
		}
		if d.one(4) || a > 0 || b < 0 {
			start = d.inside(a, b)
			p.set("start", "%s", close5(start))
		}
		if d.one(4) {
			p.set("tracking_time", "%s", d.seconds(d.scaled(1.5, 3000)/d.rate))
		}
		d.switched(p, "reset", 4)
	}
	unit := d.pick("duty", "V", "percent", "mm/s")
	p.set("unit", "%s", unit)
	if !limited {
		lo, hi = -effort*3, effort*3
	}
	out.unit, out.lo, out.hi = unit, lo, hi
	return d.publish(p, out)
}

// gain reads back what was written, so that a tuning range can hold it.
func (d *draw) gain(p *Part, key string, x float64) {
	text := d.number(x)
	p.set(key, "%s", text)
	x, _ = strconv.ParseFloat(text, 64)
	d.tune(p, key, x)
}

// parallel adds kp, ki and kd for errors that k turns into efforts.
func (d *draw) parallel(p *Part, k float64, derivative bool) {
	if d.one(10) {
		k = -k
	}
	spread := func(lo, hi float64) float64 {
		if d.extreme {
			return d.scaled(lo/20, hi*20)
		}
		return d.scaled(lo, hi)
	}
	tick := 1.0 // seconds, or ticks
	if d.one(4) {
		p.set("per", "%s", d.pick("tick", "second"))
	}
	if p.Get("per") != "tick" {
		tick = 1 / d.rate
	}
	parts := 1 + d.IntN(7)
	if parts&1 != 0 {
		d.gain(p, "kp", k*spread(0.05, 50))
	}
	if parts&2 != 0 {
		d.gain(p, "ki", k/tick*spread(1e-5, 0.3))
	}
	if parts&4 != 0 && derivative {
		d.gain(p, "kd", k*tick*spread(0.1, 50))
	} else if parts == 4 {
		d.gain(p, "kp", k)
	}
}

// standard adds gain, ti and td.
func (d *draw) standard(p *Part, k float64, derivative bool) {
	p.set("gain", "%s", d.number(k*d.scaled(0.05, 50)))
	if !d.one(4) {
		p.set("ti", "%s", d.seconds(d.scaled(5, 5e4)/d.rate))
	}
	if derivative && d.one(2) {
		p.set("td", "%s", d.seconds(d.scaled(0.2, 100)/d.rate))
	}
	if d.one(2) {
		p.set("form", "%s", d.pick("standard", "series"))
	}
}

// options adds what the terms leave open.
func (d *draw) options(p *Part, circle, measured bool) {
	if (p.Get("kp") != "" || p.Get("gain") != "") && !circle && d.one(4) {
		p.set("weight", "%s", d.pick("0", "0.3", "0.71", "1"))
	}
	if (p.Get("kd") == "" && p.Get("td") == "") || measured {
		return
	}
	if d.one(3) {
		p.set("derivative", "%s", d.pick("error", "measurement"))
	}
	if d.one(2) {
		p.set("derivative_filter", "%s", d.seconds(d.scaled(0.1, 300)/d.rate))
	}
}
