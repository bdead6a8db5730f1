package c

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/model/program"
	"gainwright/model/spec"
)

// names hands out identifiers of one name space, each once. Those of a function see the ones outside it, which they may not hide.
type names struct{ own, outside map[string]bool }

func newNames(outside map[string]bool) names { return names{map[string]bool{}, outside} }

func (n names) reserve(taken ...string) {
	for _, t := range taken {
		n.own[t] = true
	}
}

// unique returns want, with underscores behind it where it is taken or has a meaning in C or C++.
func (n names) unique(want string) string {
	for n.own[want] || n.outside[want] || reserved(want) {
		want += "_"
	}
	n.own[want] = true
	return want
}

// reserved tells whether a lower-case name is no name for a local: keywords of C and C++ up to C23 and C++20, words
// that compilers and the usual headers define as macros, and the types the header uses.
func reserved(name string) bool {
	return spec.IsKeyword(name) || slices.Contains(strings.Fields(macros), name)
}

const macros = `assert complex errno imaginary linux noreturn stderr stdin stdout unix i386 near far huge interrupt
	int8_t int16_t int32_t int64_t uint8_t uint16_t uint32_t uint64_t intptr_t uintptr_t size_t`

// fields are the member names of the emitted structs, at the places of the program's lists.
type fields struct {
	in, out, state, coef []Member
	ticks                []counter
	held                 map[program.ID]Member // of the program that is emitted; filled in for the header alone
}

// Member is a member of an emitted struct.
type Member struct {
	Name string
	Type program.Type
}

func newFields(p *program.Fixed) fields {
	var f fields
	in, out, state, coef := newNames(nil), newNames(nil), newNames(nil), newNames(nil)
	state.reserve("gains", "in_use", "ready")
	for _, i := range p.Inputs {
		f.in = append(f.in, Member{in.unique(i.Name), inputType(i)})
	}
	for _, o := range p.Outputs {
		f.out = append(f.out, Member{out.unique(o.Name), o.Type})
	}
	for _, s := range p.States {
		f.state = append(f.state, Member{state.unique(s.Name), s.Type})
	}
	for _, k := range p.Coefs {
		f.coef = append(f.coef, Member{coef.unique(k.Name), k.Type})
	}
	f.ticks = newCounters(p, state)
	return f
}

// hold adds the members that hold values.
func (f *fields) hold(p *program.Fixed, ids []program.ID) {
	taken := newNames(nil)
	taken.reserve("gains", "in_use", "ready")
	for _, m := range f.state {
		taken.reserve(m.Name)
	}
	for _, k := range f.ticks {
		taken.reserve(k.Name)
	}
	f.held = map[program.ID]Member{}
	for _, id := range ids {
		f.held[id] = Member{taken.unique(p.Ops[id].Name), p.Ops[id].Type}
	}
}

// globals are the functions and types of the header, which no local may hide.
func (e *emitter) globals() map[string]bool {
	if e.global != nil {
		return e.global
	}
	list := []string{"_in", "_out", "_state", "_coefs", "_init", "_restart", "_restart_with_integrals", "_step", "_take_gains", "_spare_gains", "_gains_at", "_set_gain"}
	for _, g := range e.p.Gains {
		list = append(list, "_set_"+g.Name)
	}
	for i := range e.p.Ops {
		op := &e.p.Ops[i]
		list = append(list, "_angle_"+op.Name, "_table_"+op.Name, "_within_"+op.Name, "_mul_"+op.Name, "_mac_"+op.Name)
	}
	for _, k := range []string{"clamp", "min", "max", "abs", "wrap", "root"} {
		list = append(list, "_"+k+"16", "_"+k+"32", "_"+k+"64")
	}
	for _, form := range []string{"mul16", "mul16p", "mul17", "mul32", "mac16", "mac16p", "mac17", "less_round32_by16", "limit32"} {
		list = append(list, "_"+form)
	}
	for shift := range 64 {
		list = append(list, fmt.Sprintf("_up%d", shift))
		list = append(list, fmt.Sprintf("_quotient_%d_bits", shift), fmt.Sprintf("_quotient_%d_bits_wide", shift))
		for _, w := range []string{"16", "32", "64"} {
			list = append(list, fmt.Sprintf("_round%s_by%d", w, shift), fmt.Sprintf("_round%s_by%d_short", w, shift))
		}
	}
	for first := range uint(32) {
		for second := range uint(32) {
			list = append(list, fmt.Sprintf("_round32_by%d_by%d_short", first, second))
		}
	}
	e.global = make(map[string]bool, len(list))
	for _, name := range list {
		e.global[e.name+name] = true
	}
	return e.global
}
