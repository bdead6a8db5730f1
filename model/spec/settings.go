package spec

import (
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// readTuning reads the ranges in which gains may change while the loop runs.
func (r *reader) readTuning(f fields) {
	var steps []string
	for _, s := range r.spec.Steps {
		steps = append(steps, s.Name)
	}
	for _, e := range r.section(f, "tuning", "effort.kp: [0, 60]", false) {
		t := Tuning{Key: e.key, Pos: e.pos}
		asName := e
		asName.value.Pos = e.pos
		step, gain, dotted := strings.Cut(e.key, ".")
		owner, known := r.owners[step]
		switch {
		case !dotted || !nameForm.MatchString(gain):
			remedy := "a step, a dot and its gain, such as effort.kp"
			if low := strings.ToLower(gain); known && nameForm.MatchString(low) {
				remedy = step + "." + low
			} else if known && owner.what == "step" {
				remedy = step + ". and the gain, such as " + step + ".kp"
			} else if of := r.stepsWith(e.key); len(of) == 1 {
				remedy = of[0] + "." + e.key
			}
			r.say(e, "bad-key", remedy, "expected a step and its gain with one dot between, found %s", quote(e.key))
		case owner.twice:
		case known && owner.what != "step":
			r.say(e, "wrong-reference", "a step and its gain, such as effort.kp", "%s is the name of an %s, which has no gains", step, owner.what)
		case !known:
			r.unknownName(asName, e.key, "step", steps)
		}
		var ok bool
		if t.Lo, t.Hi, ok = r.asSpan(e, "", "[0, 60]"); ok {
			r.spec.Tuning = append(r.spec.Tuning, t)
		}
	}
}

// stepsWith names the steps that have a key.
func (r *reader) stepsWith(key string) []string {
	var names []string
	for _, s := range r.spec.Steps {
		if slices.ContainsFunc(s.Args, func(a Arg) bool { return a.Key == key }) {
			names = append(names, s.Name)
		}
	}
	return names
}

// readAccuracy reads the largest errors asked for.
func (r *reader) readAccuracy(f fields) {
	for _, e := range r.section(f, "accuracy", "tilt: 0.03 deg", false) {
		known := r.checkResult(e, "accuracy", r.results)
		text, ok := r.asText(e, "the largest error with its unit", "0.03 deg")
		if !ok {
			continue
		}
		unit := r.outputUnit(e.key)
		q, err := ParseQuantity(text)
		if err != nil {
			var t *TextError
			if errors.As(err, &t) && unit != "" {
				err = t.For(func(u string) bool { return u == unit || u == "count" || u == "counts" }, unit)
			}
			r.sayText(e, "bad-quantity", err)
			continue
		}
		number := strings.Fields(text)[0]
		isCount := q.Unit == "count" || q.Unit == "counts"
		switch {
		case q.Number.Sign() <= 0:
			remedy := "the largest error that does no harm"
			if q.Number.Sign() < 0 {
				remedy = strings.TrimPrefix(text, "-")
				if unit != "" && q.Unit != unit && !isCount {
					remedy = strings.TrimPrefix(number, "-") + " " + unit
				}
			}
			r.sayValue(e, "bad-accuracy", remedy, "expected an error above 0, found %s", quote(text))
			continue
		case q.Unit == "" && unit != "":
			r.sayValue(e, "two-meanings", number+" "+unit+", or "+number+" count", "%s may mean %s or raw counts", number, unit)
			continue
		case q.Unit == "":
			r.sayValue(e, "missing-unit", number+" with its unit, such as "+number+" deg", "expected a number with its unit, found %s", quote(text))
			continue
		case unit != "" && q.Unit != unit && !isCount:
			r.sayValue(e, "wrong-unit", number+" "+unit+", or "+number+" count", "the output %s is in %s, found %s", e.key, unit, quote(text))
			continue
		case known && isCount && r.owners[e.key].what != "output":
			r.sayValue(e, "wrong-unit", "the error in the unit of the signal", "%s is no output, and only outputs have raw counts", e.key)
			continue
		}
		r.spec.Accuracy = append(r.spec.Accuracy, Accuracy{Name: e.key, Pos: e.pos, Max: q})
	}
}

// outputUnit is the unit of an output, or nothing where the name is none or its unit could not be read.
func (r *reader) outputUnit(name string) string {
	if r.owners[name].what == "output" {
		for _, o := range r.spec.Outputs {
			if o.Name == name {
				return o.Unit
			}
		}
	}
	return ""
}

var formatForm = regexp.MustCompile(`^Q(\d{1,2})\.(\d{1,2})$`)

// readFormats reads the formats that the author pinned.
func (r *reader) readFormats(f fields) {
	var steps []string
	for _, s := range r.spec.Steps {
		steps = append(steps, s.Name)
	}
	for _, e := range r.section(f, "formats", "tilt: Q8.7", false) {
		r.checkResult(e, "formats", steps)
		text, ok := r.asText(e, "a format Qm.n", "Q8.7")
		if !ok {
			continue
		}
		p := formatForm.FindStringSubmatch(text)
		if p == nil {
			remedy := "Q8.7, which has a sign, 8 bits before the point and 7 behind"
			if up := strings.ToUpper(text); formatForm.MatchString(up) {
				remedy = up
			}
			r.sayValue(e, "bad-format", remedy, "expected a format Qm.n, found %s", quote(text))
			continue
		}
		m, _ := strconv.Atoi(p[1])
		n, _ := strconv.Atoi(p[2])
		switch {
		case m+n+1 > 64:
			r.sayValue(e, "bad-format", "a format of 8, 16, 32 or 64 bits, such as Q8.7", "%s has %d bits with its sign; at most 64 are allowed", text, m+n+1)
			continue
		case n > 62:
			r.sayValue(e, "bad-format", "a format with at most 62 bits behind the point", "%s has %d bits behind the point; at most 62 are allowed", text, n)
			continue
		}
		r.spec.Formats = append(r.spec.Formats, Format{Name: e.key, Pos: e.pos, M: m, N: n})
	}
}

// checkResult looks up a name of accuracy or formats: a step, a signal inside one or, for accuracy, an output.
func (r *reader) checkResult(e entry, section string, good []string) bool {
	name, part, dotted := strings.Cut(e.key, ".")
	o, known := r.owners[name]
	at := e
	at.value.Pos = e.pos
	switch {
	case o.twice:
		return false
	case known && o.what == "input":
		r.say(e, "wrong-reference", "a step that reads it", "%s is an input, which comes in exact raw counts", name)
	case known && o.what == "output" && section == "formats":
		r.say(e, "wrong-reference", "the step that it comes from", "%s is an output, whose format is its raw type", name)
	case known && dotted && (o.what != "step" || !nameForm.MatchString(part)):
		r.say(e, "wrong-reference", name, "expected a name, or a step and a name with one dot between, found %s", quote(e.key))
	case !known && section == "formats":
		r.unknownName(at, e.key, "step", good)
	case !known:
		r.unknownName(at, e.key, "step or output", good)
	default:
		return true
	}
	return false
}
