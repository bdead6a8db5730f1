package trial

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/program"
)

// Log is a recording of raw counts, one row a tick.
type Log struct {
	File    string
	Rows    int
	Outside int // rows in which an input lies outside its declared range
	Set     []string
	Ignored []string // columns that are no input
	counts  []int64
	inputs  int
}

// Limits of what is read and said.
const (
	mostCounts   = 1 << 27
	mostFindings = 20
)

// logReader is a log while it is read.
type logReader struct {
	log    *Log
	p      *program.Fixed
	found  finding.List
	over   int // findings not listed
	column []int
	fixed  []int64
	spans  []span
}

// ReadLog reads a log for p from CSV: a line of column names, then rows of raw counts as the sensor's register
// holds them. A column belongs to the input of its name; other columns are passed over. set gives an input
// without a column one value for all rows, as in "armed=1". Where the findings hold an error there is no log.
func ReadLog(file string, text io.Reader, p *program.Fixed, set []string) (*Log, finding.List) {
	r := &logReader{log: &Log{File: file, inputs: len(p.Inputs), Set: set}, p: p, fixed: make([]int64, len(p.Inputs))}
	for _, in := range p.Inputs {
		r.column, r.spans = append(r.column, -1), append(r.spans, declared(in))
	}
	given := r.settings(set)
	buffered := bufio.NewReaderSize(text, 1<<16)
	if mark, _ := buffered.Peek(3); bytes.Equal(mark, []byte("\xef\xbb\xbf")) {
		_, _ = buffered.Discard(3)
	}
	rows := csv.NewReader(buffered)
	rows.ReuseRecord, rows.TrimLeadingSpace = true, true
	if r.header(rows, given) {
		r.rows(rows)
	}
	if r.over > 0 {
		r.found.Add(finding.Finding{Pos: finding.Pos{File: file}, Severity: finding.Error, Rule: "log-value", Message: fmt.Sprintf("%d more values like these", r.over)})
	}
	if r.found.Failed() {
		return nil, r.found
	}
	return r.log, r.found
}

func (r *logReader) fail(line, col int, rule, key, remedy, format string, args ...any) {
	if len(r.found) >= mostFindings {
		r.over++
		return
	}
	r.found.Add(finding.Finding{Pos: finding.Pos{File: r.log.File, Line: line, Col: col}, Severity: finding.Error, Rule: rule, Key: key, Message: fmt.Sprintf(format, args...), Remedy: remedy})
}

// settings reads "name=value" for inputs that have no column.
func (r *logReader) settings(set []string) (given map[int]bool) {
	given = map[int]bool{}
	for _, s := range set {
		name, text, ok := strings.Cut(s, "=")
		name = strings.TrimSpace(name)
		i := slices.IndexFunc(r.p.Inputs, func(in program.InputInfo) bool { return in.Name == name })
		switch {
		case !ok:
			r.fail(0, 0, "log-setting", s, "armed=1, say", "name=value is expected")
		case i < 0:
			r.fail(0, 0, "unknown-name", name, "one of "+r.names(), "no input has this name")
		case given[i]:
			r.fail(0, 0, "duplicate-key", name, "one value", "it is set twice")
		default:
			given[i] = true
			r.fixed[i] = r.count(0, 0, i, text)
		}
	}
	return given
}

// header matches columns to inputs.
func (r *logReader) header(rows *csv.Reader, given map[int]bool) bool {
	names, err := rows.Read()
	if err != nil {
		r.syntax(err)
		return false
	}
	for c, name := range names {
		name = strings.TrimSpace(name)
		line, col := rows.FieldPos(c)
		i := slices.IndexFunc(r.p.Inputs, func(in program.InputInfo) bool { return in.Name == name })
		switch {
		case i < 0:
			r.log.Ignored = append(r.log.Ignored, name)
		case r.column[i] >= 0:
			r.fail(line, col, "duplicate-key", name, "one column", "a second column of this name")
		case given[i]:
			r.fail(line, col, "duplicate-key", name, "the column or the setting, not both", "the input is set by name=value and has a column too")
		default:
			r.column[i] = c
		}
	}
	for i, in := range r.p.Inputs {
		if r.column[i] < 0 && !given[i] {
			r.fail(1, 1, "missing-column", in.Name, "a column "+in.Name+", or the setting "+in.Name+"=0", "no column of the log has the name of this input; the columns are %s", strings.Join(names, ", "))
		}
	}
	return !r.found.Failed()
}

