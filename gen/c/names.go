package c

import (
	"fmt"
	"strings"

	"gainwright/model/program"
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
	for n.own[want] || n.outside[want] || reserved[want] {
		want += "_"
	}
	n.own[want] = true
	return want
}

// reserved holds what a lower-case name cannot be: keywords of C and C++ up to C23 and C++20, words
// that compilers and the usual headers define as macros, and the types the header uses.
var reserved = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(`
		auto break case char const continue default do double else enum extern float for goto if inline int long
		register restrict return short signed sizeof static struct switch typedef union unsigned void volatile while
		alignas alignof bool constexpr false nullptr static_assert thread_local true typeof typeof_unqual
		and and_eq asm bitand bitor catch char8_t char16_t char32_t class co_await co_return co_yield compl concept
		const_cast consteval constinit decltype delete dynamic_cast explicit export friend mutable namespace new
		noexcept not not_eq operator or or_eq private protected public reinterpret_cast requires static_cast template
		this throw try typeid typename using virtual wchar_t xor xor_eq
		assert complex errno imaginary linux noreturn stderr stdin stdout unix i386 near far huge interrupt
		int8_t int16_t int32_t int64_t uint8_t uint16_t uint32_t uint64_t intptr_t uintptr_t size_t`) {
		m[w] = true
	}
	return m
}()

// fields are the member names of the emitted structs, at the places of the program's lists.
type fields struct {
	in, out, state, coef []string
}

func newFields(p *program.Fixed) fields {
	var f fields
	in, out, state, coef := newNames(nil), newNames(nil), newNames(nil), newNames(nil)
	state.reserve("gains", "in_use", "ready")
	for _, i := range p.Inputs {
		f.in = append(f.in, in.unique(i.Name))
	}
	for _, o := range p.Outputs {
		f.out = append(f.out, out.unique(o.Name))
	}
	for _, s := range p.States {
		f.state = append(f.state, state.unique(s.Name))
	}
	for _, k := range p.Coefs {
		f.coef = append(f.coef, coef.unique(k.Name))
	}
	return f
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
		list = append(list, "_angle_"+op.Name, "_within_"+op.Name, "_mul_"+op.Name, "_mac_"+op.Name)
	}
	for _, k := range []string{"clamp", "min", "max", "abs", "wrap"} {
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
