package document

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Table is rows of cells below named columns.
type Table struct {
	Title   string
	Columns []Column
	Rows    []Row
	Rest    string // what its minor rows are, where the page folds them
	Bare    bool   // its cells speak for themselves: a text leaves the labels out
}

// Column is one column. Programs read it by its key, people by its label; without a key it is not in JSON. With a key and neither a label nor any
// text in its cells it is for programs alone.
type Column struct {
	Key, Label string
	Right      bool // set to the right, as numbers are
}

// Row is one row. What is minor is left out where space is short: a text shows it if it is asked for, a page where it is folded out.
type Row struct {
	Cells []Cell
	Minor bool
}

// Cell is one cell: a text for people and a value for programs, which leave out the key where it is nil.
type Cell struct {
	Text  string
	Tone  Tone
	Value any
	Share float64 // of a whole, from 0 to 1, drawn as a bar where there is room; 0: none
}

// Columns reads columns from a text such as "name:name|unit|asked:>asked": key and label of each, > before a label that is set to the right.
func Columns(text string) (out []Column) {
	for c := range strings.SplitSeq(text, "|") {
		key, label, _ := strings.Cut(c, ":")
		bare := strings.TrimPrefix(label, ">")
		out = append(out, Column{key, bare, bare != label})
	}
	return out
}

// Labels reads columns for people alone, such as "name|>asked".
func Labels(text string) []Column { return Columns(":" + strings.ReplaceAll(text, "|", "|:")) }

// Add adds a row.
func (t *Table) Add(cells ...Cell) { t.Rows = append(t.Rows, Row{Cells: cells}) }

// AddTexts adds a row for people alone.
func (t *Table) AddTexts(texts ...string) { t.Add(Texts(texts...)...) }

// Put adds a row of cells, and of values for programs alone: nil is none.
func (t *Table) Put(cells ...any) {
	row := make([]Cell, len(cells))
	for i, c := range cells {
		if is, ok := c.(Cell); ok {
			row[i] = is
		} else {
			row[i].Value = c
		}
	}
	t.Add(row...)
}

// Texts are cells for people alone.
func Texts(texts ...string) (out []Cell) {
	for _, t := range texts {
		out = append(out, Cell{Text: t})
	}
	return out
}

// Both is a cell with a text for people and a value for programs.
func Both(text string, value any) Cell { return Cell{Text: text, Value: value} }

// Word is a cell whose text programs read too.
func Word(text string) Cell { return Cell{Text: text, Value: text} }

// Some is a text for programs, or nil where it is empty.
func Some(text string) any {
	if text == "" {
		return nil
	}
	return text
}

// shown are the columns for people.
func (t *Table) shown() (out []int) {
	for i, c := range t.Columns {
		if c.Label != "" || c.Key == "" || slices.ContainsFunc(t.Rows, func(r Row) bool { return r.Cells[i].Text != "" }) {
			out = append(out, i)
		}
	}
	return out
}

// Half is what the page shows of a table: the rows that are not minor, or folded behind them those that are. A column without a label is headed by its
// key there.
type Half struct {
	Title string
	Minor bool
	Head  []Column
	Rows  [][]Cell
}

// Halves are the one or two halves that hold rows.
func (t *Table) Halves() (out []Half) {
	for _, minor := range []bool{false, true} {
		h := Half{Title: t.Title, Minor: minor}
		for _, i := range t.shown() {
			c := t.Columns[i]
			c.Label = cmp.Or(c.Label, c.Key)
			h.Head = append(h.Head, c)
		}
		for _, r := range t.Rows {
			if r.Minor == minor {
				var row []Cell
				for _, i := range t.shown() {
					row = append(row, r.Cells[i])
				}
				h.Rows = append(h.Rows, row)
			}
		}
		if len(out) > 0 {
			h.Title = fmt.Sprintf("%s: %d", t.Rest, len(h.Rows))
		}
		if len(h.Rows) > 0 {
			out = append(out, h)
		}
	}
	return out
}