// rows reads the counts.
func (r *logReader) rows(rows *csv.Reader) {
	for {
		fields, err := rows.Read()
		switch {
		case err == io.EOF:
			if r.log.Rows == 0 {
				r.fail(1, 1, "log-empty", "", "at least one row of counts", "there are no rows below the column names")
			}
			return
		case err != nil:
			if r.syntax(err); !errors.Is(err, csv.ErrFieldCount) {
				return
			}
			continue
		case len(r.log.counts)+r.log.inputs > mostCounts:
			line, _ := rows.FieldPos(0)
			r.fail(line, 1, "log-too-long", "", "a shorter piece of the log", "a log of at most %d counts is expected", mostCounts)
			return
		}
		outside := false
		for i, c := range r.column {
			v := r.fixed[i]
			if c >= 0 {
				line, col := rows.FieldPos(c)
				v = r.count(line, col, i, fields[c])
			}
			outside = outside || !r.spans[i].holds(v)
			r.log.counts = append(r.log.counts, v)
		}
		r.log.Rows++
		if outside {
			r.log.Outside++
		}
	}
}

// count reads one raw count of input i.
func (r *logReader) count(line, col, i int, text string) int64 {
	in := r.p.Inputs[i]
	all := register(in)
	v, err := strconv.ParseInt(strings.TrimSpace(text), 10, 64)
	if err != nil {
		r.fail(line, col, "log-value", in.Name, "the count as the register holds it, such as -1234", "%.40q is no whole raw count", text)
		return 0
	}
	if !all.holds(v) {
		r.fail(line, col, "log-value", in.Name, "the count as the register holds it", "the count %d is outside what the raw input holds, [%d, %d]", v, all.lo, all.hi)
		return 0
	}
	return v
}

func (r *logReader) syntax(err error) {
	var p *csv.ParseError
	switch {
	case errors.As(err, &p):
		r.fail(p.Line, p.Column, "log-syntax", "", "comma-separated values, as many in each row as there are column names", "%v", p.Err)
	case err == io.EOF:
		r.fail(1, 1, "log-empty", "", "a line of column names, then rows of counts", "the log is empty")
	default:
		r.fail(0, 0, "log-syntax", "", "a log that can be read", "%v", err)
	}
}

func (r *logReader) names() string {
	var names []string
	for _, in := range r.p.Inputs {
		names = append(names, in.Name)
	}
	return strings.Join(names, ", ")
}

// rowSource hands out the rows of a log.
type rowSource struct {
	log *Log
	row int
}

func (s *rowSource) next(record []int64) {
	copy(record, s.log.counts[s.row*s.log.inputs:][:s.log.inputs])
	s.row++
}

// VerifyLog runs a whole log, with the live gains at their start, and looks at its axes and signs.
func VerifyLog(ctx context.Context, u *model.Unit, log *Log, o Options) (*Result, error) {
	if log.inputs != len(u.Integer.Inputs) {
		return nil, errors.New("the log was read for another controller")
	}
	t := newTrial(u, o, log.Rows)
	pairs := t.watchAxes()
	k := t.begin("log", log.Outside == 0)
	if err := t.run(ctx, k, &rowSource{log: log}, log.Rows); err != nil {
		return nil, err
	}
	t.end(k)
	r := t.result()
	for _, p := range pairs {
		r.Axes = append(r.Axes, t.axes(p))
	}
	return r, nil
}
