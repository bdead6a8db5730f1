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
	within   = regexp.MustCompile(`static inline \w+ \w+\(\w+ x\)\s*\{\s*return (\w+_clamp\d+\(x,[^)]*\));`)
)

// seedsAt are the operands that stand where a mutant changes a constant, and by how much: of a choice or a sum in the statement of a local, where its
// operations and its text have as many of that constant in such places; of limits by two constants, all that have both, which are those that change and
// maybe more.
func seedsAt(s *selection.Selection, locals []string, code string, m Mutant) (seeds []seed, by int64) {
	was, now, ok := numbers(m)
	if by = now - was; !ok || by != 1 && by != -1 {
		return nil, 0
	}
	number := func(token string) (int64, bool) {
		if v, err := strconv.ParseInt(token, 10, 64); err == nil {
			return v, true
		}
		return defined(m.Text, token)
	}
	limits := func(text string, place int) []seed {
		for _, p := range limited.FindAllStringSubmatchIndex(text, -1) {
			lo, known := number(text[p[2]:p[3]])
			hi, known2 := number(text[p[4]:p[5]])
			if arg := 1 + slices.Index([]int{p[2], p[4]}, place); arg > 0 && known && known2 {
				return limitedBy(s, lo, hi, arg)
			}
		}
		return nil
	}
	for _, at := range defining.FindAllStringSubmatchIndex(code, -1) {
		if m.at < at[4] || m.at >= at[5] {
			continue
		}
		root := program.ID(slices.Index(locals, code[at[2]:at[3]]))
		if root < 0 {
			return nil, 0
		}
		text, place := code[at[4]:at[5]], m.at-at[4]
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
				if v, known := number(text[p[2]:p[3]]); known && v == was {
					times++
				}
			}
			if found := constants(s, root, role.kind, was); here && len(found) == times {
				return found, by
			}
		}
		return limits(text, place), by
	}
	for _, at := range within.FindAllStringSubmatchIndex(code, -1) {
		if found := limits(code[at[2]:at[3]], m.at-at[2]); len(found) > 0 {
			return found, by
		}
	}
	return nil, 0
}

// expression are the operations that stand in the statement of a local.
func expression(s *selection.Selection, root program.ID) (out []program.ID) {
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

// limitedBy are the lower or upper ends, by their places, of all limits by two constants.
func limitedBy(s *selection.Selection, lo, hi int64, arg int) (out []seed) {
	for id := range s.Program.Ops {
		op := &s.Program.Ops[id]
		if op.Kind != program.Clamp || s.Ops[id].Form == selection.Symmetric || hi-lo < 1 {
			continue
		}
		if a, b := &s.Program.Ops[op.Args[1]], &s.Program.Ops[op.Args[2]]; a.Kind == program.Const && b.Kind == program.Const && a.Lo == lo && b.Lo == hi {
			out = append(out, seed{program.ID(id), arg})
		}
	}
	return out
}
