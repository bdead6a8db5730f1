package steps

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// readKeys checks the keys of every step, and lists the names that a step may use.
func readKeys(s *spec.Spec, found *finding.List) (known map[string]bool, kinds map[string]*Kind) {
	known, kinds = map[string]bool{}, map[string]*Kind{}
	for _, in := range s.Inputs {
		known[in.Name] = true
	}
	for _, st := range s.Steps {
		known[st.Name] = true
		if k := Find(st.Kind); k != nil {
			for _, sig := range k.Signals {
				known[st.Name+"."+sig] = true
			}
		}
	}
	good := &goodNames{spec: s, known: known, compares: mostCompares, parts: mostParts}
	for i := range s.Steps {
		kinds[s.Steps[i].Name] = checkKeys(&s.Steps[i], good, found)
	}
	return known, kinds
}

// Lower turns a spec into its real program, with the constants that the spec asks for. Where the
// list holds an error the program is not to be used.
func Lower(s *spec.Spec) (*program.Real, finding.List) {
	var found finding.List
	s = inNumbers(s)
	p := &program.Real{Frame: program.Frame{Name: s.Name, Rate: s.Rate}}
	known, kinds := readKeys(s, &found)
	checkTuning(s, kinds, &found)
	checkNames(s, kinds, known, &found)
	order := sortSteps(s, kinds, &found)

	l := newLowering(p, s, &found)
	l.units, l.kinds = unitsOf(s, kinds), kinds
	l.lowerInputs()
	l.readClocks(order, kinds)
	for _, st := range order {
		l.lowerPrevious(st, references(st, kinds[st.Name]))
		l.lowerStep(st, kinds[st.Name])
	}
	l.settlePrevious()
	for i := range s.Outputs {
		l.lowerOutput(&s.Outputs[i])
	}
	l.checkAccuracy()
	if found.Failed() {
		return p, found
	}
	warnUnused(s, kinds, &found)
	return finish(p), found
}

// inNumbers is the spec with numbers in the place of constants, wherever a step takes a number; in formulas they keep their names.
func inNumbers(s *spec.Spec) *spec.Spec {
	if len(s.Constants) == 0 {
		return s
	}
	q := *s
	q.Steps = slices.Clone(s.Steps)
	for i := range q.Steps {
		st := &q.Steps[i]
		k := Find(st.Kind)
		if k == nil {
			continue
		}
		st.Args = slices.Clone(st.Args)
		for j := range st.Args {
			a := &st.Args[j]
			if p := k.param(a.Key); p != nil && p.Form.takesNumbers() {
				a.Value = s.Figures(a.Value)
			}
		}
	}
	return &q
}

func newLowering(p *program.Real, s *spec.Spec, found *finding.List) *Lowering {
	l := &Lowering{p: p, spec: s, findings: found, signals: map[string]signal{}, names: map[string]bool{}, taken: map[string]int{}, gains: map[string]int{}, spelling: map[string]string{}, measures: map[string]bool{}}
	for _, o := range s.Outputs {
		l.spell(o.Unit)
	}
	return l
}

// lowerStep makes the section of a step. A step that is wrong, or of no kind that is known, stands for an unknown value.
func (l *Lowering) lowerStep(st *spec.Step, kind *Kind) {
	l.step, l.kind, l.prefix, l.last, l.clock = st, kind, st.Name, nil, l.clocks[st.Name]
	before := len(*l.findings)
	if kind != nil {
		l.readFormulas()
	}
	l.section = len(l.p.Sections)
	sentence, equation := "", ""
	if kind != nil {
		sentence, equation = kind.Doc, kind.Equation
	}
	l.p.Sections = append(l.p.Sections, program.Section{Name: st.Name, Kind: st.Kind, Clock: l.clock, Line: st.Pos.Line, Sentence: sentence, Equation: equation})
	if kind == nil {
		l.lowerMended(st)
		return
	}
	l.keepLast()
	kind.Lower(l)
	l.checkNumbers(before)
	if own := (*l.findings)[before:]; own.Failed() {
		l.publishUnknown()
	}
}

