package report

import (
	"fmt"
	"html/template"

	"gainwright/gen/caution"
	"gainwright/gen/report/chart"
	"gainwright/gen/summary"
	"gainwright/model/finding"
)

// page is what the template prints, in this order.
type page struct {
	Name, About string
	Facts       []string // of the spec, in short
	Verdict     verdict
	Findings    finding.List
	Cautions    []string
	Sections    []section
	Tool, Hash  string
}

type verdict struct {
	Class     string // good, warnings or errors
	Sentences []string
}

type section struct {
	ID, Title string
	Intro     []string
	List      []string
	Tables    []table
	Notes     []string
	Figures   []group
}

// table is a table whose rows become blocks on a narrow page.
type table struct {
	Caption string
	Head    []column
	Rows    [][]cell
	Folded  bool // shown when it is asked for, and in print
}

type column struct {
	Title string
	Right bool // set to the right: a number
}

// cell is a text, with a bar below it where Bar is set.
type cell struct {
	Text string
	Bar  *bar
}

// bar is how much of something is used, in percent.
type bar struct {
	Percent float64
}

// group is some pictures with a heading; the first group of a section may do without one.
type group struct {
	Title   string
	Figures []figure
}

type figure struct {
	Picture template.HTML
	Caption string
}

// columns makes a head: the columns marked > are set to the right.
func columns(titles ...string) []column {
	var out []column
	for _, t := range titles {
		right := t != "" && t[0] == '>'
		if right {
			t = t[1:]
		}
		out = append(out, column{t, right})
	}
	return out
}

func cells(texts ...string) []cell {
	out := make([]cell, len(texts))
	for i, t := range texts {
		out[i].Text = t
	}
	return out
}

// picture draws a picture into the last group of the section. Its text is escaped where it is drawn.
func (s *section) picture(p chart.Picture, caption string) error {
	svg, err := p.SVG()
	if err != nil {
		return err
	}
	if len(s.Figures) == 0 {
		s.Figures = []group{{}}
	}
	g := &s.Figures[len(s.Figures)-1]
	g.Figures = append(g.Figures, figure{template.HTML(svg), caption})
	return nil
}

// Findings are those of the spec, then those of the run.
func (in Input) Findings() finding.List {
	list := in.Summary.Findings
	if in.Run != nil {
		list = append(list[:len(list):len(list)], in.Run.Outcome.Findings.Sorted()...)
	}
	return list
}

// Sentences are the verdict: what is not good comes first.
func (in Input) Sentences() []string {
	good := []string{in.Summary.Conclusion()}
	if in.Summary.Verdict == summary.Errors {
		return good
	}
	if in.Run == nil {
		good = append(good, "Nothing was simulated: the spec describes no plant and scenario.")
	}
	var bad []string
	add := func(ok bool, sentence string) {
		if ok {
			good = append(good, sentence)
		} else {
			bad = append(bad, sentence)
		}
	}
	if in.Run != nil {
		add(!in.Run.Outcome.Findings.Failed(), in.Run.Sentence())
	}
	if in.Linear != nil {
		add(in.Linear.Stable == [2]bool{true, true}, summary.Stable(in.Linear))
	}
	if in.NoView != nil {
		good = append(good, "There is no linear view of the loop: "+in.NoView.Error()+".")
	}
	return append(bad, good...)
}

// page puts the parts in order.
func (in Input) page() (*page, error) {
	s := in.Summary
	p := &page{Name: s.Spec.Controller, About: s.Spec.About, Findings: in.Findings(), Cautions: append(caution.All(), caution.Numbers), Tool: s.Tool, Hash: s.Spec.SHA256}
	if p.Name == "" {
		p.Name = s.Spec.File
	}
	p.Facts = []string{s.Spec.File}
	switch {
	case s.Spec.RateHz == 1:
		p.Facts = append(p.Facts, "1 tick a second")
	case s.Spec.RateHz > 0:
		p.Facts = append(p.Facts, fmt.Sprintf("%g ticks a second", float64(s.Spec.RateHz)))
	}
	if s.Spec.Target != "" {
		p.Facts = append(p.Facts, "for "+s.Spec.Target)
	}
	p.Verdict = verdict{string(s.Verdict), in.Sentences()}
	if !in.OK() {
		p.Verdict.Class = string(summary.Errors)
	}
	if s.Verdict == summary.Errors {
		return p, nil
	}
	p.Sections = append(p.Sections, formats(s), constants(s), bounds(s))
	if s.Cost != nil {
		p.Sections = append(p.Sections, cost(in.Unit, s.Cost))
	}
	if in.Run != nil {
		part, err := in.Run.section()
		if err != nil {
			return nil, err
		}
		p.Sections = append(p.Sections, part)
	}
	if in.Linear != nil {
		part, err := linear(in.Linear, summary.Computing(in.Unit))
		if err != nil {
			return nil, err
		}
		p.Sections = append(p.Sections, part)
	}
	if in.Turning != nil && in.Run != nil {
		part, err := in.turned()
		if err != nil {
			return nil, err
		}
		p.Sections = append(p.Sections, part)
	}
	return p, nil
}
