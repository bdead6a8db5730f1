package spec

import (
	"cmp"
	"math/big"
	"slices"
	"strings"

	"gainwright/model/finding"
)

var (
	outputRaws  = []string{"int8", "int16", "int32"}
	outputHints = map[string]string{
		"uint8":  "int16, which holds 0 to 255 as well",
		"uint16": "int32, which holds 0 to 65535 as well",
		"bool":   "int8, with limits: [0, 1]",
		"":       "int16, the number as the actuator takes it",
	}
)

func (r *reader) readOutput(e entry) {
	e.what = "an output"
	out := Output{Name: e.key, Pos: e.pos, CountsPerUnit: one}
	defer func() { r.spec.Outputs = append(r.spec.Outputs, out) }()
	f, ok := r.fields(e, e.key+": {from: effort, raw: int16, unit: duty}", "from", "raw", "unit", "counts_per_unit", "limits", "least_effort")
	if !ok {
		return
	}
	r.figures(f, "counts_per_unit", "limits", "least_effort")
	if from, ok := r.need(f, "from", "from: "+r.lastStep()); ok {
		if text, ok := r.asText(from, "the name of a step or input", r.lastStep()); ok {
			out.From, out.FromPos = text, from.value.Pos
			r.checkSignal(from, text)
		}
	}
	good := false
	if raw, ok := r.need(f, "raw", "raw: int16, or another of "+strings.Join(outputRaws, ", ")); ok {
		out.Raw, good = r.asChoice(raw, "unknown-raw", outputHints, outputRaws...)
	}
	out.Unit = r.readUnit(f)
	if cpu, ok := f.all["counts_per_unit"]; ok {
		out.CountsPerUnit = r.readCounts(cpu)
	}
	r.checkCountUnit(f, out.Unit, out.CountsPerUnit)
	// Limits that cannot be checked are kept as they were read.
	least, most := (*big.Rat)(nil), (*big.Rat)(nil)
	if good && out.CountsPerUnit != nil {
		least, most = InUnits(out.Raw, out.CountsPerUnit, new(big.Rat))
	}
	if limits, ok := f.all["limits"]; ok {
		out.LimitsPos = limits.value.Pos
		lo, hi, spanGood := r.asSpan(limits, out.Unit, "[-1000, 1000]")
		if !spanGood {
			least = nil
		} else if least == nil || r.checkWithin(limits, "limits-beyond-raw", lo, hi, least, most, out.Unit,
			widerRaw(out.Raw, out.CountsPerUnit, lo, hi), r.rawFacts(f, out.Raw)) {
			out.Lo, out.Hi = lo, hi
			least, most = lo, hi
		}
	}
	if effort, ok := f.all["least_effort"]; ok {
		r.readEffort(effort, &out, least, most)
	}
}

// readEffort reads the effort below which a motor does not move, and holds it against the limits, if known.
func (r *reader) readEffort(e entry, out *Output, lo, hi *big.Rat) {
	x, ok := r.asEnd(e, out.Unit, "the effort below which the motor does not move", "18")
	if !ok {
		return
	}
	text := e.value.Text
	if x.Sign() < 0 {
		r.sayValue(e, "bad-effort", strings.TrimPrefix(text, "-"), "expected a size of 0 or more, which holds for both directions, found %s", text)
		return
	}
	if lo != nil {
		// In each direction that the limits allow, the least effort must be within reach.
		most, limit, side := hi, hi, "high"
		if back := new(big.Rat).Neg(lo); lo.Sign() < 0 && (hi.Sign() <= 0 || back.Cmp(hi) < 0) {
			most, limit, side = back, lo, "low"
		}
		if x.Cmp(most) > 0 {
			r.sayValue(e, "bad-effort", "a number from 0 to "+inward(most, false), "%s is beyond the %s limit %s: the output would never move that way", text, side, inward(limit, side == "low"))
			return
		}
	}
	out.LeastEffort = x
}

// checkSignal looks up a name that may be an input, a step or, with a dot, a signal inside a step.
func (r *reader) checkSignal(e entry, text string) {
	name, part, dotted := strings.Cut(text, ".")
	o, known := r.owners[name]
	switch {
	case o.twice:
		// Which of them was meant cannot be told.
	case known && o.what == "output":
		remedy := "the step or input that it comes from"
		if at := slices.Index(r.spec.OutputNames(), name); at >= 0 {
			remedy = cmp.Or(r.spec.Outputs[at].From, remedy)
		}
		r.sayValue(e, "wrong-reference", remedy, "%s is an output, which nothing can read", name)
	case known && o.what == "constant":
		r.sayValue(e, "wrong-reference", "a step of kind formula, whose value it is", "%s is a constant, and an output comes from a signal", name)
	case known && o.what == "input" && dotted:
		r.sayValue(e, "wrong-reference", name, "%s is an input and has no parts", name)
	case known && dotted && !nameForm.MatchString(part):
		r.sayValue(e, "wrong-reference", name+", or "+name+". and a signal inside it", "expected a name, or a step and a name with one dot between, found %s", quote(text))
	case !known:
		r.unknownName(e, text, "step or input", r.signals)
	}
}

// lastStep is the step that an output most likely comes from.
func (r *reader) lastStep() string {
	if n := len(r.spec.Steps); n > 0 {
		return r.spec.Steps[n-1].Name
	}
	return "effort"
}

// widerRaw is the first raw type that holds limits which raw does not, or nothing.
func widerRaw(raw string, countsPerUnit, lo, hi *big.Rat) string {
	for _, wider := range outputRaws[slices.Index(outputRaws, raw)+1:] {
		if least, most := InUnits(wider, countsPerUnit, new(big.Rat)); lo.Cmp(least) >= 0 && hi.Cmp(most) <= 0 {
			return wider
		}
	}
	return ""
}

// unknownName reports a name that nothing has, with the nearest good one.
func (r *reader) unknownName(e entry, text, what string, good []string) {
	if r.partial {
		return
	}
	name, part, dotted := strings.Cut(text, ".")
	f := finding.Finding{Pos: e.value.Pos, Rule: "unknown-name", Key: e.path, Message: "no " + what + " is named " + quote(name)}
	f.Remedy = r.nearest(name, good)
	switch {
	case f.Remedy != "" && dotted:
		f.Remedy += "." + strings.Trim(quote(part), `"`)
	case f.Remedy == "" && len(good) > 0 && len(good) <= 12:
		sorted := slices.Clone(good)
		slices.Sort(sorted)
		f.Remedy = "one of " + strings.Join(sorted, ", ")
	case f.Remedy == "":
		f.Remedy = "the name of a " + what + " of this spec"
	}
	r.fault(f)
}
