package arbitrary

import (
	"fmt"
	"math"
	"strconv"
)

var units = []string{"deg", "mm", "g", "degC", "rad", "V", "turn", "m"}

func (d *draw) drawInputs() {
	unit := units[d.IntN(len(units))]
	for n := range 1 + d.IntN(4) {
		u := unit
		switch { // rates of the unit, the unit again, another
		case n > 0 && d.one(2):
			u = unit + "/s"
		case n > 0 && d.one(4):
			u = units[d.IntN(len(units))]
		}
		d.drawInput(u)
	}
	for range d.IntN(3) {
		p := Part{Name: d.name()}
		p.set("raw", "bool")
		d.spec.Inputs = append(d.spec.Inputs, p)
		d.signals = append(d.signals, signal{name: p.Name, isSwitch: true, input: true, hi: 1})
	}
}

var ends = map[string][2]float64{"int8": {-128, 127}, "uint8": {0, 255}, "int16": {-32768, 32767}, "uint16": {0, 65535}, "int32": {math.MinInt32, math.MaxInt32}}

func (d *draw) drawInput(unit string) {
	p := Part{Name: d.name()}
	raw := d.pick("int16", "int16", "int16", "int16", "int16", "uint16", "int8", "uint8", "int32")
	counts := d.scale * d.scaled(0.05, 20)
	if raw == "int32" {
		counts *= d.scaled(1, 65536)
	}
	if n := len(d.spec.Inputs); n > 0 && d.one(3) { // another axis of the same sensor
		raw = d.spec.Inputs[n-1].Get("raw")
		counts, _ = strconv.ParseFloat(d.spec.Inputs[n-1].Get("counts_per_unit"), 64)
		counts = math.Abs(counts)
	} else if d.one(4) {
		counts = math.Exp2(math.Round(math.Log2(counts)))
	}
	p.set("raw", "%s", raw)
	p.set("unit", "%s", unit)
	if d.one(3) {
		counts = -counts
	}
	text := digits(counts, 12)
	if math.Abs(counts-math.Round(counts)) > 0 && !d.one(4) {
		text = d.number(counts)
	}
	counts, _ = strconv.ParseFloat(text, 64)
	p.set("counts_per_unit", "%s", text)
	a, b := ends[raw][0]/counts, ends[raw][1]/counts
	lo, hi := min(a, b), max(a, b)
	if d.one(5) {
		text := d.number((hi - lo) * d.between(-1, 1))
		p.set("offset", "%s", text)
		off, _ := strconv.ParseFloat(text, 64)
		lo, hi = lo+off, hi+off
	}
	if d.one(2) { // what is declared is often much less than the register holds
		a, b := d.between(0.02, 0.5), d.between(0.51, 0.98)
		if d.one(3) {
			mid := d.between(0.3, 0.7)
			a, b = mid-0.02, mid+0.02
		}
		if from, to := lo+(hi-lo)*a, lo+(hi-lo)*b; close5(from) != close5(to) {
			p.set("range", "%s", span(from, to))
			lo, hi = from, to // targets beyond it are never reached
		}
	}
	d.spec.Inputs = append(d.spec.Inputs, p)
	in := signal{name: p.Name, unit: unit, input: true, lo: lo, hi: hi}
	if raw != "int32" && p.Get("offset") == "" {
		in.counts = math.Abs(counts)
	}
	d.signals = append(d.signals, in)
}

func (d *draw) drawOutput() {
	s, ok := d.of(isNumber)
	if !ok {
		return
	}
	for _, o := range d.spec.Outputs { // one limit is enough for an effort
		if o.Get("from") == s.name {
			return
		}
	}
	p := Part{Name: d.name()}
	p.set("from", "%s", s.name)
	raw := d.pick("int16", "int16", "int16", "int8", "int32")
	p.set("raw", "%s", raw)
	p.set("unit", "%s", s.unit)
	size := max(s.size(), 1e-12)
	counts := ends[raw][1] / size * d.scaled(0.01, 3)
	if d.one(4) {
		counts = -counts
	}
	text := d.number(counts)
	counts, _ = strconv.ParseFloat(text, 64)
	if d.one(3) && ends[raw][1] > size {
		counts = 1
	} else {
		p.set("counts_per_unit", "%s", text)
	}
	most := ends[raw][1] / math.Abs(counts) * 0.98
	width := s.hi - s.lo
	if d.one(2) {
		lo, hi := d.limits(min(most*0.7, size*d.between(0.3, 1.2))) // 0.7: rounding to one digit leaves it inside
		if !(lo < s.hi && s.lo < hi) || s.integral != nil && (*s.integral < lo || *s.integral > hi) {
			lo, hi = -most/2, most/2
		}
		p.set("limits", "%s", span(lo, hi))
		width = min(width, hi-lo)
		if d.one(3) && lo <= 0 && hi >= 0 {
			least := hi
			if lo < 0 {
				least = min(-lo, hi)
			}
			if least > 0 {
				p.set("least_effort", "%s", digits(least*d.between(0.01, 0.6), 3))
			}
		}
	}
	d.few[p.Name] = width*math.Abs(counts) < 10
	d.spec.Outputs = append(d.spec.Outputs, p)
}

// drawRest adds accuracy and pinned formats. Live gains have been added with their steps.
func (d *draw) drawRest() {
	for _, s := range d.signals {
		if s.input || s.isSwitch || s.unit == "" {
			continue
		}
		if d.one(6) {
			d.spec.Accuracy = append(d.spec.Accuracy, Key{s.name, fmt.Sprintf("%s %s", digits(max(s.size(), 1e-9)*d.scaled(1e-6, 0.1), 2), s.unit)})
		}
		if d.one(25) {
			_, whole := math.Frexp(2 * s.size()) // how far a signal reaches is an estimate
			d.spec.Formats = append(d.spec.Formats, Key{s.name, fmt.Sprintf("Q%d.%d", max(8+d.IntN(16), whole), d.IntN(12))})
		}
	}
	for _, o := range d.spec.Outputs {
		if d.one(5) {
			d.spec.Accuracy = append(d.spec.Accuracy, Key{o.Name, d.pick("1", "0.6", "2", "3", "0.1") + " count"})
		} else if d.few[o.Name] {
			d.spec.Accuracy = append(d.spec.Accuracy, Key{o.Name, "1 count"})
		}
	}
}
