package main

import (
	"fmt"
	"io"
	"os"

	"github.com/mattn/go-isatty"

	"gainwright/gen/contract"
	"gainwright/gen/document"
	"gainwright/model/finding"
)

// paper is where a command writes: with colours on a terminal, without them anywhere else or where
// NO_COLOR is set; or JSON for programs, which no other line goes with.
type paper struct {
	document.Paper
	terminal, json bool
}

func newPaper(w io.Writer) *paper {
	terminal := isTerminal(w)
	return &paper{Paper: document.Paper{Writer: w, Colour: terminal && os.Getenv("NO_COLOR") == ""}, terminal: terminal}
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd()) && os.Getenv("TERM") != "dumb"
}

// show shows a document, and ends with an exit code of 1 where it is bad.
func (p *paper) show(d *document.Document) error {
	if p.json {
		if err := d.JSON(p); err != nil {
			return err
		}
	} else {
		p.Print(d.Parts...)
	}
	if d.Verdict == document.Bad {
		return failure{code: findings}
	}
	return nil
}

// line prints a line for people.
func (p *paper) line(format string, args ...any) {
	if !p.json {
		fmt.Fprintf(p, format+"\n", args...)
	}
}

// heading starts a part.
func (p *paper) heading(format string, args ...any) {
	p.Print(document.Heading(fmt.Sprintf(format, args...)))
}

// text prints running text, folded.
func (p *paper) text(text string) {
	for _, line := range contract.Wrap("  ", text) {
		p.line("%s", line)
	}
}

func (p *paper) findings(list finding.List) { p.Print(document.Findings(list)) }

// table prints rows of texts below a title; columns are as document.Labels reads them.
func (p *paper) table(title, columns string, rows [][]string) {
	t := &document.Table{Title: title, Columns: document.Labels(columns)}
	for _, row := range rows {
		t.AddTexts(row...)
	}
	p.Print(t)
}

// formatted takes the flag --format.
func (p *paper) formatted(as string) (*paper, error) {
	if as != "text" && as != "json" {
		return nil, wrong("--format takes text or json, not %q", as)
	}
	p.json = as == "json"
	return p, nil
}
