package spec

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"gainwright/model/finding"
)

// parse turns the source into a tree that has passed the rules for every text of a spec.
func (r *reader) parse(src []byte) (Value, bool) {
	if len(src) > maxSource {
		r.refuse(1, 1, "too-large", "one controller a file, without recorded data", "the spec has %d bytes; at most %d (256 KiB) are read", len(src), maxSource)
		return Value{}, false
	}
	if !r.checkCharacters(src) {
		return Value{}, false
	}
	// Lines end in \n, \r\n or a lone \r for YAML.
	text := strings.TrimPrefix(strings.ReplaceAll(strings.ReplaceAll(string(src), "\r\n", "\n"), "\r", "\n"), "\uFEFF")
	for line := range strings.SplitSeq(text, "\n") {
		r.lines = append(r.lines, []rune(line))
	}

	dec := yaml.NewDecoder(bytes.NewReader(src))
	var doc, next yaml.Node
	err := decode(dec, &doc)
	if err == io.EOF || (err == nil && empty(&doc)) {
		r.refuse(1, 1, "empty-spec", "controller: cart, then rate, inputs, steps and outputs", "the spec holds nothing but white space or comments")
		return Value{}, false
	}
	if err == nil {
		if err = decode(dec, &next); err == io.EOF {
			return r.value(doc.Content[0], "", 1), true
		}
	}
	if err != nil {
		r.syntaxFault(src, err)
		return Value{}, false
	}
	r.refuse(next.Line, next.Column, "several-documents", "the second controller into a file of its own, without the line ---",
		"a second YAML document begins here; a file holds one controller")
	return r.value(doc.Content[0], "", 1), true
}

// refuse reports an error at a place of the text.
func (r *reader) refuse(line, col int, rule, remedy, message string, args ...any) {
	r.fault(finding.Finding{Pos: r.place(line, col), Rule: rule, Message: fmt.Sprintf(message, args...), Remedy: remedy})
}

// empty tells whether a document has no content but comments.
func empty(doc *yaml.Node) bool {
	return len(doc.Content) == 0 || doc.Content[0].Kind == yaml.ScalarNode && doc.Content[0].Tag == "!!null"
}

// decode reads one document. The parser gives up on some texts with a panic of its own making.
func decode(dec *yaml.Decoder, node *yaml.Node) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = errors.New("yaml: the text confuses the YAML parser")
		}
	}()
	return dec.Decode(node)
}

// mostCharacters is how many bad characters are named.
const mostCharacters = 10

// checkCharacters refuses bytes that an editor does not show or shows as something else. YAML takes some of
// them for line ends, which would make all later line numbers wrong.
func (r *reader) checkCharacters(src []byte) bool {
	line, col, good := 1, 0, true
	for i := 0; i < len(src); {
		if len(r.found) > mostCharacters { // the file is no text, and more of them say nothing new
			break
		}
		c, size := utf8.DecodeRune(src[i:])
		col++
		switch {
		case c == '\n', c == '\r' && !bytes.HasPrefix(src[i+1:], []byte("\n")):
			line, col = line+1, 0
		case c == '\uFEFF' && i == 0:
			col = 0
		case c == utf8.RuneError && size == 1:
			r.refuse(line, col, "bad-character", "the file again, saved as UTF-8", "byte 0x%02X is not UTF-8 text", src[i])
			good = false
		case c < ' ' && c != '\t' && c != '\r', c >= 0x7F && c < 0xA0, c == 0x2028, c == 0x2029, c == 0xFEFF, c > 0xFFFD && c < 0x10000:
			r.refuse(line, col, "bad-character", "the line without it", "character U+%04X is a control character", c)
			good = false
		}
		i += size
	}
	return good
}

// syntaxFault reports that the source is no YAML. The parser gives a line at best, often a wrong one, so the
// place is searched: the shortest beginning of the source that fails with the same words.
func (r *reader) syntaxFault(src []byte, err error) {
	// Brackets that a beginning leaves open are closed, or each cut inside them would look like the mistake.
	fails := func(n int) bool {
		dec := yaml.NewDecoder(bytes.NewReader(append(slices.Clone(src[:n]), closers(src[:n])...)))
		for {
			if e := decode(dec, new(yaml.Node)); e != nil {
				return e.Error() == err.Error()
			}
		}
	}
	good, bad := 0, len(src)
	for bad-good > 1 {
		if mid := (good + bad) / 2; fails(mid) {
			bad = mid
		} else {
			good = mid
		}
	}
	at := max(bad-1, 0)
	_, problem, _ := strings.Cut(err.Error(), "yaml: ")
	if strings.HasPrefix(problem, "line ") {
		_, problem, _ = strings.Cut(problem, ": ")
	}
	m := r.syntaxMessage(src, at, problem)
	r.fault(finding.Finding{Pos: m.pos, Rule: m.rule, Message: m.message, Because: m.because, Remedy: m.remedy})
}

// offset is the place of a byte of the source.
func (r *reader) offset(src []byte, at int) finding.Pos {
	before := strings.ReplaceAll(strings.ReplaceAll(string(src[:at]), "\r\n", "\n"), "\r", "\n")
	start := strings.LastIndexByte(before, '\n') + 1
	return r.place(strings.Count(before, "\n")+1, utf8.RuneCountInString(strings.TrimPrefix(before[start:], "\uFEFF"))+1)
}
