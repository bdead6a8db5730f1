package spec

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"gainwright/model/finding"
)

// value turns a YAML node into a Value and applies the rules that hold everywhere: no anchors, aliases, merge
// keys or tags, bounded depth and length, printable ASCII, no key twice.
func (r *reader) value(n *yaml.Node, path string, depth int) Value {
	v := Value{Pos: r.place(n.Line, n.Column), Quoted: n.Style&^yaml.TaggedStyle&^yaml.FlowStyle != 0}
	say := func(rule, remedy, message string, args ...any) {
		r.fault(finding.Finding{Pos: v.Pos, Rule: rule, Key: path, Message: fmt.Sprintf(message, args...), Remedy: remedy})
	}
	if n.Anchor != "" {
		say("yaml-anchor", "the value alone, here and where it is used", "&%s names a place of the text; a spec has no such names",
			strings.Trim(quote(n.Anchor), `"`))
	}
	if n.Style&yaml.TaggedStyle != 0 || r.startsWith(v.Pos, "!") {
		say("yaml-tag", "the value alone", "a type tag beginning with !; a spec needs none")
	}
	switch n.Kind {
	case yaml.AliasNode:
		say("yaml-alias", "the value itself", "*%s refers to another place of the text; a spec says each value where it is used",
			strings.Trim(quote(n.Value), `"`))
		v.Shape = Refused
	case yaml.ScalarNode:
		v.Text = n.Value
		if n.Style&yaml.FoldedStyle != 0 { // the line end behind a text of several lines is no part of it
			v.Text = strings.ReplaceAll(strings.TrimRight(v.Text, "\n"), "\n", " ") // nor those before lines that stand further in
		}
		if !r.goodText(v, path) {
			v.Text, v.Shape = plainText(v.Text)
		}
	case yaml.SequenceNode, yaml.MappingNode:
		v.Shape = List
		if n.Kind == yaml.MappingNode {
			v.Shape = Map
		}
		if depth > maxDepth {
			say("too-deep", "a flatter form; no key of a spec needs more than four levels",
				"lists and maps stand more than %d deep inside one another", maxDepth)
			return Value{Pos: v.Pos, Shape: Refused}
		}
		if v.Shape == Map {
			v.Pairs = r.pairs(n, path, depth)
			break
		}
		for i, c := range n.Content {
			v.Items = append(v.Items, r.value(c, fmt.Sprintf("%s[%d]", path, i+1), depth+1))
		}
	}
	return v
}

// pairs reads the keys of a map. A key written again is reported and left out.
func (r *reader) pairs(n *yaml.Node, path string, depth int) []Arg {
	var out []Arg
	first, opens := map[string]int{}, false
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, pos := n.Content[i], r.place(n.Content[i].Line, n.Content[i].Column)
		say := func(rule, key, remedy, message string, args ...any) {
			r.fault(finding.Finding{Pos: pos, Rule: rule, Key: key, Message: fmt.Sprintf(message, args...), Remedy: remedy})
		}
		key := r.value(k, path, depth+1)
		switch {
		case key.Shape == Refused || key.Text != k.Value && k.Kind == yaml.ScalarNode: // has been said
			continue
		case key.Shape != Scalar:
			say("bad-key", path, "one word before the colon", "%s stands where a key was expected", shapeName(key))
			continue
		case k.Tag == "!!merge":
			say("yaml-merge", path, "the keys themselves", "<< merges the keys of another map; a spec says each key where it is used")
			continue
		case key.Text == "":
			say("bad-key", path, "a key before the colon", "no key stands before the colon")
			continue
		}
		inner := join(path, key.Text)
		if i >= 2 && n.Style&yaml.FlowStyle != 0 && Reads(key.Text) && !opens && n.Content[i+1].Value == "" && n.Content[i+1].Kind == yaml.ScalarNode {
			// {kp: 1,5} is kp: 1 and a key 5.
			remedy := "a decimal point instead of the comma, or the name of a key"
			if last := len(out) - 1; last >= 0 && wholeForm.MatchString(out[last].Value.Text) && wholeForm.MatchString(strings.Fields(key.Text + " ")[0]) {
				out[last].Value.Text += "." + key.Text // nothing more is said of it because of the comma
				remedy = out[last].Value.Text + ", with a point for the comma"
			}
			say("decimal-comma", join(path, n.Content[i-2].Value), remedy, "a comma ends the value, so that %s stands alone", key.Text)
			continue
		}
		if line, twice := first[key.Text]; twice {
			say("duplicate-key", inner, "one of the two", "this key was already given at line %d; each key is given once", line)
			// Its value is walked all the same, so that what is wrong inside is said in this reading.
			r.value(n.Content[i+1], inner, depth+1)
			continue
		}
		first[key.Text] = pos.Line
		if v := n.Content[i+1]; v.Kind == yaml.ScalarNode {
			opens = opens || strings.Count(v.Value, "(") > strings.Count(v.Value, ")") // {value: max(a, 0)} without quotes: package steps tells of it
		}
		out = append(out, Arg{Key: key.Text, Pos: pos, Value: r.value(n.Content[i+1], inner, depth+1)})
	}
	return out
}

