package spec

import (
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// readTuning reads the ranges in which gains may change while the loop runs.
func (r *reader) readTuning(f fields) {
	for _, e := range r.section(f, "tuning", "effort.kp: [0, 60]", false) {
		t := Tuning{Key: e.key, Pos: e.pos, RangePos: e.value.Pos}
		asName := e
		asName.value.Pos = e.pos
		step, gain, dotted := strings.Cut(e.key, ".")
		owner, known := r.owners[step]
		switch {
		case !dotted || !nameForm.MatchString(gain):
			remedy := "a step, a dot and its gain, such as effort.kp"
			if e.value.Shape == Map && known && owner.what == "step" && len(e.value.Pairs) > 0 && nothingBut(e.value.Pairs[0].Value) != "" {
				p := e.value.Pairs[0]
				remedy = step + "." + p.Key + ": " + nothingBut(p.Value) + ", a line of its own for each gain"
			} else if low := strings.ToLower(gain); known && nameForm.MatchString(low) {
				remedy = step + "." + low
			} else if known && owner.what == "step" {
				remedy = step + ". and the gain, such as " + step + ".kp"
			} else if of := r.stepsWith(e.key); 0 < len(of) && len(of) < 6 {
				remedy = strings.Join(of, "."+e.key+" or ") + "." + e.key
			}
			r.say(e, "bad-key", remedy, "expected a step and its gain with one dot between, found %s", quote(e.key))
		case owner.twice:
		case known && owner.what != "step":
			r.say(e, "wrong-reference", "a step and its gain, such as effort.kp", "%s is the name of %s, which has no gains", step, map[string]string{"input": "an input", "output": "an output", "constant": "a constant"}[owner.what])
		case !known:
			r.unknownName(asName, e.key, "step", r.steps())
		}
		if !dotted && e.value.Shape == Map {
			continue
		}
		e.value, t.Unit = r.withoutUnits(e.value, e.path)
		var f fields
		span, there, ok := e, true, false
		if e.value.Shape == Map {
			e.what = "a live gain"
			f, _ = r.fields(e, e.key+": {range: [0, 60], count: 0.001}", "range", "count")
			span, there = r.need(f, "range", "range: [0, 60]")
		}
		if there {
			t.RangePos = span.value.Pos
			t.Lo, t.Hi, ok = r.asSpan(span, "", "[0, 60]")
		}
		if count, there := f.all["count"]; there {
			t.Count = r.readCount(count)
			ok = ok && t.Count != nil && r.checkCount(count, span, t)
		}
		if ok {
			r.spec.Tuning = append(r.spec.Tuning, t)
		}
	}
}

// nothingBut is a list of two written out, or the empty text.
func nothingBut(v Value) string {
	if v.Shape != List || len(v.Items) != 2 {
		return ""
	}
	return "[" + v.Items[0].Text + ", " + v.Items[1].Text + "]"
}

// steps are the names of all steps.
func (r *reader) steps() (names []string) {
	for _, s := range r.spec.Steps {
		names = append(names, s.Name)
	}
	return names
}

// stepsWith names the steps that have a key.
func (r *reader) stepsWith(key string) []string {
	var names []string
	for _, s := range r.spec.Steps {
		if s.Arg(key) != nil {
			names = append(names, s.Name)
		}
	}
	return names
}

// readAccuracy reads the largest errors asked for.
func (r *reader) readAccuracy(f fields) {
	for _, e := range r.section(f, "accuracy", "tilt: 0.03 deg", false) {
		r.checkResult(e, "accuracy", r.results)
		e.value = r.figured(e.value, e.path)
		text, ok := r.asText(e, "the largest error with its unit", "0.03 deg")
		if !ok {
			continue
		}
		unit := r.outputUnit(e.key)
		q, err := ParseQuantity(text)
		if err != nil {
			r.sayQuantity(e, "bad-quantity", err, func(u string) bool { return unit == "" || u == unit || u == "count" || u == "counts" }, unit)
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
					remedy = Quantity{new(big.Rat).Neg(q.Number), q.Unit}.ChangeIn(unit)
				}
			}
			r.sayValue(e, "bad-accuracy", remedy, "expected an error above 0, found %s", quote(text))
		case q.Unit == "" && unit != "":
			r.sayValue(e, "two-meanings", number+" "+unit+", or "+number+" count", "%s may mean %s or raw counts", number, unit)
		case q.Unit != "" && unit != "" && q.Unit != unit && !isCount:
			r.sayValue(e, "wrong-unit", q.ChangeIn(unit)+", or so many counts, such as 1 count", "the output %s is in %s, found %s", e.key, unit, quote(text))
		default: // of a step: package steps knows its unit
			r.spec.Accuracy = append(r.spec.Accuracy, Accuracy{Name: e.key, Pos: e.pos, MaxPos: e.value.Pos, Max: q})
		}
	}
}

