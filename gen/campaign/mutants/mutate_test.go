// Package mutants changes an emitted header in one place at a time, systematically, to find out whether the tests that
// are emitted beside it notice.
package mutants

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Mutant is a header with one change.
type Mutant struct {
	Kind     string // constant, operator, ...
	Line     int    // of the header, from 1
	Was, Now string
	Text     string // the whole header

	at                int // where it is changed
	original, changed string
}

func (m Mutant) String() string {
	short := func(s string) string { return strings.Join(strings.Fields(s), " ") }
	return fmt.Sprintf("line %d, %s: %.90s -> %.90s", m.Line, m.Kind, short(m.Was), short(m.Now))
}

// Of returns the mutants of a header, in the order of its lines. Comments, statements that only guard the compilation,
// and code for processors other than this host, are left alone.
func Of(header string) []Mutant {
	code := masked(header)
	h := &mutator{header: header, code: code, seen: map[string]bool{}}
	h.constants()
	h.swaps("operator", ` (\+|-|\*|>>|<<|&|\|)(\s)`, map[string][]string{"+": {"-"}, "-": {"+"}, "*": {"+"}, ">>": {"<<"}, "<<": {">>"}, "&": {"|"}, "|": {"&"}})
	h.swaps("comparison", ` (<=|>=|<|>|==|!=)(\s)`, map[string][]string{"<": {"<=", ">"}, "<=": {"<", ">="}, ">": {">=", "<"}, ">=": {">", "<="}, "==": {"!=", "<="}, "!=": {"==", "<"}})
	h.swaps("logic", ` (&&|\|\|)(\s)`, map[string][]string{"&&": {"||"}, "||": {"&&"}})
	h.swaps("negation", `([!~])([A-Za-z(])`, map[string][]string{"!": {""}, "~": {""}})
	h.statements()
	h.members()
	h.branches()
	h.widths()
	slices.SortStableFunc(h.list, func(a, b Mutant) int { return a.Line - b.Line })
	return h.list
}

type mutator struct {
	header, code string
	list         []Mutant
	seen         map[string]bool
}

// change adds a mutant with other text between two places.
func (h *mutator) change(kind string, from, to int, now string) {
	text := h.header[:from] + now + h.header[to:]
	if text == h.header || h.seen[text] {
		return
	}
	h.seen[text] = true
	start, end := strings.LastIndexByte(h.code[:from], '\n')+1, to+strings.IndexByte(h.code[to:], '\n')
	h.list = append(h.list, Mutant{Kind: kind, Line: 1 + strings.Count(h.code[:from], "\n"), Was: h.code[start:end],
		Now: h.code[start:from] + now + h.code[to:end], Text: text, at: from, original: h.header[from:to], changed: now})
}

var (
	number = regexp.MustCompile(`\b[0-9]+`)
	named  = regexp.MustCompile(`\b[A-Z][A-Z0-9_]*_(FACTOR|LOW|HIGH|START|MERGE|SHIFT|VALUE|LIMIT|TARGET|[A-Z0-9]+)\b`)
)

// constants makes each number one more and one less, and each use of a named one, where the guard of the numbers
// themselves does not see it.
func (h *mutator) constants() {
	for _, at := range number.FindAllStringIndex(h.code, -1) {
		n, err := strconv.ParseInt(h.code[at[0]:at[1]], 10, 64)
		if err != nil {
			continue
		}
		for _, other := range []int64{n + 1, n - 1} {
			if other >= 0 {
				h.change("constant", at[0], at[1], strconv.FormatInt(other, 10))
			}
		}
	}
	for _, at := range named.FindAllStringIndex(h.code, -1) {
		line := h.code[strings.LastIndexByte(h.code[:at[0]], '\n')+1 : at[0]]
		rest := h.code[at[1]:]
		if strings.Contains(line, "#") || strings.Contains(line, "(uint64_t)") || strings.HasPrefix(rest, "(") || strings.HasPrefix(rest, " void") || strings.Contains(h.code[at[0]:at[1]], "INT32_C") {
			continue
		}
		h.change("use of a constant", at[0], at[1], "("+h.code[at[0]:at[1]]+" + 1)")
	}
}

func (h *mutator) swaps(kind, pattern string, by map[string][]string) {
	for _, at := range regexp.MustCompile(pattern).FindAllStringSubmatchIndex(h.code, -1) {
		for _, now := range by[h.code[at[2]:at[3]]] {
			h.change(kind, at[2], at[3], now)
		}
	}
}

var statement = regexp.MustCompile(`(?m)^ +(?:(?:s|out|to)->[^;=]*=|if \([^{;]*\) \{|[a-z_0-9]+(?:\.[a-z_0-9]+)? [-+|]?= )[^;]*;`)

// statements drops each statement that stores something: members at the start, states, outputs, coefficients.
func (h *mutator) statements() {
	for _, at := range statement.FindAllStringIndex(h.code, -1) {
		if text := h.code[at[0]:at[1]]; strings.Contains(text, "{") {
			continue
		}
		h.change("dropped statement", at[0], at[1], "")
	}
}

