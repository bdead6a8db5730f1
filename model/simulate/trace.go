package simulate

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"strconv"
)

// Trace is a run written down: a row every so many ticks.
type Trace struct {
	Most    int // rows; 0: 20000
	Columns []string
	Rows    [][]float64
	every   int
}

func (tr *Trace) begin(s *System, ticks int) {
	most := cmp.Or(tr.Most, 20000)
	tr.every = (ticks + most - 1) / most
	tr.Columns, tr.Rows = []string{"t"}, nil
	for _, p := range s.Scenario.SetPoints {
		tr.Columns = append(tr.Columns, p.Name)
	}
	for _, d := range s.Scenario.Watch {
		tr.Columns = append(tr.Columns, "target."+d.Name)
	}
	for _, l := range []string{"reference", "integer"} {
		for _, w := range s.Scenario.Watch {
			tr.Columns = append(tr.Columns, l+"."+w.Name)
		}
		for _, o := range s.Spec.Outputs {
			tr.Columns = append(tr.Columns, l+"."+o.Name)
		}
		if s.Plant.Battery != nil {
			tr.Columns = append(tr.Columns, l+".volts")
		}
	}
}

func (tr *Trace) add(s *System, k int, t float64, loops [2]*loop) {
	if k%tr.every != 0 {
		return
	}
	row := make([]float64, 0, len(tr.Columns))
	row = append(row, t)
	for i := range s.Scenario.SetPoints {
		row = append(row, s.Scenario.SetPoints[i].At(t))
	}
	for i := range s.Scenario.Watch {
		w := &s.Scenario.Watch[i]
		row = append(row, w.TargetAt(s.Scenario, t)/w.PerUnit)
	}
	for _, l := range loops {
		for i := range s.Scenario.Watch {
			w := &s.Scenario.Watch[i]
			row = append(row, l.watched[i][len(l.watched[i])-1]/w.PerUnit)
		}
		row = append(row, l.outputs...)
		if s.Plant.Battery != nil {
			row = append(row, l.rig.Volts)
		}
	}
	tr.Rows = append(tr.Rows, row)
}

// CSV is the trace as text: a line of column names, then one line for each row.
func (tr *Trace) CSV() []byte {
	lines := [][]string{tr.Columns}
	for _, row := range tr.Rows {
		lines = append(lines, numbers(nil, row))
	}
	return commaSeparated(lines)
}

// numbers adds numbers to a line.
func numbers(line []string, of []float64) []string {
	for _, v := range of {
		line = append(line, strconv.FormatFloat(v, 'g', 9, 64))
	}
	return line
}

func commaSeparated(lines [][]string) []byte {
	var b bytes.Buffer
	_ = csv.NewWriter(&b).WriteAll(lines) // a buffer takes everything
	return b.Bytes()
}
