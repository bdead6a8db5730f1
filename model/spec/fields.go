package spec

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gainwright/model/finding"
)

// entry is a key of the spec with its path and what it stands for.
type entry struct {
	what  string // with article, such as "an input"
	path  string
	key   string
	pos   finding.Pos // of the key
	value Value
}

// say reports an error at the key.
func (r *reader) say(e entry, rule, remedy, message string, args ...any) {
	r.fault(finding.Finding{Pos: e.pos, Rule: rule, Key: e.path, Message: fmt.Sprintf(message, args...), Remedy: remedy})
}

// sayValue reports an error at the value.
func (r *reader) sayValue(e entry, rule, remedy, message string, args ...any) {
	e.pos = e.value.Pos
	r.say(e, rule, remedy, message, args...)
}

// fields are the keys of a map, in any order.
type fields struct {
	of    entry
	all   map[string]entry
	meant map[string]bool // keys that a misspelt key was taken for
}

// fields splits a map into its keys and reports those that are not known. The sample shows the map's form.
func (r *reader) fields(e entry, sample string, known ...string) (fields, bool) {
	f := fields{of: e, all: map[string]entry{}, meant: map[string]bool{}}
	pairs, ok := r.asMap(e, sample)
	for _, p := range pairs {
		inner := entry{what: "the key", path: join(e.path, p.Key), key: p.Key, pos: p.Pos, value: p.Value}
		if slices.Contains(known, p.Key) {
			f.all[p.Key] = inner
			continue
		}
		f.meant[r.unknownKey(inner, e.what, known, pairs)] = true
	}
	return f, ok
}

// unknownKey reports a key that is not known and returns the one that was meant, if it can be told.
func (r *reader) unknownKey(e entry, owner string, known []string, beside []Arg) string {
	list := strings.Join(known, ", ")
	if key, value, glued := Glued(Arg{Key: e.key, Value: e.value}); glued && slices.Contains(known, key) {
		r.say(e, "unknown-key", key+": "+value, "expected a colon and a space behind the key")
		return key
	}
	key, remedy := r.meantKey(e, owner, known, beside)
	if why := leftOut[Plain(e.key)]; remedy == "" && why != "" {
		key, remedy = "", "leave it out: "+why
	}
	r.say(e, "unknown-key", cmp.Or(remedy, key, "leave it out, or put it behind a # as a comment"), "unknown key; %s has %s", owner, list)
	return key
}

// need returns a key that must be there, and reports its absence. The sample is a whole line.
func (r *reader) need(f fields, key, sample string) (entry, bool) {
	e, ok := f.all[key]
	if !ok && !f.meant[key] {
		missing := entry{path: join(f.of.path, key), pos: f.of.pos}
		r.say(missing, "missing-key", sample, "%s needs the key %s", f.of.what, key)
	}
	return e, ok
}

// asMap returns the pairs of a map and reports any other shape. The sample is a whole entry.
func (r *reader) asMap(e entry, sample string) ([]Arg, bool) {
	switch {
	case e.value.Shape == Map:
		return e.value.Pairs, true
	case e.value.Shape == Refused:
	case nothing(e.value):
		r.say(e, "missing-value", sample, "nothing stands behind the key; expected a map")
	default:
		r.sayValue(e, "wrong-shape", sample, "expected a map, found %s", shapeName(e.value))
	}
	return nil, false
}

// asText returns a scalar and reports any other shape. Want names what was expected; the sample is a value.
func (r *reader) asText(e entry, want, sample string) (string, bool) {
	switch {
	case e.value.Shape == Refused:
	case e.value.Shape != Scalar:
		r.sayValue(e, "wrong-shape", sample, "expected %s, found %s", want, shapeName(e.value))
	case e.value.Text == "":
		r.say(e, "missing-value", e.key+": "+sample, "nothing stands behind the key; expected %s", want)
	default:
		return e.value.Text, true
	}
	return "", false
}

// asChoice returns a scalar that is one of the words, and reports any other. Hints say what to write for words
// that people take from elsewhere; the one for the empty word holds where nothing else is known.
func (r *reader) asChoice(e entry, rule string, hints map[string]string, words ...string) (string, bool) {
	want := "one of " + strings.Join(words, ", ")
	text, ok := r.asText(e, want, words[0])
	if !ok || slices.Contains(words, text) {
		return text, ok
	}
	remedy := hints[strings.ToLower(text)]
	if remedy == "" {
		remedy = cmp.Or(r.nearest(strings.ToLower(text), words), hints[""])
	}
	r.sayValue(e, rule, remedy, "expected %s, found %s", want, quote(text))
	return "", false
}

// section returns the entries of one section of the spec, each a key with its value.
func (r *reader) section(f fields, key, sample string, needed bool) []entry {
	e, ok := f.all[key]
	if !ok {
		if needed {
			r.partial = true
			r.need(f, key, key+":, then lines such as "+sample)
		}
		return nil
	}
	pairs, ok := r.asMap(e, sample)
	if !ok || len(pairs) > maxEntries {
		r.partial = true
	}
	if needed && e.value.Shape == Map && len(pairs) == 0 {
		r.say(e, "missing-value", sample, "the section is empty; expected at least one entry")
	}
	if len(pairs) > maxEntries {
		r.say(e, "too-many", "fewer entries, or several controllers", "%d entries; at most %d are read", len(pairs), maxEntries)
		pairs = pairs[:maxEntries]
	}
	var out []entry
	for _, p := range pairs {
		out = append(out, entry{path: join(key, p.Key), key: p.Key, pos: p.Pos, value: p.Value})
	}
	return out
}

// nothing tells whether a key was written without a value.
func nothing(v Value) bool { return v.Shape == Scalar && v.Text == "" && !v.Quoted }

// shapeName names a value's shape for a message, with article.
func shapeName(v Value) string {
	switch v.Shape {
	case List:
		return "a list"
	case Map:
		return "a map"
	}
	return "the text " + quote(v.Text)
}
