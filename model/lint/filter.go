package lint

import (
	"fmt"
	"strings"

	"gainwright/model/finding"
)

// filterSpeed tells of filters that are too fast or too slow for the rate.
func filterSpeed(l *linter, say teller) {
	h := 1 / f64(l.Spec.Rate)
	for s, sec := range l.Asked.Sections {
		for _, set := range sec.Settings {
			key := set.Name
			switch key {
			case "time_constant":
			case "derivative_time_constant":
				key = "derivative_filter"
			default:
				continue
			}
			key, what := l.filterKey(sec.Name, key)
			switch ticks := f64(set.Value) / h; {
			case ticks > 0 && ticks < 0.5:
				say(s, finding.Warning, key, filterAt(key, h)+", or leave the filter out",
					fmt.Sprintf("the time constant%s is %.2g ticks: the filter passes nearly everything", what, ticks))
			case ticks > 1e5:
				say(s, finding.Warning, key, "a slower rate for this controller, or a filter that is not so slow",
					fmt.Sprintf("the time constant%s is %.2g ticks: constants this small need wide words", what, ticks))
			}
		}
	}
}

// filterKey is the key by which the spec gives the speed of a step's filter, with its path, and what it leads to.
func (l *linter) filterKey(step, key string) (path, what string) {
	for _, s := range l.Spec.Steps {
		for _, a := range s.Args {
			if s.Name == step && key == "time_constant" && (a.Key == "cutoff" || a.Key == "blend") {
				return "steps." + step + "." + a.Key, fmt.Sprintf(" of a %s of %s", a.Key, a.Value.Text)
			}
		}
	}
	return "steps." + step + "." + key, ""
}

// filterAt writes the fastest filter that still does something at ticks of h seconds: a time constant of half a tick, in the words of the key.
func filterAt(path string, h float64) string {
	switch key := path[strings.LastIndexByte(path, '.')+1:]; key {
	case "cutoff":
		return fmt.Sprintf("%s: %.3g Hz or less", key, 0.3/h)
	case "blend":
		return key + ": 0.35 or more"
	default:
		return fmt.Sprintf("%s: %.3g ms or more", key, 510*h)
	}
}
