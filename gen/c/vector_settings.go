package c

import (
	"fmt"
	"strings"

	"gainwright/model/program"
)

// setting is a live gain set before a tick of the self-test.
type setting struct {
	tick, gain int
	x          int64
}

// settingTicks are how many ticks of the self-test begin with new settings.
const settingTicks = 6

// newSettings has gains set before ticks spread over the self-test, two at a time: the second of two setters writes to
// the third set, so that the step works with each of the three. The first and the last gain are among them.
func newSettings(p *program.Fixed, ticks int) []setting {
	var live []int
	setters := map[int]program.Setter{}
	for _, k := range p.Coefs {
		if _, seen := setters[k.Gain]; !seen {
			live = append(live, k.Gain)
		}
		setters[k.Gain] = k.Setter
	}
	if len(live) == 0 {
		return nil
	}
	var list []setting
	const all = 2 * settingTicks
	for n := range all {
		tick := (n/2 + 1) * ticks / (settingTicks + 2) // the first quarter begins with the gains of the start
		if tick == 0 {
			continue
		}
		gain := live[n%len(live)]
		if len(live) > all {
			gain = live[n*(len(live)-1)/(all-1)]
		}
		s := setters[gain]
		x := [...]int64{s.XLo + (s.XHi-s.XLo)/5, s.XHi, s.XStart, s.XLo + (s.XHi-s.XLo)/2}[(n%len(live)+n/len(live))%4]
		if n >= all-2 {
			x = s.XStart // what the user tuned moves the outputs best
		}
		list = append(list, setting{tick, gain, x})
	}
	return list
}

// settingCalls writes the statements that bring the settings about.
func settingCalls(p *program.Fixed, name string, list []setting) string {
	var b strings.Builder
	for n, s := range list {
		if n == 0 || list[n-1].tick != s.tick {
			b.WriteString(code("    ", fmt.Sprintf("if (tick == %du) {", s.tick)))
		}
		b.WriteString(code("        ", fmt.Sprintf("%s_set_%s(s, %s);", name, p.Gains[s.gain].Name, literal(s.x, program.I32))))
		if n == len(list)-1 || list[n+1].tick != s.tick {
			b.WriteString("    }\n")
		}
	}
	return b.String()
}
