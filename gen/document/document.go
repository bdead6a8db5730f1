// Package document holds what is known of a controller as headings, sentences, tables and pictures. Each thing is said once, with its tone;
// a text for terminals, a page for browsers and JSON for programs are three renderings of it.
package document

import (
	"fmt"

	"gainwright/model/finding"
)

// Document is what is known of one subject. Every JSON begins with its first three fields.
type Document struct {
	Tool    string // and its version
	Spec    Spec
	Verdict Tone
	Data    Object // what programs read besides: tables of Parts, and figures
	Parts   []Part
}

// Spec names what was read.
type Spec struct {
	File       string  `json:"file"`
	SHA256     string  `json:"sha256"`
	Controller string  `json:"controller"`
	About      string  `json:"about"`
	RateHz     float64 `json:"rate_hz"`
	Target     string  `json:"target"`
}

// Tone is what a thing that is said means to its reader. Who makes the sentence says it; it is never told from the words.
type Tone string

// The tones, in the words of the verdicts. Errors are bad, warnings ask for care.
const (
	Neutral Tone = ""
	Good    Tone = "good"
	Caution Tone = "warnings"
	Bad     Tone = "errors"
)

// Part is one thing that is said.
type Part interface {
	Kind() string // what the page's template calls it
	text(p *Paper)
}

// Chapter is a section of the page. A text does not name it: its tables bear titles.
type Chapter struct {
	ID, Title string
	Tone      Tone // of what is set apart as a whole, such as the verdict
	Parts     []Part
}

// Heading stands above what has no title of its own.
type Heading string

// Gap is an empty line of a text; what follows stands at its margin.
type Gap struct{}

// Findings are things said about places of a spec.
type Findings finding.List

// List is a list of short texts.
type List []string

// Sentence is running text: one sentence, or a few. It is folded to the width of a text, and indented below a heading or a table.
type Sentence struct {
	Text string
	Tone Tone
	form form
}

// form is where a sentence stands otherwise.
type form int

const (
	running form = iota
	line         // at the margin, on one line whatever its length
	note         // below a table, on one line
	aside        // on the page alone
)

// Say makes a neutral sentence.
func Say(format string, args ...any) Sentence { return Sentence{Text: fmt.Sprintf(format, args...)} }

// Line makes one that stays on one line whatever its length: a title, a verdict.
func Line(format string, args ...any) Sentence {
	return Sentence{fmt.Sprintf(format, args...), Neutral, line}
}

// Note makes one that explains the table above it.
func Note(format string, args ...any) Sentence {
	return Sentence{fmt.Sprintf(format, args...), Neutral, note}
}

// Aside makes one for the page alone: it explains what a terminal has no room for.
func Aside(format string, args ...any) Sentence {
	return Sentence{fmt.Sprintf(format, args...), Neutral, aside}
}

// Judge makes the sentence of a verdict: good, or bad.
func Judge(isGood bool, text string) Sentence {
	return Sentence{text, map[bool]Tone{true: Good, false: Bad}[isGood], line}
}

// Figures are pictures with a heading.
type Figures struct {
	Title    string
	Pictures []Picture
}

// Plot draws itself as SVG, in which all texts are escaped.
type Plot interface{ SVG() (string, error) }

// Picture is one plot. It is drawn where a rendering shows it.
type Picture struct {
	Plot    Plot
	Caption string
}

// Kind and its like name the parts for the page.
func (Chapter) Kind() string  { return "chapter" }
func (Heading) Kind() string  { return "heading" }
func (Gap) Kind() string      { return "gap" }
func (Findings) Kind() string { return "findings" }
func (List) Kind() string     { return "list" }
func (Sentence) Kind() string { return "sentence" }
func (Figures) Kind() string  { return "figures" }
func (*Table) Kind() string   { return "table" }