// outputUnit is the unit of an output, or nothing where the name is none or its unit could not be read.
func (r *reader) outputUnit(name string) string {
	if at := slices.Index(r.spec.OutputNames(), name); at >= 0 && r.owners[name].what == "output" {
		return r.spec.Outputs[at].Unit
	}
	return ""
}

var (
	formatForm = regexp.MustCompile(`^Q(-?\d{1,2})\.(-?\d{1,2})( x (\d[\d./]*))?$`)
	looseForm  = regexp.MustCompile(`^q?(-?\d{1,2})\.(-?\d{1,2})$`)
)

// readFormats reads the formats that the author pinned.
func (r *reader) readFormats(f fields) {
	steps := r.steps()
	for _, e := range r.section(f, "formats", "tilt: Q8.7", false) {
		r.checkResult(e, "formats", steps)
		text, ok := r.asText(e, "a format Qm.n", "Q8.7")
		if !ok {
			continue
		}
		p := formatForm.FindStringSubmatch(text)
		if p == nil {
			remedy := "Q8.7, which has a sign, 8 bits before the point and 7 behind"
			if bits := looseForm.FindStringSubmatch(strings.ToLower(text)); bits != nil {
				remedy = "Q" + bits[1] + "." + bits[2]
			}
			r.sayValue(e, "bad-format", remedy, "expected a format Qm.n, found %s", quote(text))
			continue
		}
		m, _ := strconv.Atoi(p[1])
		n, _ := strconv.Atoi(p[2])
		base := one
		if p[4] != "" {
			var is bool
			if base, is = fraction(p[4]); !is {
				base, _ = ParseNumber(p[4])
			}
		}
		switch {
		case base == nil || base.Sign() <= 0:
			r.sayValue(e, "bad-format", "Q"+p[1]+"."+p[2]+" x 1/131, for fractions of 1/131 of the unit", "expected a number above 0 behind the x, found %s", quote(text))
		case m+n+1 < 2:
			r.sayValue(e, "bad-format", "a format of 8, 16, 32 or 64 bits, such as Q8.7", "%s has %d bits with its sign; at least 2 are needed", text, m+n+1)
		case m+n+1 > 64:
			r.sayValue(e, "bad-format", "a format of 8, 16, 32 or 64 bits, such as Q8.7", "%s has %d bits with its sign; at most 64 are allowed", text, m+n+1)
		case n > 62:
			r.sayValue(e, "bad-format", "a format with at most 62 bits behind the point", "%s has %d bits behind the point; at most 62 are allowed", text, n)
		default:
			r.spec.Formats = append(r.spec.Formats, Format{Name: e.key, Pos: e.pos, M: m, N: n, Base: base, of: p[3]})
		}
	}
}

// checkResult looks up a name of accuracy or formats: a step, a signal inside one or, for accuracy, an output.
func (r *reader) checkResult(e entry, section string, good []string) {
	name, part, dotted := strings.Cut(e.key, ".")
	o, known := r.owners[name]
	at := e
	at.value.Pos = e.pos
	switch {
	case o.twice:
	case known && o.what == "constant":
		r.say(e, "wrong-reference", "a step or an output", "%s is a constant, which is never rounded", name)
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
	}
}
