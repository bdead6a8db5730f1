package spec

import (
	"strings"

	"gainwright/model/finding"
)

// Place is where a step or an output stands, by its name; the file alone where there is none.
func (s *Spec) Place(name string) finding.Pos {
	of, _, _ := strings.Cut(name, ".") // a part of a step has its name before a dot
	if step := s.Step(of); step != nil {
		return step.Pos
	}
	for _, o := range s.Outputs {
		if o.Name == name {
			return o.Pos
		}
	}
	return finding.Pos{File: s.File}
}

// PlaceOf is where the value of a key stands, such as steps.effort.kp, outputs.drive.limits or inputs.gyro.counts_per_unit.
func (s *Spec) PlaceOf(key string) (finding.Pos, bool) {
	name, of, _ := strings.Cut(strings.TrimPrefix(key, "steps."), ".")
	for _, o := range s.Outputs {
		if key == "outputs."+o.Name+".limits" && o.Lo != nil {
			return o.LimitsPos, true
		}
	}
	for _, in := range s.Inputs {
		if key == "inputs."+in.Name+".counts_per_unit" {
			return in.CountsPos, true
		}
	}
	if step := s.Step(name); step != nil && step.Arg(of) != nil && strings.HasPrefix(key, "steps.") {
		return step.Arg(of).Value.Pos, true
	}
	return finding.Pos{}, false
}

// Inside is where a byte of a scalar's text stands in the source: quotes, escapes, and lines that YAML joins are walked over. Where the source
// does not hold the text, it is the place of the scalar.
func (s *Spec) Inside(v Value, at int) finding.Pos {
	w := walk{lines: s.lines, line: v.Pos.Line - 1, col: v.Pos.Col - 1}
	if !w.there() {
		return v.Pos
	}
	quote := w.here()
	switch quote {
	case '"', '\'':
		w.col++
	case '>', '|': // the text begins on the next line
		w.line, w.col = w.line+1, 0
	}
	for n, c := range []byte(v.Text) {
		if c == ' ' || c == '\n' || c == '\t' { // of any width and over any number of lines
			if n == at {
				break
			}
			continue
		}
		w.skip(quote == '"')
		if !w.there() {
			return v.Pos
		}
		if n >= at {
			break
		}
		w.step(quote)
	}
	return finding.Pos{File: v.Pos.File, Line: w.line + 1, Col: w.col + 1}
}

// walk goes through the source, counted from 0.
type walk struct {
	lines     [][]rune
	line, col int
}

func (w *walk) there() bool {
	return w.line >= 0 && w.line < len(w.lines) && w.col >= 0 && w.col <= len(w.lines[w.line])
}

// here is the sign at the place; 0 at the end of a line.
func (w *walk) here() rune {
	if w.there() && w.col < len(w.lines[w.line]) {
		return w.lines[w.line][w.col]
	}
	return 0
}

// skip goes over white space and line ends; in double quotes a backslash at the end of a line joins it with the next one.
func (w *walk) skip(double bool) {
	for w.there() {
		switch c := w.here(); {
		case c == ' ' || c == '\t':
			w.col++
		case c == 0 && w.line+1 < len(w.lines), double && c == '\\' && w.col+1 == len(w.lines[w.line]) && w.line+1 < len(w.lines):
			w.line, w.col = w.line+1, 0
		default:
			return
		}
	}
}

// escapes are the digits behind a letter that stand for one sign in double quotes.
var escapes = map[rune]int{'x': 2, 'u': 4, 'U': 8}

// step goes over one sign of the text.
func (w *walk) step(quote rune) {
	c := w.here()
	w.col++
	switch {
	case quote == '"' && c == '\\':
		w.col += 1 + escapes[w.here()]
	case quote == '\'' && c == '\'' && w.here() == '\'':
		w.col++
	}
}
