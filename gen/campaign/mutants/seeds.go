package mutants

import (
	"regexp"
	"slices"
	"strconv"

	"gainwright/model/program"
	"gainwright/model/selection"
)

// seed is an operand of an operation of the emitted program: a constant that a mutant makes one more or one less.
type seed struct {
	id  program.ID
	arg int
}

var (
	defining = regexp.MustCompile(`const \w+ +(\w+)\s+=([^;]*);`)
	chosen   = regexp.MustCompile(`[?:]\s+(\w+)`)
	added    = regexp.MustCompile(`\+\s+(\w+)`)
	behind   = regexp.MustCompile(`^(?:\)|$|\s+:)`) // these two, where that is all of the operand
	limited  = regexp.MustCompile(`\w+_clamp\d+\(\w+,\s*(\w+),\s*(\w+)\)`)
	within   = regexp.MustCompile(`static inline \w+ (\w+)\(\w+ x\)\s*\{\s*return \w+_clamp\d+\(x,\s*(\w+),\s*(\w+)\);`)
)

// seedsAt are the operands that stand where a mutant changes a constant, and by how much: of a choice, a sum or a limit in the statement of a local,
// or in a function that statements of locals alone call. There is none where the operations of a statement, and its text, do not have as many of
// that constant in such places.
func seedsAt(s *selection.Selection, locals []string, code string, m Mutant) (seeds []seed, by int64) {
	was, now, ok := numbers(m)
	if by = now - was; !ok || by != 1 && by != -1 {
		return nil, 0
	}
	statements := defining.FindAllStringSubmatchIndex(code, -1)
	number := func(token string) (int64, bool) {
		if v, err := strconv.ParseInt(token, 10, 64); err == nil {
			return v, true
		}
		return defined(m.Text, token)
	}
	same := func(token string, v int64) bool { n, known := number(token); return known && n == v }
	root := func(statement []int) program.ID {
		return program.ID(slices.Index(locals, code[statement[2]:statement[3]]))
	}
	for _, at := range statements {
		if m.at < at[4] || m.at >= at[5] {
			continue
		}
		id, text, place := root(at), code[at[4]:at[5]], m.at-at[4]
		for _, role := range []struct {
			pattern *regexp.Regexp
			kind    program.Kind
		}{{chosen, program.Select}, {added, program.Add}} {
			here, times := false, 0
			for _, p := range role.pattern.FindAllStringSubmatchIndex(text, -1) {
				if !behind.MatchString(text[p[3]:]) {
					continue
				}
				here = here || p[2] == place
				if same(text[p[2]:p[3]], was) {
					times++
				}
			}
			if found := constants(s, id, role.kind, was); here && len(found) == times {
				return found, by
			}
		}
		for _, p := range limited.FindAllStringSubmatchIndex(text, -1) {
			for arg := 1; arg <= 2; arg++ {
				if p[2*arg] != place {
					continue
				}
				lo, known := number(text[p[2]:p[3]])
				hi, known2 := number(text[p[4]:p[5]])
				times := 0
				for _, other := range limited.FindAllStringSubmatch(text, -1) {
					if same(other[1], lo) && same(other[2], hi) {
						times++
					}
				}
				if found := limits(s, id, lo, hi, arg); known && known2 && len(found) == times {
					return found, by
				}
			}
		}
		return nil, 0
	}
	for _, at := range within.FindAllStringSubmatchIndex(code, -1) {
		for arg := 1; arg <= 2; arg++ {
			if at[2+2*arg] != m.at {
				continue
			}
			lo, known := number(code[at[4]:at[5]])
			hi, known2 := number(code[at[6]:at[7]])
			call := regexp.MustCompile(`\b` + code[at[2]:at[3]] + `\b`)
			left := len(call.FindAllString(code, -1)) - 1
			for _, statement := range statements {
				times := len(call.FindAllString(code[statement[4]:statement[5]], -1))
				if times == 0 {
					continue
				}
				found := limits(s, root(statement), lo, hi, arg)
				if len(found) != times {
					return nil, 0
				}
				seeds, left = append(seeds, found...), left-times
			}
			if known && known2 && left == 0 {
				return seeds, by
			}
		}
	}
	return nil, 0
}

// expression are the operations that stand in the statement of a local.
func expression(s *selection.Selection, root program.ID) (out []program.ID) {
	if root < 0 {
		return nil
	}
	out = []program.ID{root}
	for n := 0; n < len(out); n++ {
		for _, a := range s.Program.Ops[out[n]].Args {
			if s.Ops[a].Inline {
				out = append(out, a)
			}
		}
	}
	return out
}

// constants are the operands of a kind of operation in a statement, of numbers, that are that constant.
func constants(s *selection.Selection, root program.ID, kind program.Kind, v int64) (out []seed) {
	for _, id := range expression(s, root) {
		op := &s.Program.Ops[id]
		if op.Kind != kind || op.Type == program.Bool {
			continue
		}
		for n, a := range op.Args {
			if k := &s.Program.Ops[a]; k.Kind == program.Const && k.Type != program.Bool && k.Lo == v {
				out = append(out, seed{id, n})
			}
		}
	}
	return out
}

// limits are the lower or upper ends, by their places, of limits by two constants in a statement.
func limits(s *selection.Selection, root program.ID, lo, hi int64, arg int) (out []seed) {
	for _, id := range expression(s, root) {
		op := &s.Program.Ops[id]
		if op.Kind != program.Clamp || s.Ops[id].Form == selection.Symmetric || hi-lo < 1 {
			continue
		}
		if a, b := &s.Program.Ops[op.Args[1]], &s.Program.Ops[op.Args[2]]; a.Kind == program.Const && b.Kind == program.Const && a.Lo == lo && b.Lo == hi {
			out = append(out, seed{id, arg})
		}
	}
	return out
}
