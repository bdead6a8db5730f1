package mutants

import (
	"math"
	"math/big"
	"regexp"
	"slices"
	"strconv"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// sameWhileUsed: a value that was made narrower is used only while some truth holds, such as that a reading is believed, and while that holds it
// fits the narrower type. The truth is the same with the change and without, so each tick leads to the same from any state and input:
// where it does not hold nothing that the tick leaves is made from the value, and where it holds the value is what it was.
func sameWhileUsed(u *model.Unit, m Mutant) (string, bool) {
	name := regexp.MustCompile(`const ` + regexp.QuoteMeta(m.changed) + ` +(\w+) +=`).FindStringSubmatch(m.Now)
	if name == nil || u.Certificate == nil {
		return "", false
	}
	most := map[string]int64{"int8_t": math.MaxInt8, "int16_t": math.MaxInt16, "int32_t": math.MaxInt32}[m.changed]
	p, values := u.Integer, map[program.ID]bool{}
	for id, local := range c.Locals(u) {
		if local == name[1] {
			values[program.ID(id)] = true
		}
	}
	if len(values) == 0 || most == 0 || !fitsAround(u, values, interval.Ints(-most-1, most)) {
		return "", false
	}
	behind := following(p, values)
	for id := range p.Ops {
		gate := program.ID(id)
		if !isTruth(p, gate) || behind[gate] || usedWithout(p, gate, values) {
			continue
		}
		ranges, ok := assumed(u, gate)
		if !ok {
			continue
		}
		fits := true
		for v := range values {
			fits = fits && interval.Ints(-most-1, most).Holds(ranges[v])
		}
		if fits {
			return name[1] + ": used while " + p.Ops[gate].Name + " alone, and inside " + strconv.FormatInt(most, 10) + " then", true
		}
	}
	return "", false
}

func isTruth(p *program.Fixed, id program.ID) bool {
	switch p.Ops[id].Kind {
	case program.Less, program.LessEqual, program.And, program.Or, program.Not:
		return true
	}
	return false
}

// following are values and all that is made from them in the same tick.
func following(p *program.Fixed, values map[program.ID]bool) []bool {
	out := make([]bool, len(p.Ops))
	for id, op := range p.Ops {
		out[id] = values[program.ID(id)] || slices.ContainsFunc(op.Args, func(a program.ID) bool { return out[a] })
	}
	return out
}

// usedWithout tells whether an output or a state may be made from one of the values in a tick where the gate does not hold.
func usedWithout(p *program.Fixed, gate program.ID, values map[program.ID]bool) bool {
	known := without(p, gate)
	seen := make([]bool, len(p.Ops))
	var used func(id program.ID) bool
	used = func(id program.ID) bool {
		if id == program.None || seen[id] || known[id] != open {
			return false
		}
		seen[id] = true
		op := p.Ops[id]
		if values[id] {
			return true
		}
		if op.Kind == program.Select && known[op.Args[0]] != open {
			if known[op.Args[0]] == yes {
				return used(op.Args[1])
			}
			return used(op.Args[2])
		}
		return slices.ContainsFunc(op.Args, used)
	}
	truth := func(id program.ID, absent answer) answer {
		if id == program.None {
			return absent
		}
		return known[id]
	}
	for _, s := range p.States {
		reset, enable := truth(s.Reset, no), truth(s.Enable, yes)
		if used(s.Reset) || reset != no && used(s.ResetTo) || reset != yes && (used(s.Enable) || enable != no && used(s.Next)) {
			return true
		}
	}
	return slices.ContainsFunc(p.Outputs, func(o program.Output) bool { return used(o.Value) })
}

// answer is what is known of a truth.
type answer int

const (
	open answer = iota
	no
	yes
)

// without is what is known of each truth where the gate does not hold.
func without(p *program.Fixed, gate program.ID) []answer {
	known := make([]answer, len(p.Ops))
	for id, op := range p.Ops {
		arg := func(n int) answer { return known[op.Args[n]] }
		switch {
		case program.ID(id) == gate:
			known[id] = no
		case op.Kind == program.Not && arg(0) != open:
			known[id] = no + yes - arg(0)
		case op.Kind == program.And && (arg(0) == no || arg(1) == no), op.Kind == program.Or && arg(0) == no && arg(1) == no:
			known[id] = no
		case op.Kind == program.Or && (arg(0) == yes || arg(1) == yes), op.Kind == program.And && arg(0) == yes && arg(1) == yes:
			known[id] = yes
		}
	}
	return known
}

// assumed are the ranges of all values in a tick where the gate holds: inputs and states are limited by the comparisons with constants that
// it follows from. ok is false where it can never hold.
func assumed(u *model.Unit, gate program.ID) (ranges []interval.Range, ok bool) {
	p := u.Integer
	limits := make([]interval.Range, len(p.Ops))
	for id, op := range p.Ops {
		limits[id] = interval.Ints(op.Lo, op.Hi)
	}
	ok = true
	atMost := func(id program.ID, low bool, limit int64) {
		r := interval.Ints(math.MinInt64, limit)
		if low {
			r = interval.Ints(limit, math.MaxInt64)
		}
		var some bool
		if r, some = limits[id].Meet(r); some {
			limits[id] = r
		}
		ok = ok && some
	}
	var holds func(id program.ID, truth bool)
	holds = func(id program.ID, truth bool) {
		op := p.Ops[id]
		switch {
		case op.Kind == program.Not:
			holds(op.Args[0], !truth)
		case op.Kind == program.And && truth, op.Kind == program.Or && !truth:
			holds(op.Args[0], truth)
			holds(op.Args[1], truth)
		case (op.Kind == program.Less || op.Kind == program.LessEqual) && truth:
			apart := int64(0)
			if op.Kind == program.Less {
				apart = 1
			}
			a, b := op.Args[0], op.Args[1]
			if k := p.Ops[a]; k.Kind == program.Const {
				atMost(b, true, k.K.Num().Int64()+apart)
			}
			if k := p.Ops[b]; k.Kind == program.Const {
				atMost(a, false, k.K.Num().Int64()-apart)
			}
		}
	}
	holds(gate, true)
	return evaluated(u, func(id program.ID) (interval.Range, bool) {
		kind := p.Ops[id].Kind
		return limits[id], kind == program.Input || kind == program.State
	}), ok
}

// evaluated are the ranges of all values while some of them, which are cut off from what they are made of, are anything in ranges that are given.
func evaluated(u *model.Unit, given func(program.ID) (interval.Range, bool)) []interval.Range {
	p := *u.Integer
	p.Ops, p.States = slices.Clone(p.Ops), slices.Clone(p.States)
	var added []interval.Range
	for id := range p.Ops {
		if r, ok := given(program.ID(id)); ok {
			p.Ops[id].Kind, p.Ops[id].Args, p.Ops[id].Index = program.State, nil, len(p.States)
			p.States = append(p.States, program.FixedState{StateInfo: program.StateInfo{Start: new(big.Rat), Next: program.ID(id), Enable: program.None, Reset: program.None, Section: p.Ops[id].Section}})
			added = append(added, r)
		}
	}
	e := cert.NewEvaluator(&p)
	for n, r := range u.Certificate.States {
		e.States[n] = interval.Range{Lo: r.Lo, Hi: r.Hi}
	}
	copy(e.States[len(u.Certificate.States):], added)
	for s := range p.Sections {
		e.Section(s)
	}
	return e.Ranges
}

// fitsAround tells whether no sum overflows while the values are anything in a range, whatever the order that the emitted code adds in: what is
// computed from them and then not used must not be undefined.
func fitsAround(u *model.Unit, values map[program.ID]bool, r interval.Range) bool {
	p := u.Integer
	ranges := evaluated(u, func(id program.ID) (interval.Range, bool) { return r, values[id] })
	behind, sizes := following(p, values), make([]*big.Rat, len(p.Ops))
	for id, op := range p.Ops {
		sizes[id] = ranges[id].Size()
		if !values[program.ID(id)] && (op.Kind == program.Add || op.Kind == program.Sub) {
			sizes[id] = new(big.Rat).Add(sizes[op.Args[0]], sizes[op.Args[1]])
		}
		if _, hi := op.Type.Range(); behind[id] && !values[program.ID(id)] && op.Type != program.Bool && sizes[id].Cmp(new(big.Rat).SetInt64(hi)) > 0 {
			return false
		}
	}
	return true
}
