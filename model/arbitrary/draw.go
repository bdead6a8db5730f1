package arbitrary

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"gainwright/model/target"
)

// draw makes one controller.
type draw struct {
	*rand.Rand
	spec    *Spec
	rate    float64 // ticks per second, about
	signals []signal
	words   []string // names not used yet
	extreme bool
	few     map[string]bool // outputs with few counts, by design
	alone   map[string]bool // steps of a ring that has no range where one of them runs at other ticks than the rest
	scale   float64         // counts of a sensor in one unit, about
}

// signal is a value that steps and outputs can name. Its reach is an estimate, for choosing limits by.
type signal struct {
	name, unit string
	isSwitch   bool
	circle     bool // an angle on a circle
	input      bool
	lo, hi     float64
	counts     float64  // of an input of 16 bits or fewer, in one unit; else 0
	integral   *float64 // start of the integral that an output's limits bound too; nil: none
}

func (s signal) size() float64 { return max(math.Abs(s.lo), math.Abs(s.hi)) }

// New returns the controller of a seed. The same seed gives the same controller.
func New(name string, seed uint64) *Spec {
	d := &draw{Rand: rand.New(rand.NewPCG(seed, 0x9a3f)), spec: &Spec{Name: name}, few: map[string]bool{}, alone: map[string]bool{}}
	d.words = strings.Fields(nouns)
	d.Shuffle(len(d.words), func(i, j int) { d.words[i], d.words[j] = d.words[j], d.words[i] })
	d.extreme = d.one(6)
	d.scale = d.scaled(1, 1000)
	if d.extreme {
		d.scale = d.scaled(1e-7, 1e7)
	}
	d.drawRate()
	if !d.one(4) {
		d.spec.Target = d.pick(target.Names()...)
	}
	d.drawInputs()
	for range 1 + d.IntN(3) + d.IntN(5) { // what is drawn later adds as many again
		d.drawStep()
	}
	for range 1 + d.IntN(2) + d.IntN(2) {
		d.drawOutput()
	}
	d.drawRest()
	d.drawMore(seed)
	d.drawLater(seed)
	d.drawFormulas(seed)
	d.drawFeedback(seed)
	d.drawClocks(seed)
	if d.one(3) { // the order of the text means nothing
		d.Shuffle(len(d.spec.Steps), func(i, j int) { d.spec.Steps[i], d.spec.Steps[j] = d.spec.Steps[j], d.spec.Steps[i] })
	}
	return d.spec
}

// nouns are names, some of them close to what the emitters use themselves.
const nouns = `tray lean tilt effort drive speed wheel arm lamp pump valve fan heat depth level angle_2 rate_1 x y z a b s t in_2 out_2 state_1
 active pending step_1 init_1 round32 value count sum1 last first_tick_2 seen reset_1 enable_1 kp_1 gain_1 limit1 low high wanted measured err
 error_1 u v w i j n tick ticks_1 water light motor boom belt drum press feed stir pot soil vent door roof rack north east up_down spin turn_1`

// one is true once in n times.
func (d *draw) one(n int) bool { return d.IntN(n) == 0 }

func (d *draw) pick(of ...string) string { return of[d.IntN(len(of))] }

func (d *draw) name() string {
	n := d.words[0]
	d.words = d.words[1:]
	return n
}

// between is uniform, scaled is uniform in its logarithm.
func (d *draw) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

func (d *draw) scaled(lo, hi float64) float64 {
	return math.Exp(d.between(math.Log(lo), math.Log(hi)))
}

// number writes x with few digits or, at times, many.
func (d *draw) number(x float64) string {
	return digits(x, []int{1, 2, 2, 3, 3, 4, 6, 12}[d.IntN(8)])
}

// close writes x with five digits.
func close5(x float64) string { return digits(x, 5) }

func digits(x float64, n int) string {
	if math.Abs(x) < 1e-28 {
		return "0"
	}
	text := strconv.FormatFloat(x, 'g', n, 64)
	if f, _ := strconv.ParseFloat(text, 64); f == math.Trunc(f) && math.Abs(f) < 1e15 {
		text = strconv.FormatFloat(f, 'f', -1, 64)
	}
	return text
}

// limits are two numbers around or beside zero, of about the size given.
func (d *draw) limits(size float64) (lo, hi float64) {
	switch d.IntN(6) {
	case 0:
		lo, hi = 0, size
	case 1:
		lo, hi = -size*d.between(0.1, 1), size
	case 2:
		lo, hi = size*d.between(0.1, 0.5), size
	default:
		lo, hi = -size, size
	}
	if d.one(12) {
		lo, hi = -hi, -lo
	}
	round := []int{1, 2, 3, 5}[d.IntN(4)]
	lo, _ = strconv.ParseFloat(digits(lo, round), 64)
	hi, _ = strconv.ParseFloat(digits(hi, round), 64)
	if !(lo < hi) {
		lo, hi = 0, size
	}
	return lo, hi
}

func span(lo, hi float64) string { return fmt.Sprintf("[%s, %s]", close5(lo), close5(hi)) }

// inside is a number between two others.
func (d *draw) inside(lo, hi float64) float64 {
	x, _ := strconv.ParseFloat(digits(lo+(hi-lo)*d.between(0.05, 0.95), 4), 64)
	if lo <= 0 && hi >= 0 && d.one(3) {
		return 0
	}
	return min(max(x, lo), hi)
}

func (d *draw) drawRate() {
	d.rate = d.scaled(1, 20000)
	if d.extreme {
		d.rate = d.scaled(1.0/3500, 9e5)
	}
	text := d.number(d.rate)
	unit := "Hz"
	switch {
	case d.one(4):
		text, unit = d.number(1/d.rate), "s"
	case d.one(4):
		text, unit = d.number(1000/d.rate), "ms"
	case d.one(4):
		text, unit = d.number(d.rate/1000), "kHz"
	}
	d.spec.Rate = text + " " + unit
	x, _ := strconv.ParseFloat(text, 64)
	d.rate = map[string]float64{"Hz": x, "s": 1 / x, "ms": 1000 / x, "kHz": 1000 * x}[unit]
}

// seconds writes a time.
func (d *draw) seconds(s float64) string {
	switch {
	case s*d.rate >= 1 && d.one(4):
		return fmt.Sprintf("%d ticks", int(s*d.rate))
	case s < 0.001 && d.one(2):
		return d.number(s*1e6) + " us"
	case s < 1 && d.one(2):
		return d.number(s*1e3) + " ms"
	case s > 100 && d.one(2):
		return d.number(s/60) + " min"
	}
	return d.number(s) + " s"
}

// of returns some signal that ok holds for.
func (d *draw) of(ok func(signal) bool) (signal, bool) {
	var good []signal
	for i, s := range d.signals {
		if ok(s) {
			good = append(good, s)
			if i >= len(d.signals)-3 { // later ones more often: chains
				good = append(good, s, s)
			}
		}
	}
	if len(good) == 0 {
		return signal{}, false
	}
	return good[d.IntN(len(good))], true
}

func isNumber(s signal) bool { return !s.isSwitch }

func isRate(s signal) bool { return !s.isSwitch && strings.HasSuffix(s.unit, "/s") }

func onLine(s signal) bool { return !s.isSwitch && !s.circle }

// condition writes a switch, if there is one.
func (d *draw) condition() (string, bool) {
	s, ok := d.of(func(s signal) bool { return s.isSwitch })
	if !ok {
		return "", false
	}
	return strings.Replace(d.pick("%", "%", "not %", "% rises", "% falls"), "%", s.name, 1), true
}
