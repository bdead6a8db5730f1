package document

import (
	"bytes"
	"fmt"
	"html/template"
	"strings"

	"gainwright/templates/report"
)

var pages = template.Must(template.New("").ParseFS(report.Files, "*.tmpl"))

// Page is the document as one page of HTML with its style sheet and pictures inside, without scripts, that needs nothing from anywhere else. The same
// document gives the same bytes.
func (d *Document) Page() ([]byte, error) {
	var out bytes.Buffer
	if err := pages.ExecuteTemplate(&out, "page.html.tmpl", d); err != nil {
		return nil, fmt.Errorf("page: %w", err)
	}
	return out.Bytes(), nil
}

// Name is what the page is headed with.
func (d *Document) Name() string {
	if d.Spec.Controller == "" {
		return d.Spec.File
	}
	return d.Spec.Controller
}

// Facts are those of the spec, in short.
func (d *Document) Facts() string {
	facts := []string{d.Spec.File}
	switch hz := d.Spec.RateHz; {
	case hz == 1:
		facts = append(facts, "1 tick a second")
	case hz > 0:
		facts = append(facts, fmt.Sprintf("%g ticks a second", hz))
	}
	if d.Spec.Target != "" {
		facts = append(facts, "for "+d.Spec.Target)
	}
	return strings.Join(facts, ", ")
}

// Percent is the length of the bar below a cell; 0 where it has none.
func (c Cell) Percent() float64 { return 100 * min(1, max(0, c.Share)) }

// OnPage is the text of a cell in the letters of a page.
func (c Cell) OnPage() string { return strings.Replace(c.Text, "+-", "± ", 1) }

// SVG draws the picture.
func (p Picture) SVG() (template.HTML, error) {
	svg, err := p.Plot.SVG()
	return template.HTML(svg), err
}