// publishUnknown stands for a step that is wrong, so that what reads it can be looked at all the same: nothing is said of its value twice. Its
// unit is known where all that is said of it agrees.
func (l *Lowering) publishUnknown() {
	l.signals[l.step.Name] = l.unknown()
	if l.kind == nil {
		return
	}
	if unit, sure := l.units.Of(l.step.Name); sure && !l.kind.IsSwitch {
		l.signals[l.step.Name] = l.guessed(unit)
	}
	for _, s := range l.kind.Signals {
		l.signals[l.step.Name+"."+s] = l.unknown()
	}
}

// unknown is a signal of which nothing is known. Its unit fits everywhere.
func (l *Lowering) unknown() signal {
	l.p.Ops = append(l.p.Ops, program.RealOp{Op: program.Op{Kind: program.Input, Unit: unknownUnit, Section: l.section}})
	return signal{id: program.ID(len(l.p.Ops) - 1), unit: unknownUnit, lo: big.NewRat(-1, 1), hi: big.NewRat(1, 1)}
}

// lowerInputs makes the section of the inputs: raw counts, turned the right way round and offset, in units.
func (l *Lowering) lowerInputs() {
	l.p.Sections = append(l.p.Sections, program.Section{Name: "inputs", Role: program.Inputs, Kind: "inputs", Sentence: "Raw counts in units, turned the right way round."})
	for i, in := range l.spec.Inputs {
		l.prefix = in.Name
		info := program.InputInfo{Name: in.Name, Unit: in.Unit, Type: rawTypes[in.Raw], IsSwitch: in.Raw == "bool", Lo: in.Lo, Hi: in.Hi, Offset: in.Offset}
		if info.IsSwitch {
			info.LSB = big.NewRat(1, 1)
			l.p.Inputs = append(l.p.Inputs, info)
			id := l.add(program.RealOp{Op: program.Op{Kind: program.Input, Index: i, Bool: true}}, "raw", "as handed in")
			l.Publish(id, "", nil)
			continue
		}
		info.LSB = new(big.Rat).Inv(new(big.Rat).Abs(in.CountsPerUnit))
		l.p.Inputs = append(l.p.Inputs, info)
		id := l.add(program.RealOp{Op: program.Op{Kind: program.Input, Index: i, Unit: in.Unit}}, "raw", "as handed in")
		if in.CountsPerUnit.Sign() < 0 {
			l.p.Inputs[i].Turned = true
			id = l.Scale(big.NewRat(-1, 1), id, in.Unit, "turned", "turned round: counts_per_unit is negative")
		}
		if in.Offset != nil && in.Offset.Sign() != 0 {
			id = l.Add(id, l.Const(in.Offset, in.Unit, "offset"), "shifted", "with the offset")
		}
		l.Publish(id, "", nil)
		if l.upsideDown(&in, in.Lo, in.Hi) {
			l.signals[in.Name] = l.guessed(in.Unit)
			continue
		}
		sig := l.signals[in.Name]
		sig.lo, sig.hi = spec.InUnits(in.Raw, in.CountsPerUnit, cmp.Or(in.Offset, new(big.Rat)))
		l.signals[in.Name] = sig
	}
	l.prefix = "first_tick"
	n, first := l.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Start: big.NewRat(1, 1), Purpose: program.Counter}}, "", "the tick is the first one")
	l.Update(n, l.add(program.RealOp{Op: program.Op{Kind: program.Const, K: new(big.Rat), Bool: true}}, "done", "constant"))
	l.Publish(first, "", nil)
	l.first = l.signals["first_tick"].id
}

var rawTypes = map[string]program.Type{"bool": program.Bool, "int8": program.I8, "uint8": program.U8, "int16": program.I16, "uint16": program.U16, "int32": program.I32}