// goodText applies the rules for every text: short, one line of printable ASCII. Texts end in comments of C and
// Go, where a line end or an invisible character would do harm.
func (r *reader) goodText(v Value, path string) bool {
	if len(v.Text) > maxScalar {
		r.fault(finding.Finding{Pos: v.Pos, Rule: "too-long", Key: path,
			Message: fmt.Sprintf("a text of %d bytes; at most %d are allowed", len(v.Text), maxScalar), Remedy: "a shorter text"})
		return false
	}
	at := strings.IndexFunc(v.Text, func(c rune) bool { return c < ' ' || c > '~' })
	if at < 0 {
		return true
	}
	c, _ := utf8.DecodeRuneInString(v.Text[at:])
	f := finding.Finding{Pos: v.Pos, Rule: "bad-character", Key: path, Remedy: inASCII(v.Text)}
	what := fmt.Sprintf("character U+%04X", c)
	switch {
	case c == '\n':
		what = "a line end"
	case c == '\t':
		what = "a tab"
	case c < ' ' || c == 0x7F:
		what = fmt.Sprintf("control character U+%04X", c)
	}
	nth := utf8.RuneCountInString(v.Text[:at])
	if col, ok := r.column(v, nth); ok {
		f.Pos.Col = col
		f.Message = fmt.Sprintf("%s at column %d; a text is one line of printable ASCII", what, col)
	} else {
		f.Message = fmt.Sprintf("%s as character %d of the text; a text is one line of printable ASCII", what, nth+1)
	}
	r.fault(f)
	return false
}

// wholeForm is what can stand beside a decimal comma.
var wholeForm = regexp.MustCompile(`^[+-]?\d+$`)

// plainText is what most likely stands for a text with strange characters; where there is nothing, the text is refused.
func plainText(text string) (string, Shape) {
	if plain := inASCII(text); len(text) <= maxScalar && plain != noPlainText {
		return plain, Scalar
	}
	return text, Refused
}

// Guessed tells whether the reading goes on with what a text most likely says: one with strange characters, or with a decimal comma.
func Guessed(rule string) bool { return rule == "bad-character" || rule == "decimal-comma" }

// ofText are rules for what a single text says.
var ofText = map[string]bool{"not-a-number": true, "bad-number": true, "bad-quantity": true, "wrong-unit": true, "unit-mismatch": true, "missing-unit": true,
	"not-a-time": true, "not-a-frequency": true, "bad-rate": true, "bad-accuracy": true, "bad-format": true, "two-meanings": true}

// Settled makes one finding of two on one text: how it is written, and that what it most likely says is wrong, too. What to write
// instead is told by the second.
func Settled(found finding.List) finding.List {
	at := func(f finding.Finding) string {
		key, _, _ := strings.Cut(f.Key, "[")
		return fmt.Sprint(key, " ", f.Pos.Line)
	}
	strange := map[string]int{}
	var out finding.List
	for _, f := range found {
		if Guessed(f.Rule) {
			strange[at(f)] = len(out)
		}
		if i, ok := strange[at(f)]; ok && ofText[f.Rule] {
			out[i].Remedy, out[i].Because = f.Remedy, append(out[i].Because, f.Message)
			continue
		}
		out = append(out, f)
	}
	return out
}

// column is the column of the nth character of a text, where the source holds the text as it is.
func (r *reader) column(v Value, nth int) (int, bool) {
	for _, open := range []string{"", `"`, `'`} {
		if r.startsWith(v.Pos, open+v.Text) {
			return v.Pos.Col + len(open) + nth, true
		}
	}
	return 0, false
}

// startsWith tells whether the source has the text at the place.
func (r *reader) startsWith(pos finding.Pos, text string) bool {
	if pos.Line < 1 || pos.Line > len(r.lines) || pos.Col < 1 {
		return false
	}
	line := r.lines[pos.Line-1]
	from := pos.Col - 1
	end := from + utf8.RuneCountInString(text)
	return end <= len(line) && string(line[from:end]) == text
}

// plainSigns are ways to write what a word processor or a keyboard put in.
var plainSigns = strings.NewReplacer("\n", " ", "\t", " ", "\u00A0", " ", "\u2009", " ", "\u202F", " ",
	"\u00B0", "deg", "\u00B5", "u", "\u03BC", "u", "\u00B2", "^2", "\u00B3", "^3", "\u00B7", ".", "\u22C5", ".",
	"\u2212", "-", "\u2010", "-", "\u2011", "-", "\u2012", "-", "\u2013", "-", "\u2014", "-",
	"\u2018", "'", "\u2019", "'", "\u201C", "'", "\u201D", "'", "\u2026", "...", "\u00D7", "x", "\u03A9", "Ohm", "\u2126", "Ohm",
	"\u00E4", "ae", "\u00F6", "oe", "\u00FC", "ue", "\u00DF", "ss", "\u00E9", "e", "\u00E8", "e")

const noPlainText = "the text with letters a-z, digits and the signs of an English keyboard"

// inASCII proposes a text without its strange characters.
func inASCII(text string) string {
	plain := strings.TrimSpace(plainSigns.Replace(text))
	if plain == "" || strings.ContainsFunc(plain, func(c rune) bool { return c < ' ' || c > '~' }) {
		return noPlainText
	}
	if m := gluedForm.FindStringSubmatch(plain); m != nil && plain != text && CheckUnit(m[2]) == nil {
		return m[1] + " " + m[2]
	}
	return plain
}