var (
	typedef = regexp.MustCompile(`(?s)typedef struct \{(.*?)\} (\w+);`)
	member  = regexp.MustCompile(`(?m)^ +(?:volatile )?(u?int\d+_t) +(\w+);`)
	access  = regexp.MustCompile(`\b(s|in|out|gains|from|to)->(\w+)|\bs->gains\[0\]\.(\w+)`)
)

// members reads and writes another member of the same type: the next one of its struct.
func (h *mutator) members() {
	next := map[string]map[string]string{}
	for _, m := range typedef.FindAllStringSubmatch(h.code, -1) {
		kind := m[2][strings.LastIndexByte(m[2], '_')+1:]
		byType, of := map[string][]string{}, map[string]string{}
		for _, v := range member.FindAllStringSubmatch(m[1], -1) {
			byType[v[1]] = append(byType[v[1]], v[2])
		}
		for _, names := range byType {
			for i, name := range names {
				of[name] = names[(i+1)%len(names)]
			}
		}
		next[kind] = of
	}
	structs := map[string]string{"s": "state", "in": "in", "out": "out", "gains": "coefs", "from": "coefs", "to": "coefs"}
	for _, at := range access.FindAllStringSubmatchIndex(h.code, -1) {
		kind, from, to := "coefs", at[6], at[7]
		if at[2] >= 0 {
			kind, from, to = structs[h.code[at[2]:at[3]]], at[4], at[5]
		}
		if now := next[kind][h.code[from:to]]; now != "" {
			h.change("swapped member", from, to, now)
		}
	}
}

var branch = regexp.MustCompile(`\? ([\w>().-]+|\([^()?:]*\)) :(\s+)([\w>().-]+|\([^()?:]*\))([;)])`)

// branches takes the other one of two values.
func (h *mutator) branches() {
	for _, at := range branch.FindAllStringSubmatchIndex(h.code, -1) {
		one, two := h.code[at[2]:at[3]], h.code[at[6]:at[7]]
		if balanced(one) && balanced(two) {
			h.change("swapped branches", at[2], at[7], two+" : "+one)
		}
	}
}

func balanced(s string) bool { return strings.Count(s, "(") == strings.Count(s, ")") }

var (
	wide = regexp.MustCompile(`\[(-?[0-9]+), (-?[0-9]+)\] of [^*]*\*/\s*const (int32_t|int64_t) `)
	cast = regexp.MustCompile(`\((int16_t|int32_t|int64_t|int_fast16_t)\)`)
)

// widths makes a value narrower than its range, and casts narrower.
func (h *mutator) widths() {
	less := map[string]string{"int64_t": "int32_t", "int32_t": "int16_t", "int16_t": "int8_t", "int_fast16_t": "int8_t"}
	for _, at := range wide.FindAllStringSubmatchIndex(h.header, -1) {
		lo, _ := strconv.ParseInt(h.header[at[2]:at[3]], 10, 64)
		hi, _ := strconv.ParseInt(h.header[at[4]:at[5]], 10, 64)
		most := int64(1<<15 - 1)
		if h.header[at[6]:at[7]] == "int64_t" {
			most = 1<<31 - 1
		}
		if lo < -most-1 || hi > most {
			h.change("narrower value", at[6], at[7], less[h.header[at[6]:at[7]]])
		}
	}
	for _, at := range cast.FindAllStringSubmatchIndex(h.code, -1) {
		h.change("narrower cast", at[2], at[3], less[h.code[at[2]:at[3]]])
	}
}

var (
	comment = regexp.MustCompile(`(?s)/\*.*?\*/|"[^"\n]*"`)
	guard   = regexp.MustCompile(`(?s)typedef char \w+\[.*?\];`)
)

// masked is the header with blanks in place of comments, strings, guards, directives but for definitions, and code that this
// host does not compile.
func masked(header string) string {
	blank := func(s string) string { return regexp.MustCompile(`[^\n]`).ReplaceAllString(s, " ") }
	text := guard.ReplaceAllStringFunc(comment.ReplaceAllStringFunc(header, blank), blank)
	var out strings.Builder
	var away []bool // of each condition that is open: this branch is for another processor
	continued := false
	for line := range strings.Lines(text) {
		directive := strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(directive, "#if"):
			away = append(away, strings.Contains(line, "__AVR") || strings.Contains(line, "__ARM"))
		case strings.HasPrefix(directive, "#else") && len(away) > 0:
			away[len(away)-1] = false
		case strings.HasPrefix(directive, "#endif") && len(away) > 0:
			away = away[:len(away)-1]
		}
		define := strings.HasPrefix(directive, "#define") && !strings.Contains(line, "(") && !strings.Contains(line, "STAMP")
		if (strings.HasPrefix(directive, "#") && !define) || continued || slices.Contains(away, true) {
			out.WriteString(blank(line))
		} else {
			out.WriteString(line)
		}
		continued = strings.HasSuffix(strings.TrimRight(line, "\n"), "\\")
	}
	return out.String()
}
