package lint

import (
	"fmt"

	"gainwright/model/finding"
)

// filterSpeed tells of filters that are too fast or too slow for the rate.
func filterSpeed(l *linter, say teller) {
	for s, sec := range l.Asked.Sections {
		lag := sec.Facts.Lag
		if lag == nil {
			continue
		}
		h := float64(sec.Clock.Ticks()) / f64(l.Spec.Rate) // from run to run
		key, what := sec.Key()+"."+lag.Key, ""
		if lag.Key == "cutoff" || lag.Key == "blend" {
			what = fmt.Sprintf(" of a %s of %s", lag.Key, lag.Text)
		}
		runs := "ticks"
		if sec.Clock.Every != 0 {
			runs = "runs"
		}
		switch ticks := f64(lag.TimeConstant) / h; {
		case ticks > 0 && ticks < 0.5:
			say(s, finding.Warning, key, filterAt(lag.Key, h)+", or leave the filter out",
				fmt.Sprintf("the time constant%s is %.2g %s: the filter passes nearly everything", what, ticks, runs))
		case ticks > 1e5:
			say(s, finding.Warning, key, "a slower rate for this controller, or a filter that is not so slow",
				fmt.Sprintf("the time constant%s is %.2g %s: constants this small need wide words", what, ticks, runs))
		}
	}
}

// filterAt writes the fastest filter that still does something where it runs each h seconds: a time constant of half of that, in the words of the key.
func filterAt(key string, h float64) string {
	switch key {
	case "cutoff":
		return fmt.Sprintf("%s: %.3g Hz or less", key, 0.3/h)
	case "blend":
		return key + ": 0.35 or more"
	default:
		return fmt.Sprintf("%s: %.3g ms or more", key, 510*h)
	}
}
