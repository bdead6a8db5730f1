package steps

import (
	"math/big"
	"slices"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// Check says what is wrong with the steps and outputs of a spec that package spec found fault with already, so that all is said in one
// go. What could not be read stands for a value of which nothing is known, and what hangs on it is left out: nothing is said that
// would not be said of the mended spec.
func Check(s *spec.Spec, said finding.List) finding.List {
	c := &checking{said: said, whole: true}
	s = inNumbers(s)
	for _, f := range said {
		c.whole = c.whole && f.Key != "" && f.Key != "inputs" && f.Key != "steps"
	}
	var found finding.List
	known, kinds := readKeys(s, &found)
	checkTuning(s, kinds, &found)
	checkNames(s, kinds, known, &found)
	order := sortSteps(s, kinds, &found)
	l := newLowering(&program.Real{Frame: program.Frame{Name: s.Name}}, c.readable(s), &found)
	l.units, l.kinds = unitsOf(l.spec, kinds), kinds
	l.lowerInputs()
	for _, in := range l.spec.Inputs {
		if c.faulty("inputs." + in.Name) {
			l.signals[in.Name] = l.unknown()
			if in.Unit != "" && in.Raw != "bool" {
				l.signals[in.Name] = l.guessed(in.Unit)
			}
		}
	}
	for _, st := range order {
		l.lowerPrevious(st, references(st, kinds[st.Name]))
		if !c.faulty("steps."+st.Name) && !refused(st.Args) {
			l.lowerStep(st, kinds[st.Name])
			continue
		}
		l.step, l.kind, l.prefix = st, Find(st.Kind), st.Name
		if l.kind != nil {
			l.checkNumbers(len(found))
		}
		l.publishUnknown()
	}
	l.settlePrevious()
	for i := range l.spec.Outputs {
		switch o := &l.spec.Outputs[i]; {
		case isUnknown(o.Unit):
		case c.faulty("outputs." + o.Name):
			l.checkSource(o)
		default:
			l.lowerOutput(o)
		}
	}
	l.checkAccuracy()
	return c.new(found)
}

// checking is the check of a spec that was read in part.
type checking struct {
	said  finding.List
	whole bool // the names of all inputs and steps are known
}

// faulty tells whether something was said of a part of the spec, other than the range of an input or a name.
func (c *checking) faulty(path string) bool {
	for _, f := range c.said {
		if key, ok := strings.CutPrefix(f.Key, path); ok && (key == "" || key[0] == '.') && !harmless[f.Rule] && !spec.Guessed(f.Rule) {
			return true
		}
	}
	return false
}

// harmless are rules that leave the meaning of the rest as it is.
var harmless = map[string]bool{"bad-name": true, "reserved-name": true, "range-beyond-raw": true}

// touches tells whether something was said of a section, or of the spec as a whole.
func (c *checking) touches(section string) bool {
	return !c.whole || slices.ContainsFunc(c.said, func(f finding.Finding) bool {
		of, _, below := strings.Cut(f.Key, ".")
		return of == section || !below && f.Rule == "unknown-key" // which may be the section meant
	})
}

// absence are the rules that miss something: it may stand in what could not be read.
var absence = map[string]bool{"no-gain": true, "no-integral": true, "integral-without-limit": true, "no-limits": true, "range-holds-all": true, "one-of": true, "missing-key": true,
	"difference-on-circle": true, "error-on-circle": true}

// rateRules hang on the length of a tick.
var rateRules = map[string]bool{"below-a-count": true, "no-jump": true, "too-short": true, "not-whole-ticks": true, "tracking-too-fast": true, "frequency-too-high": true, "unstable-filter": true}

// registerRules hang on what an input's register holds, and on its declared range.
var registerRules = map[string]bool{"range-holds-all": true, "range-holds-none": true, "below-a-count": true, "no-jump": true}

// new leaves out what was said already, and what hangs on what could not be read.
func (c *checking) new(found finding.List) (out finding.List) {
	keys, places := map[string]bool{}, map[finding.Pos]bool{}
	for _, f := range c.said {
		if !spec.Guessed(f.Rule) { // of what the text most likely says, more can be said
			keys[f.Key], places[f.Pos] = true, true
		}
	}
	for _, f := range found {
		switch {
		case keys[f.Key] || places[f.Pos]:
		case f.Rule == "unknown-signal" && !c.whole:
		case rateRules[f.Rule] && c.touches("rate"):
		case registerRules[f.Rule] && c.touches("inputs"):
		case absence[f.Rule] && c.touches("tuning"): // a live gain may be 0 in the step
		default:
			out.Add(f)
		}
	}
	return out
}

// wide are limits that hold everything.
var wide = new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(30), nil))

