package spec

import (
	"fmt"
	"regexp"
	"strings"

	"gainwright/model/finding"
)

const maxName = 32

var (
	nameForm = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)
	plainKey = regexp.MustCompile(`^[A-Za-z0-9_.-]{1,40}$`)
)

// goodName reports a name that cannot become an identifier of C, C++ and Go. What is the kind of thing named,
// suffix a word that keeps a reserved name apart.
func (r *reader) goodName(text, path string, pos finding.Pos, what, suffix string) bool {
	f := finding.Finding{Pos: pos, Rule: "bad-name", Key: path}
	switch why, taken := reserved[text]; {
	case !nameForm.MatchString(text):
		f.Message = fmt.Sprintf("%s is no name for %s: expected small letters, digits and single underscores, a letter first", quote(text), what)
		f.Remedy = snake(text)
	case len(text) > maxName:
		f.Message = fmt.Sprintf("a name of %d characters; at most %d are allowed", len(text), maxName)
		f.Remedy = "a shorter name"
	case taken:
		f.Rule = "reserved-name"
		f.Message = fmt.Sprintf("%s is %s", text, why)
		f.Remedy = text + suffix
		if strings.ContainsAny(text, "0123456789") || strings.HasSuffix(text, "_t") {
			f.Remedy = "a name that says what it holds"
		}
	default:
		return true
	}
	r.fault(f)
	return false
}

// declare enters an input, step or output into the one name space that they share.
func (r *reader) declare(e entry, what string) {
	article, suffix := "a ", "_step"
	switch what {
	case "input":
		article, suffix = "an ", "_raw"
	case "output":
		article, suffix = "an ", "_out"
	case "constant":
		suffix = "_value"
	}
	r.goodName(e.key, e.path, e.pos, article+what, suffix)
	if first, twice := r.owners[e.key]; twice {
		first.twice = true
		r.owners[e.key] = first
		shared := "inputs, steps and outputs share"
		if first.what == "constant" || what == "constant" {
			shared = "inputs, steps, outputs and constants share"
		}
		r.say(e, "name-twice", fresh(e.key, suffix), "the %s at line %d has this name; %s one set of names", first.what, first.pos.Line, shared)
		return
	}
	r.owners[e.key] = owner{what: what, pos: e.pos}
	// pitch_2 and pitch2 are both Pitch2 in Go.
	goName := camel(e.key)
	if other, twice := r.goNames[goName]; twice {
		r.say(e, "name-twice", fresh(e.key, suffix), "%s and %s both become %s in the emitted Go", other, e.key, quote(goName))
	} else {
		r.goNames[goName] = e.key
	}
	if what == "constant" {
		return
	}
	if what != "output" {
		r.signals = append(r.signals, e.key)
	}
	if what != "input" {
		r.results = append(r.results, e.key)
	}
}

// fresh proposes another name.
func fresh(name, suffix string) string {
	if len(name)+len(suffix) > maxName {
		return "a name of its own"
	}
	return name + suffix
}

// camel writes a lower_snake name as the emitters do for Go.
func camel(name string) string {
	var b strings.Builder
	for part := range strings.SplitSeq(name, "_") {
		if part != "" {
			b.WriteString(strings.ToUpper(part[:1]) + part[1:])
		}
	}
	return b.String()
}

var (
	humps   = regexp.MustCompile(`([a-z0-9])([A-Z])`)
	strange = regexp.MustCompile(`[^a-z0-9]+`)
)

// snake proposes a good name close to a bad one.
func snake(text string) string {
	s := strings.ToLower(humps.ReplaceAllString(text, "${1}_${2}"))
	s = strings.Trim(strange.ReplaceAllString(s, "_"), "_")
	if s != text && nameForm.MatchString(s) && len(s) <= maxName && reserved[s] == "" {
		return s
	}
	return "a name such as tray_tilt"
}
