package spec

import (
	"cmp"
	"math/big"
	"regexp"
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"
)

// otherKeys are names that practitioners have for the keys of a section, and the keys that are meant. The path is that of the section's
// entries: "" for the spec itself.
var otherKeys = map[string]map[string]string{
	"a spec": {"name": "controller", "title": "about", "description": "about", "sample_rate": "rate", "sampling_rate": "rate", "period": "rate", "sample_time": "rate", "frequency": "rate", "tick": "rate",
		"loop_rate": "rate", "fs": "rate", "dt": "rate", "mcu": "target", "chip": "target", "cpu": "target", "part": "target", "sensors": "inputs", "blocks": "steps", "filters": "steps",
		"actuators": "outputs", "tune": "tuning", "live": "tuning", "gains": "tuning", "errors": "accuracy", "precision": "accuracy", "optimize": "prefer"},
	"an input": {"type": "raw", "raw_type": "raw", "format": "raw", "units": "unit", "scale": "counts_per_unit", "sensitivity": "counts_per_unit", "counts": "counts_per_unit", "gain": "counts_per_unit",
		"lsb_per_unit": "counts_per_unit", "lsb": "counts_per_unit", "resolution": "counts_per_unit", "step": "counts_per_unit", "unit_per_count": "counts_per_unit", "units_per_count": "counts_per_unit",
		"limits": "range", "span": "range", "zero": "offset", "bias": "offset"},
	"an output": {"of": "from", "source": "from", "input": "from", "step": "from", "signal": "from", "type": "raw", "raw_type": "raw", "format": "raw", "units": "unit", "scale": "counts_per_unit",
		"counts": "counts_per_unit", "range": "limits", "span": "limits", "min": "limits", "max": "limits", "low": "limits", "high": "limits", "invert": "counts_per_unit", "inverted": "counts_per_unit", "reverse": "counts_per_unit",
		"dead_band": "least_effort", "deadband": "least_effort", "dead_zone": "least_effort", "deadzone": "least_effort", "min_effort": "least_effort", "least": "least_effort", "stiction": "least_effort"},
}

// perCount are keys of a data sheet that say what one count is: the inverse of counts_per_unit.
var perCount = map[string]bool{"lsb": true, "resolution": true, "step": true, "unit_per_count": true, "units_per_count": true}

// leftOut are keys for what nothing here does; and why they are left out.
var leftOut = map[string]string{"slew": "no kind of step limits a rate yet", "slew_rate": "no kind of step limits a rate yet", "ramp": "no kind of step limits a rate yet",
	"filter": "a step of kind low_pass filters", "offset": "a step of kind sum adds an offset", "signed": "int16 has a sign, uint16 has none"}

// meantKey is the key of the owner that an unknown one stands for, and the text to write, where the value is written otherwise there.
func (r *reader) meantKey(e entry, owner string, known []string, beside []Arg) (key, text string) {
	name := Plain(e.key)
	if slices.Contains(known, name) {
		return name, ""
	}
	key = otherKeys[owner][name]
	if key == "" {
		return r.nearest(name, known), ""
	}
	value := e.value.Text
	turns := name == "invert" || name == "inverted" || name == "reverse"
	at := slices.IndexFunc(beside, func(a Arg) bool { return a.Key == key })
	if at >= 0 && !turns {
		return key, "leave it out: " + key + " stands there already"
	}
	switch {
	case perCount[name]:
		x, err := ParseNumber(strings.TrimSpace(strings.SplitN(value+" ", " ", 2)[0]))
		if err != nil || x.Sign() == 0 {
			return key, key + ": and how many counts make one unit"
		}
		return key, key + ": " + inward(x.Inv(x), false)
	case key == "limits" && (name == "min" || name == "max" || name == "low" || name == "high"):
		ends := map[string]string{}
		for _, a := range beside {
			ends[Plain(a.Key)] = a.Value.Text
		}
		lo, hi := ends["min"]+ends["low"], ends["max"]+ends["high"]
		if lo != "" && hi != "" {
			return key, key + ": [" + lo + ", " + hi + "]"
		}
		return key, key + ": [low, high]"
	case key == "limits" || key == "range":
		if span := Span(e.value); span != "" {
			return key, key + ": " + span
		}
	case key == "counts_per_unit" && turns && at >= 0:
		there := beside[at].Value.Text
		return key, "counts_per_unit: -" + there + ", in place of " + there
	case key == "counts_per_unit" && turns:
		return key, "counts_per_unit: -1"
	}
	return key, ""
}

// Plain is a name as names are written in a spec: Low-Pass is low_pass.
func Plain(name string) string {
	return strings.NewReplacer("-", "_", " ", "_").Replace(strings.ToLower(strings.TrimSpace(name)))
}

// IsName tells whether a text can be the name of a signal.
func IsName(text string) bool { return nameForm.MatchString(text) }

// gluedKey is a key that swallowed its value: {kp:12}, {kp = 12} and {kind low_pass} are one word for YAML.
var gluedKey = regexp.MustCompile(`^([A-Za-z_][A-Za-z0-9_]*)\s*(?:[:=]\s*|\s)(\S.*)$`)

// Glued takes a key apart that swallowed its value.
func Glued(a Arg) (key, value string, ok bool) {
	m := gluedKey.FindStringSubmatch(a.Key)
	if m == nil || !nothing(a.Value) {
		return "", "", false
	}
	return Plain(m[1]), m[2], true
}

// Span is a range in the form [low, high] that a value of another form most likely means: two numbers in a text, or one number for both directions.
// The empty text: it does not tell.
func Span(v Value) string {
	text := v.Text
	if v.Shape == List {
		var all []string
		for _, i := range v.Items {
			all = append(all, i.Text)
		}
		text = strings.Join(all, " ")
	} else if v.Shape != Scalar {
		return ""
	}
	numbers := spanNumbers.FindAllString(strings.ReplaceAll(text, "..", " "), -1)
	switch len(numbers) {
	case 0:
		return ""
	case 1:
		x, err := ParseNumber(numbers[0])
		if err != nil || x.Sign() == 0 {
			return ""
		}
		size := strings.TrimLeft(numbers[0], "+-")
		return "[-" + size + ", " + size + "]"
	}
	return rangeOf(numbers, "")
}

var spanNumbers = regexp.MustCompile(`[+-]?\d+(\.\d+)?`)

// fraction reads a fraction of two decimal numbers, such as 65536/360.
func fraction(text string) (*big.Rat, bool) {
	over, under, is := strings.Cut(text, "/")
	if !is {
		return nil, false
	}
	a, errA := ParseNumber(strings.TrimSpace(over))
	b, errB := ParseNumber(strings.TrimSpace(under))
	if errA != nil || errB != nil || b.Sign() == 0 {
		return nil, false
	}
	return a.Quo(a, b), true
}

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
