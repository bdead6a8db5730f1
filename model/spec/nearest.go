package spec

import (
	"cmp"
	"strings"

	"github.com/agnivade/levenshtein"
)

// Nearest returns the good name that a misspelt one most likely means, or nothing if none is close: about one
// changed letter in three. Of equally near names the first of
// the same length is taken, then the first.
func Nearest(name string, good []string) string {
	if len(name) > 2*maxName {
		return ""
	}
	best, limit := "", (len(name)+2)/3+1
	for _, g := range good {
		if len(g)-len(name) > limit || len(name)-len(g) > limit {
			continue
		}
		d := levenshtein.ComputeDistance(name, g)
		closer := d < limit || d == limit && best != "" && len(best) != len(name) && len(g) == len(name)
		if closer && d < max(len(name), len(g)) {
			best, limit = g, d
		}
	}
	return best
}

// Suggestion is what to write for a name that is none of the good ones: the nearest, else one of them.
func Suggestion(name string, good []string) string {
	return cmp.Or(Nearest(name, good), "one of "+strings.Join(good, ", "))
}