// readable is the spec with something harmless in place of what could not be read. A step that feeds no output may be meant by one
// whose source could not be read: then it feeds one of which nothing is known.
func (c *checking) readable(s *spec.Spec) *spec.Spec {
	q := *s
	if q.Rate == nil {
		q.Rate = big.NewRat(100, 1)
	}
	q.Inputs, q.Outputs = slices.Clone(s.Inputs), slices.Clone(s.Outputs)
	for i := range q.Inputs {
		in := &q.Inputs[i]
		if in.Raw == "" {
			in.Raw = "int16"
		}
		if in.CountsPerUnit == nil {
			in.CountsPerUnit = big.NewRat(1, 1)
		}
	}
	fed, doubt := map[string]bool{}, c.touches("outputs") && len(s.Outputs) == 0
	for i := range q.Outputs {
		o := &q.Outputs[i]
		path := "outputs." + o.Name
		fed[o.From] = true
		doubt = doubt || c.faulty(path+".from") || o.From == ""
		if o.Unit == "" || c.faulty(path+".unit") {
			o.Unit = unknownUnit
		}
		if o.CountsPerUnit == nil {
			o.CountsPerUnit = big.NewRat(1, 1)
		}
		if o.Lo == nil && c.faulty(path) {
			o.Lo, o.Hi = new(big.Rat).Neg(wide), wide
		}
	}
	for _, st := range s.Steps {
		if doubt && !fed[st.Name] {
			q.Outputs = append(q.Outputs, spec.Output{From: st.Name, Unit: unknownUnit, CountsPerUnit: big.NewRat(1, 1), Lo: new(big.Rat).Neg(wide), Hi: wide})
		}
	}
	return &q
}

// guessed is a signal of which nothing but the unit is known.
func (l *Lowering) guessed(unit string) signal {
	s := l.unknown()
	s.unit, l.p.Ops[s.id].Unit = unit, unit
	return s
}

// mend takes a step whose keys are wrong for what it most likely means: a misspelt key for the one meant, and no key for one that means nothing.
// doubtful are the keys of which nothing more can be said; the empty one stands for something that is gone. Where too little is left, it is nil.
func mend(st *spec.Step) (mended *spec.Step, doubtful map[string]bool) {
	k := Find(st.Kind)
	if k == nil {
		return nil, nil
	}
	m, doubtful := *st, map[string]bool{}
	m.Args = nil
	for _, a := range st.Args {
		p := k.param(a.Key)
		if p == nil {
			if p = k.param(k.keyMeant(a.Key)); p == nil || m.Arg(p.Key) != nil || st.Arg(p.Key) != nil || k.rewritten(st, p.Key, a.Value) != "" {
				doubtful[""] = true
				continue
			}
			a.Key = p.Key
			doubtful["steps."+st.Name+"."+p.Key] = true
		}
		if a.Value.Shape != p.shape() {
			doubtful[""] = true
			continue
		}
		m.Args = append(m.Args, a)
	}
	for _, p := range k.Params {
		if p.Required && m.Arg(p.Key) == nil {
			return nil, nil
		}
	}
	return &m, doubtful
}

// lowerMended lowers a step whose keys are wrong as what it most likely means, to say what else is wrong with it.
func (l *Lowering) lowerMended(st *spec.Step) {
	mended, doubtful := mend(st)
	if mended == nil {
		l.publishUnknown()
		return
	}
	before := len(*l.findings)
	l.step, l.kind = mended, Find(st.Kind)
	l.readFormulas()
	l.kind.Lower(l)
	l.checkNumbers(before)
	own := slices.Clone((*l.findings)[before:])
	*l.findings = (*l.findings)[:before]
	for _, f := range own {
		if !doubtful[f.Key] && !(doubtful[""] && absence[f.Rule]) {
			l.findings.Add(f)
		}
	}
	l.publishUnknown()
	l.step = st
}

// refused tells whether a value stands there that breaks a rule for every text of a spec.
func refused(args []spec.Arg) bool {
	var bad func(v spec.Value) bool
	bad = func(v spec.Value) bool {
		return v.Shape == spec.Refused || slices.ContainsFunc(v.Items, bad) || refused(v.Pairs)
	}
	return slices.ContainsFunc(args, func(a spec.Arg) bool { return bad(a.Value) })
}

// checkNumbers says which numbers of the step are none, whether or not lowering reads them; what has been said from before on is not repeated.
func (l *Lowering) checkNumbers(before int) {
	said := map[finding.Pos]bool{}
	for _, f := range (*l.findings)[before:] {
		said[f.Pos] = true
	}
	for _, a := range l.step.Args {
		p := l.kind.param(a.Key)
		if p == nil || a.Value.Shape != spec.Scalar || said[a.Value.Pos] {
			continue
		}
		switch p.Form {
		case Number, Quantity:
			l.parse(a.Value, a.Key, "not-a-number", "a number", "0.5", anyUnit, "")
		case Duration:
			l.parse(a.Value, a.Key, "not-a-time", "a time", "50 ms", isTime, "s")
		case Frequency:
			l.parse(a.Value, a.Key, "not-a-frequency", "a frequency", "5 Hz", isFrequency, "Hz")
		}
	}
}

func anyUnit(string) bool { return true }
