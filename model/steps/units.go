package steps

import (
	"slices"
	"strconv"
	"strings"

	"gainwright/model/spec"
	"gainwright/model/units"
)

// unitsOf solves the units of signals from what outputs, inputs and kinds of steps say of them (Kind.Units).
func unitsOf(s *spec.Spec, kinds map[string]*Kind) *units.System {
	u := &units.System{}
	for _, o := range s.Outputs {
		if !isUnknown(o.Unit) {
			u.Say(o.From, o.Unit, false)
		}
	}
	for _, in := range s.Inputs {
		if in.CountsPerUnit != nil && !isUnknown(in.Unit) {
			u.Say(in.Name, in.Unit, false)
		}
	}
	for round := range 3 {
		for i := range s.Steps {
			if k := kinds[s.Steps[i].Name]; k != nil {
				for n, relation := range strings.Split(k.Units, "; ") {
					k.relate(u, &s.Steps[i], relation, s.Steps[i].Name+" "+strconv.Itoa(n), round)
				}
			}
		}
	}
	return u
}

// relate states one relation of a step, such as "of = own/s unless unit": all that it names has one unit, that of a signal of its own.
// Several signals at one key, such as the terms of a sum, come after all others: in the second round those that nothing keeps apart, in the third
// those of which one line says another unit, which is then told to be the odd one. Of what is left the step tells.
func (k *Kind) relate(u *units.System, s *spec.Step, relation, common string, round int) {
	terms, unless, _ := strings.Cut(relation, " unless ")
	if s.Arg(unless) != nil {
		return
	}
	for _, term := range strings.Split(terms, " = ") {
		key, isRate := strings.CutSuffix(term, "/s")
		per := 0
		if isRate {
			per = -1
		}
		given, p := s.Arg(key), k.param(key)
		var names []reference
		if given != nil && p != nil {
			names = references(&spec.Step{Args: []spec.Arg{*given}}, k)
		}
		switch {
		case (round > 0) != (len(names) > 1):
		case key == "own":
			u.Relate(s.Name, common, per)
		case p == nil:
			u.Say(common, key, false)
		case given == nil:
		case p.Form == Unit:
			u.Say(common, given.Value.Text, false)
		case len(names) > 0:
			for _, r := range names {
				if round == 0 || u.Against(r.name, common) == round-1 {
					u.Relate(r.name, common, per)
				}
			}
		default:
			for _, v := range slices.Concat(given.Value.Items, []spec.Value{given.Value}) {
				if q, err := spec.ParseQuantity(v.Text); err == nil && q.Unit != "" {
					u.Say(common, q.Unit, true)
				}
			}
		}
	}
}
