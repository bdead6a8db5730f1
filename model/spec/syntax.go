package spec

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"gainwright/model/finding"
)

// syntaxMistake is a complaint of the YAML parser in words for people.
type syntaxMistake struct {
	pos                   finding.Pos
	rule, message, remedy string
	because               []string
}

// syntaxMessage puts the parser's problem, found at the byte at, into words.
func (r *reader) syntaxMessage(src []byte, at int, problem string) syntaxMistake {
	m := syntaxMistake{rule: "yaml-syntax", pos: r.offset(src, at)}
	var here byte
	if at < len(src) {
		here = src[at]
	}
	switch {
	case strings.HasPrefix(problem, "exceeded max depth"):
		m.rule = "too-deep"
		m.message = fmt.Sprintf("lists and maps stand more than %d deep inside one another", maxDepth)
		m.remedy = "a flatter form; no key of a spec needs more than four levels"
	case strings.HasPrefix(problem, "unknown anchor"):
		m.rule = "yaml-alias"
		m.message = "*name refers to another place of the text; a spec says each value where it is used"
		m.remedy = "the value itself"
	case strings.Contains(problem, "incompatible YAML document"), strings.Contains(problem, "directive"):
		m.message = "a % directive; a spec is plain YAML without directives"
		m.remedy = "the file without this line"
	case here == '\t':
		m.message = "a tab; YAML allows only spaces before a key"
		m.remedy = "two spaces for each level"
	case problem == "mapping values are not allowed in this context" && r.lacksColon(m.pos.Line) != "":
		key := r.lacksColon(m.pos.Line)
		m.pos.Col = strings.Index(string(r.lines[m.pos.Line-1]), key) + 1
		m.message = fmt.Sprintf("expected a colon and a space between %s and what stands behind it", quote(key))
		m.remedy = key + ": {"
	case problem == "mapping values are not allowed in this context":
		m.message = "a colon inside a text, or a key indented below a value"
		m.remedy = "quotes around a text that holds a colon (about: \"Cart: keeps level\"), or the key under its neighbours"
	case strings.HasPrefix(problem, "did not find expected ','"):
		closing := problem[len(problem)-2 : len(problem)-1]
		if line := r.line(m.pos.Line); strings.Contains(line, ";") {
			m.pos.Col = strings.Index(line, ";") + 1
			m.message, m.remedy = "a semicolon", "a comma between neighbours, in place of each ;"
			break
		} else if not := notForm.FindStringSubmatchIndex(line); not != nil {
			m.pos.Col = not[2] + 1
			m.message, m.remedy = "a text beginning with !, which names a type in YAML", "not "+line[not[4]:not[5]]
			break
		}
		m.message = fmt.Sprintf("expected a comma or %s before this", closing)
		m.remedy = fmt.Sprintf("a comma between neighbours, %s behind the last", closing)
		if open := openBrackets(src[:at]); len(open) > 0 {
			last := open[len(open)-1]
			pos := r.offset(src, last)
			if pos.Line == m.pos.Line {
				m.because = []string{fmt.Sprintf("%c was opened at column %d", src[last], pos.Col)}
				break
			}
			// The text ran on into the next key: the bracket is the better place.
			m.pos, m.message = pos, fmt.Sprintf("%c is opened here and not closed before line %d", src[last], m.pos.Line)
		}
	case plainMistakes[problem].message != "":
		m.message, m.remedy = plainMistakes[problem].message, plainMistakes[problem].remedy
	case problem == "found character that cannot start any token":
		m.message = fmt.Sprintf("a text cannot begin with %c", here)
		m.remedy = "quotes around the text"
	case here == ']' || here == '}':
		m.message = fmt.Sprintf("%c closes nothing", here)
		m.remedy = "the line without it"
	case strings.HasPrefix(problem, "did not find expected key"), strings.HasPrefix(problem, "did not find expected '-'"):
		m.message = "the indentation of this line fits no line above"
		m.remedy = "the line with as many spaces before it as its neighbours have"
	default:
		m.message = "not YAML: " + strings.Trim(quote(problem), `"`)
		m.remedy = "key: value lines, as in the starters"
	}
	return m
}

// plainMistakes are problems that say all by themselves.
var plainMistakes = map[string]struct{ message, remedy string }{
	"could not find expected ':'":    {"a line without a colon where a key was expected", "key: value, with a space behind the colon"},
	"found unexpected end of stream": {"a quote is opened here and never closed", "the closing quote at the end of the text"},
	"found unknown escape character": {"an unknown escape behind \\ in a text in double quotes", "single quotes around the text, or \\\\ for a backslash"},
}

// line is a line of the source, counted from 1.
func (r *reader) line(n int) string {
	if n < 1 || n > len(r.lines) {
		return ""
	}
	return string(r.lines[n-1])
}

var (
	entryForm = regexp.MustCompile(`^\s*([A-Za-z_][A-Za-z0-9_-]*)(?: *:| *=? )?[{\[]`)
	notForm   = regexp.MustCompile(`: (!([a-z][a-z0-9_.]*))`)
)

// lacksColon is the key of a line such as smooth {kind: low_pass}, whose colon or the space behind it is missing.
func (r *reader) lacksColon(n int) string {
	m := entryForm.FindStringSubmatch(r.line(n))
	if m == nil {
		return ""
	}
	return m[1]
}

// closers are the brackets that close what is open at the end of src.
func closers(src []byte) []byte {
	var out []byte
	for _, at := range slices.Backward(openBrackets(src)) {
		out = append(out, src[at]+2) // ] and } stand two behind [ and { in ASCII
	}
	return out
}

// openBrackets finds the brackets that are still open at the end of src, outermost first. It knows quotes and
// comments well enough for a hint.
func openBrackets(src []byte) []int {
	var open []int
	var inQuote byte
	comment := false
	for i, c := range src {
		switch {
		case comment:
			comment = c != '\n'
		case inQuote != 0:
			if c == inQuote {
				inQuote = 0
			}
		case c == '#' && (i == 0 || src[i-1] == ' ' || src[i-1] == '\n'):
			comment = true
		case (c == '"' || c == '\'') && i > 0 && strings.IndexByte(" [{,:", src[i-1]) >= 0:
			inQuote = c
		case c == '[' || c == '{':
			open = append(open, i)
		case len(open) > 0 && c == src[open[len(open)-1]]+2:
			open = open[:len(open)-1]
		}
	}
	return open
}
