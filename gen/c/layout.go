package c

import (
	"strings"

	"gainwright/gen/contract"
)

const maxColumns = 100

// blockComment writes lines as a comment. Whatever the lines hold, it ends where it ends.
func blockComment(indent string, lines []string) string {
	var b strings.Builder
	b.WriteString(indent + "/*\n")
	for _, l := range lines {
		text := contract.Plain(l)
		lead := l[:len(l)-len(strings.TrimLeft(l, " "))]
		for _, part := range fold(lead+text, maxColumns-len(indent)-3, lead) {
			b.WriteString(strings.TrimRight(indent+" * "+part, " ") + "\n")
		}
	}
	b.WriteString(indent + " */\n")
	return b.String()
}

// lineComment writes a text as a comment of one line, or of more where it does not fit.
func lineComment(indent, text string) string {
	if text == "" {
		return ""
	}
	parts := fold(contract.Plain(text), maxColumns-len(indent)-6, "")
	return indent + "/* " + strings.Join(parts, "\n"+indent+" * ") + " */\n"
}

// fold cuts a line at blanks into parts of at most width columns; the later ones start with hang.
// A word longer than that stays whole.
func fold(line string, width int, hang string) []string {
	var parts []string
	for len(line) > width {
		start := len(line) - len(strings.TrimLeft(line, " "))
		at := strings.LastIndexByte(line[:width+1], ' ')
		if at <= start { // no blank: behind a bracket
			at = strings.LastIndexByte(line[:width], '(') + 1
		}
		if at <= start {
			next := strings.IndexByte(line[start:], ' ')
			if next < 0 {
				break
			}
			at = start + next
		}
		parts = append(parts, strings.TrimRight(line[:at], " "))
		line = hang + strings.TrimLeft(line[at:], " ")
	}
	return append(parts, line)
}

// columns lines up the cells of rows; the last cell is left as it is.
func columns(indent string, rows [][]string) string {
	width := map[int]int{}
	for _, r := range rows {
		for i, cell := range r[:max(len(r)-1, 0)] {
			width[i] = max(width[i], len(cell))
		}
	}
	var b strings.Builder
	for i, r := range rows {
		if i > 0 {
			b.WriteByte('\n')
		}
		line := indent
		for j, cell := range r {
			line += cell
			if j < len(r)-1 {
				line += strings.Repeat(" ", width[j]-len(cell)+2)
			}
		}
		b.WriteString(strings.TrimRight(line, " "))
	}
	return b.String()
}

// remark is a line of code with what is to be said about it.
type remark struct {
	code, text string
}

// tabulated sets lines of code with their comments behind them in one column. A comment that does not
// fit stands above its line.
func tabulated(indent string, lines []remark) string {
	const furthest = 64 // code beyond this column does not push the comments of its neighbours
	column := 0
	for _, l := range lines {
		if len(l.code) <= furthest {
			column = max(column, len(l.code))
		}
	}
	var b strings.Builder
	for _, l := range lines {
		b.WriteString(behind(indent, l, column))
	}
	return b.String()
}

// explained sets lines of code with their comments behind them in one column if all of them fit, and
// else above their lines.
func explained(indent string, lines []remark) string {
	column, fit := 0, true
	for _, l := range lines {
		column = max(column, len(l.code))
	}
	for _, l := range lines {
		fit = fit && len(indent)+column+2+len(contract.Plain(l.text))+6 <= maxColumns
	}
	var b strings.Builder
	for _, l := range lines {
		if fit {
			b.WriteString(behind(indent, l, column))
		} else {
			b.WriteString(lineComment(indent, contract.Plain(l.text)) + code(indent, l.code))
		}
	}
	return b.String()
}

// behind sets one line with its comment behind the column, or above the line where it does not fit there.
func behind(indent string, l remark, column int) string {
	text := contract.Plain(l.text)
	blanks := max(column-len(l.code), 0) + 2
	switch {
	case text == "":
		return code(indent, l.code)
	case len(indent)+len(l.code)+blanks+len(text)+6 <= maxColumns:
		return indent + l.code + strings.Repeat(" ", blanks) + "/* " + text + " */\n"
	}
	return lineComment(indent, text) + code(indent, l.code)
}

// code writes one line of code, broken at blanks where it is too long.
func code(indent, text string) string {
	if strings.HasPrefix(text, "#") {
		return text + "\n" // a directive ends where its line ends
	}
	const tied = "\x00" // stands for a blank that is no place to break a line
	text = strings.Replace(text, ") {", ")"+tied+"{", 1)
	var b strings.Builder
	for _, part := range fold(text, maxColumns-len(indent), "        ") {
		b.WriteString(indent + strings.ReplaceAll(part, tied, " ") + "\n")
	}
	return b.String()
}

// narrow folds the lines of a finished text that long names have made too long.
func narrow(text string) string {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		body := strings.TrimLeft(l, " ")
		indent := l[:len(l)-len(body)]
		hang := indent + "    "
		switch {
		case len(l) <= maxColumns || strings.HasPrefix(body, "#") || strings.HasSuffix(l, "\\"):
			continue
		case strings.HasPrefix(body, "* "):
			words := strings.TrimLeft(body[2:], " ")
			hang = indent + "* " + body[2:len(body)-len(words)]
		case strings.HasPrefix(body, "/* "):
			hang = indent + " * "
		}
		lines[i] = strings.Join(fold(l, maxColumns, hang), "\n")
	}
	return strings.Join(lines, "\n")
}
