package document

import (
	"fmt"
	"io"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/finding"
)

// Paper is where a text is written: plain, or with colours.
type Paper struct {
	io.Writer
	Colour bool
	Minor  bool   // show minor rows of tables
	indent string // of sentences: what stands below a heading or a table is indented
}

// Print writes parts one after the other.
func (p *Paper) Print(parts ...Part) {
	for _, part := range parts {
		part.text(p)
	}
}

func (p *Paper) line(text string) { fmt.Fprintln(p, text) }

// tints are the colours of a terminal: bold, and red, green, yellow.
var tints = map[Tone]string{Good: "1;32", Caution: "1;33", Bad: "1;31"}

func (p *Paper) tint(code, text string) string {
	if !p.Colour || code == "" || text == "" {
		return text
	}
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}

func (c Chapter) text(p *Paper) { p.Print(c.Parts...) }

func (Figures) text(*Paper) {}

func (Gap) text(p *Paper) {
	p.line("")
	p.indent = ""
}

func (h Heading) text(p *Paper) {
	p.line("\n" + p.tint("1", string(h)))
	p.indent = "  "
}

func (s Sentence) text(p *Paper) {
	switch s.form {
	case aside:
	case running:
		for _, line := range contract.Wrap(p.indent, s.Text) {
			p.line(p.tint(tints[s.Tone], line))
		}
	default:
		p.line(map[form]string{note: "  "}[s.form] + p.tint(tints[s.Tone], s.Text))
	}
}

func (l List) text(p *Paper) {
	for _, text := range l {
		p.line("    " + text)
	}
}

var severities = map[finding.Severity]string{finding.Error: "1;31", finding.Warning: "1;33", finding.Note: "1;36"}

// text prints each finding with its place, reasons and remedy.
func (list Findings) text(p *Paper) {
	for _, f := range list {
		mark := ": " + string(f.Severity) + ": "
		p.line(strings.Replace(f.String(), mark, ": "+p.tint(severities[f.Severity], string(f.Severity))+": ", 1))
	}
}

func (t *Table) text(p *Paper) {
	if t.Title != "" {
		p.Print(Heading(t.Title))
	}
	p.indent = "  "
	shown := t.shown()
	var lines [][]Cell
	labels, some := make([]Cell, len(t.Columns)), false
	for i, c := range t.Columns {
		labels[i].Text, some = c.Label, some || c.Label != ""
	}
	if some && !t.Bare {
		lines = append(lines, labels)
	}
	heads := len(lines)
	for _, r := range t.Rows {
		if !r.Minor || p.Minor {
			lines = append(lines, r.Cells)
		}
	}
	if len(lines) == heads {
		return
	}
	width := make([]int, len(t.Columns))
	for _, l := range lines {
		for i, c := range l {
			width[i] = max(width[i], len(c.Text))
		}
	}
	for _, l := range lines {
		text := ""
		for _, i := range shown {
			pad, cell := strings.Repeat(" ", width[i]-len(l[i].Text)), p.tint(tints[l[i].Tone], l[i].Text)
			if t.Columns[i].Right {
				text += "  " + pad + cell
			} else {
				text += "  " + cell + pad
			}
		}
		p.line(strings.TrimRight(text, " "))
	}
}
