package trial

import (
	"fmt"
	"strings"
)

// Judged says which differences were held against a bound.
type Judged struct {
	Count int      // differences held against their bounds: of each signal that of the step itself, that in all and that to the controller as asked; without the exact ones
	Not   []string // what was not, and why, in a phrase each
}

// Judged counts the differences that were held against a bound over all kinds of inputs, and says what was not and why.
func (r *Result) Judged() Judged {
	var out Judged
	not := map[string][]string{} // signals by reason
	var reasons []string
	add := func(why, name string) {
		if not[why] == nil {
			reasons = append(reasons, why)
		}
		not[why] = append(not[why], name)
	}
	for _, s := range r.Worst(func(Kind) bool { return true }) {
		for _, d := range []struct {
			Difference
			what string
		}{{s.Local, "of the step itself"}, {s.Chain, "in all, from the raw inputs"}} {
			switch {
			case !d.Claimed:
				add(d.what+": no bound is proven", s.Name)
			case d.Unjudged != "":
				add(d.what+": "+d.Unjudged, s.Name)
			case d.Bound > 0:
				out.Count++
			}
		}
		if s.Asked.Claimed && s.Asked.Bound > 0 && s.Asked.Unjudged == "" { // where it is not, it is measured, and its table says so
			out.Count++
		}
	}
	for _, why := range reasons {
		names := not[why]
		last := len(names) - 1
		text := names[last]
		if last > 0 {
			text = strings.Join(names[:last], ", ") + " and " + text
		}
		out.Not = append(out.Not, text+" "+why)
	}
	return out
}

// String is the sentence about a trial in which nothing was found.
func (j Judged) String() string {
	one := fmt.Sprintf("each of %d differences judged within its bound", j.Count)
	switch j.Count {
	case 0:
		one = "no difference judged"
	case 1:
		one = "the one difference judged within its bound"
	}
	return one
}
