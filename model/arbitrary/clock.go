package arbitrary

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
)

// drawClocks has some steps of every other controller run at every n-th tick alone, often several by one clock, with phases or without. It has random
// numbers of its own, so that what was drawn before it stays what it was.
func (d *draw) drawClocks(seed uint64) {
	d.Rand = rand.New(rand.NewPCG(seed, 0x7c19))
	if !d.one(2) {
		return
	}
	type clock struct{ every, phase int }
	var clocks []clock
	for range 1 + d.IntN(3) {
		c := clock{every: []int{2, 2, 3, 4, 4, 5, 7, 8, 16, 100}[d.IntN(10)]}
		if d.one(3) {
			c.phase = d.IntN(c.every)
		}
		clocks = append(clocks, c)
	}
	for i := range d.spec.Steps {
		p := &d.spec.Steps[i]
		c := clocks[d.IntN(len(clocks))]
		if text, is := strings.CutSuffix(p.Get("frequency"), " Hz"); is {
			if f, err := strconv.ParseFloat(text, 64); err != nil || f*float64(c.every) > 0.45*d.rate {
				continue
			}
		}
		if d.one(3) || d.alone[p.Name] || p.Get("fastest") != "" {
			continue
		}
		for key, least := range map[string]int{"average": 1, "back_after": 1, "frozen_after": 2} {
			p.wholeRuns(key, c.every, least)
		}
		for i := range p.Keys {
			k := &p.Keys[i]
			switch fastest, err := strconv.ParseFloat(k.Text, 64); {
			case k.Name == "time":
				k.Text = fmt.Sprintf("%d ticks", c.every*(1+d.IntN(12)))
			case k.Name == "over": // of a median, too
				k.Text = fmt.Sprintf("%d ticks", c.every*(3+2*d.IntN(3)))
			case k.Name == "tracking_time":
				k.Text = fmt.Sprintf("%d ticks", c.every*(2+d.IntN(200)))
			case k.Name == "fastest" && err == nil:
				k.Text = digits(fastest/float64(c.every), 6)
			}
		}
		p.set("every", "%d ticks", c.every)
		if c.phase > 0 || d.one(4) {
			p.set("phase", "%d ticks", c.phase)
		}
	}
}

// wholeRuns makes ticks that a key says whole runs of a step, at least so many.
func (p *Part) wholeRuns(key string, every, least int) {
	for i := range p.Keys {
		if text, is := strings.CutSuffix(p.Keys[i].Text, " ticks"); is && p.Keys[i].Name == key {
			n, _ := strconv.Atoi(text)
			p.Keys[i].Text = fmt.Sprintf("%d ticks", max((n+every-1)/every, least)*every)
		}
	}
}
