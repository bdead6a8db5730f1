package lint_test

import (
	"regexp"
	"strings"

	"gainwright/model/finding"
)

// literal is what of a remedy is to be written as it stands: it ends where words begin that give a reason or another choice.
func literal(remedy string) string {
	depth := 0
	for i := range len(remedy) {
		switch c := remedy[i]; {
		case c == '[' || c == '{':
			depth++
		case c == ']' || c == '}':
			depth--
		case depth == 0 && (strings.HasPrefix(remedy[i:], ", ") || strings.HasPrefix(remedy[i:], "; ") || strings.HasPrefix(remedy[i:], " or ") ||
			strings.HasPrefix(remedy[i:], " (")):
			return remedy[:i]
		}
	}
	return remedy
}

var (
	pairForm   = regexp.MustCompile(`^([a-z_][a-z0-9_.]*): (.+)$`)
	atStepForm = regexp.MustCompile(`^(unit: [^,]+), at the step ([a-z0-9_]+)$`)
)

// applied is a spec with the remedy of a finding written where the finding points: a key or a value replaced, a key put into the map that lacks it, or
// taken out.
func applied(src string, f finding.Finding) string {
	at := 0
	for range f.Pos.Line - 1 {
		at += strings.IndexByte(src[at:], '\n') + 1
	}
	at += f.Pos.Col - 1
	if m := atStepForm.FindStringSubmatch(f.Remedy); m != nil {
		head := "  " + m[2] + ": {"
		step := strings.Index(src, head)
		if old := strings.Index(src[step:], "unit: "); old >= 0 && old < strings.IndexByte(src[step:], '\n') {
			return src[:step+old] + m[1] + src[valueEnd(src, step+old+6):]
		}
		return strings.Replace(src, head, head+m[1]+", ", 1)
	}
	isKey := keyEnd(src, at) > 0
	start := at // of the key whose value stands here, or of the key itself
	if !isKey {
		for start > 0 && !strings.ContainsRune(",{[\n", rune(src[start-1])) {
			start--
		}
		for src[start] == ' ' {
			start++
		}
	}
	pairEnd := valueEnd(src, at)
	if end := keyEnd(src, at); isKey {
		pairEnd = valueEnd(src, end)
	}
	text := literal(f.Remedy)
	if strings.HasPrefix(f.Remedy, "leave it out") {
		rest := strings.TrimLeft(src[pairEnd:], " ")
		if strings.HasPrefix(rest, ",") {
			return src[:start] + strings.TrimLeft(rest[1:], " ")
		}
		return strings.TrimRight(src[:start], ", ") + src[pairEnd:]
	}
	pair := pairForm.FindStringSubmatch(text)
	switch {
	case pair == nil && isKey:
		return src[:at] + text + src[keyEnd(src, at)-1:]
	case pair == nil:
		return src[:at] + text + src[valueEnd(src, at):]
	case isKey && f.Pos.Line > 1 && strings.HasPrefix(strings.TrimLeft(src[keyEnd(src, at):], " "), "{") && !strings.HasSuffix(f.Key, "."+src[at:keyEnd(src, at)-1]+"."+pair[1]) && lacks(f.Rule):
		open := at + strings.IndexByte(src[at:], '{') + 1
		return src[:open] + text + ", " + src[open:]
	case isKey && strings.HasPrefix(strings.TrimLeft(src[keyEnd(src, at):], " "), "{") && strings.HasSuffix(f.Key, "."+pair[1]) && src[at:keyEnd(src, at)-1] != pair[1]:
		open := at + strings.IndexByte(src[at:], '{') + 1
		return src[:open] + text + ", " + src[open:]
	case lacks(f.Rule) && src[start:min(start+len(pair[1]), len(src))] != pair[1]: // beside the key that it points at
		return src[:start] + text + ", " + src[start:]
	case f.Pos.Line == 1 && f.Rule == "missing-key":
		return text + "\n" + src
	}
	return src[:start] + text + src[pairEnd:]
}

// lacks tells whether a rule misses a key, and so points at what should have it.
func lacks(rule string) bool {
	switch rule {
	case "missing-key", "one-of", "no-gain", "integral-without-limit", "error-on-circle":
		return true
	}
	return false
}

// keyEnd is the place behind the colon of a key that stands at a place; 0: none does.
func keyEnd(src string, at int) int {
	for i := at; i < len(src); i++ {
		switch c := src[i]; {
		case c == ':' && (i+1 == len(src) || src[i+1] == ' ' || src[i+1] == '\n'):
			return i + 1
		case strings.IndexByte(",{}[]\n", c) >= 0:
			return 0
		}
	}
	return 0
}

// valueEnd is the place behind a value.
func valueEnd(src string, at int) int {
	depth := 0
	for i := at; i < len(src); i++ {
		switch src[i] {
		case '[', '{':
			depth++
		case ']', '}':
			if depth == 0 {
				return i
			}
			depth--
		case ',':
			if depth == 0 {
				return i
			}
		case '\n':
			if depth == 0 {
				return i
			}
		}
	}
	return len(src)
}