// sortSteps orders the steps so that each stands behind those it names, keeping the spec's order where it can.
func sortSteps(s *spec.Spec, kinds map[string]*Kind, found *finding.List) []*spec.Step {
	index := map[string]int{}
	for i, st := range s.Steps {
		index[st.Name] = i
	}
	state := make([]int, len(s.Steps)) // 0 new, 1 being placed, 2 placed
	var order []*spec.Step
	var path []string
	var place func(i int)
	place = func(i int) {
		st := &s.Steps[i]
		state[i] = 1
		path = append(path, st.Name)
		for _, r := range references(st, kinds[st.Name]) {
			base, _, _ := strings.Cut(r.name, ".")
			j, ok := index[base]
			if !ok || r.previous {
				continue
			}
			switch state[j] {
			case 0:
				place(j)
			case 1:
				at := len(path) - 1
				for path[at] != base {
					at--
				}
				found.Add(finding.Finding{Pos: r.pos, Severity: finding.Error, Rule: "step-cycle", Key: "steps." + st.Name + "." + r.key,
					Message: fmt.Sprintf("the steps need one another in a ring: %s", strings.Join(append(path[at:len(path):len(path)], base), " -> ")),
					Remedy:  "name an input, or a step that does not need this one; or previous " + base + ", its value in the last tick"})
			}
		}
		path = path[:len(path)-1]
		state[i] = 2
		order = append(order, st)
	}
	for i := range s.Steps {
		if state[i] == 0 {
			place(i)
		}
	}
	return order
}

// checkTuning refuses live gains where a change while running is not proven safe.
func checkTuning(s *spec.Spec, kinds map[string]*Kind, found *finding.List) {
	for _, t := range s.Tuning {
		name, key, _ := strings.Cut(t.Key, ".")
		k, ok := kinds[name]
		if !ok || k == nil {
			continue // said by package spec, or the step is reported already
		}
		var tunable []string
		for _, p := range k.Params {
			if p.Tunable {
				tunable = append(tunable, name+"."+p.Key)
			}
		}
		f := finding.Finding{Pos: t.Pos, Severity: finding.Error, Key: "tuning." + t.Key, Remedy: "leave it out, and generate again after a change"}
		if len(tunable) > 0 {
			f.Remedy = nearestOr(t.Key, tunable, strings.Join(tunable, ", "))
		}
		p := k.param(key)
		if st := s.Step(name); k.param("numbers") != nil { // each number beside a formula may be live
			own := st.Arg("numbers")
			if own != nil && slices.ContainsFunc(own.Value.Pairs, func(a spec.Arg) bool { return a.Key == key }) {
				continue
			}
			f.Rule, f.Message = "unknown-key", fmt.Sprintf("the formula %s has no number %q", name, key)
			f.Remedy = fmt.Sprintf("numbers: {%s: 1} at the step %s, and its name in the formula", key, name)
			if own != nil && len(own.Value.Pairs) > 0 {
				var names []string
				for _, a := range own.Value.Pairs {
					names = append(names, name+"."+a.Key)
				}
				f.Remedy = nearestOr(t.Key, names, strings.Join(names, ", "))
			}
			found.Add(f)
			continue
		}
		switch {
		case p == nil:
			f.Rule, f.Message = "unknown-key", fmt.Sprintf("a step of kind %s has no key %q", k.Name, key)
		case !p.Tunable:
			f.Rule, f.Message = "not-tunable", fmt.Sprintf("%s is fixed in the code: only gains outside a filter's recursion can change while the loop runs", t.Key)
		case !sets(s, name, key):
			f.Rule, f.Message = "gain-not-set", fmt.Sprintf("the step %s does not set %s: a gain that is changed while running has a value to start from", name, key)
			f.Remedy = fmt.Sprintf("leave it out here, or %s: 0 at the step %s to start from 0", key, name)
			if sets(s, name, "gain") {
				f.Remedy = "leave it out here, or give the step kp, ki and kd in place of gain, ti and td"
			}
		default:
			continue
		}
		found.Add(f)
	}
}
