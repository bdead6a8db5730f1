package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/mattn/go-isatty"

	"gainwright/model/finding"
)

// paper is where a command writes: with colours on a terminal, without them anywhere else or where
// NO_COLOR is set.
type paper struct {
	io.Writer
	terminal, colour bool
}

func newPaper(w io.Writer) *paper {
	terminal := isTerminal(w)
	return &paper{w, terminal, terminal && os.Getenv("NO_COLOR") == ""}
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd()) && os.Getenv("TERM") != "dumb"
}

func (p *paper) line(format string, args ...any) { fmt.Fprintf(p, format+"\n", args...) }

// heading starts a part.
func (p *paper) heading(format string, args ...any) {
	p.line("\n%s", p.tint("1", fmt.Sprintf(format, args...)))
}

func (p *paper) tint(code, text string) string {
	if !p.colour {
		return text
	}
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}

var tints = map[finding.Severity]string{finding.Error: "1;31", finding.Warning: "1;33", finding.Note: "1;36"}

// findings prints each finding with its place, reasons and remedy.
func (p *paper) findings(list finding.List) {
	for _, f := range list {
		mark := ": " + string(f.Severity) + ": "
		p.line("%s", strings.Replace(f.String(), mark, ": "+p.tint(tints[f.Severity], string(f.Severity))+": ", 1))
	}
}

// table prints rows in columns, the cells of a column marked > set to the right. A head without any
// text is left out.
func (p *paper) table(head string, rows [][]string) {
	if len(rows) == 0 {
		return
	}
	titles := strings.Split(head, "|")
	right, width := make([]bool, len(titles)), make([]int, len(titles))
	for i, t := range titles {
		right[i] = strings.HasPrefix(t, ">")
		titles[i] = strings.TrimPrefix(t, ">")
	}
	if strings.Join(titles, "") != "" {
		rows = append([][]string{titles}, rows...)
	}
	for _, row := range rows {
		for i, cell := range row {
			width[i] = max(width[i], len(cell))
		}
	}
	for _, row := range rows {
		line := ""
		for i, cell := range row {
			pad := strings.Repeat(" ", width[i]-len(cell))
			if right[i] {
				cell = pad + cell
			} else {
				cell += pad
			}
			line += "  " + cell
		}
		p.line("%s", strings.TrimRight(line, " "))
	}
}
