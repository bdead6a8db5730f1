// Package summary says what the tool found out about a controller, as documents: of a check, a simulated run, many runs, the linear view, turned gains
// and a verification. The keys of their JSON are stable.
package summary

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/gen/caution"
	"gainwright/gen/contract"
	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/finding"
)

// Summary is all that check says. Where the findings hold an error, its tables are empty.
type Summary struct {
	Spec     document.Spec
	Verdict  document.Tone
	Findings finding.List

	Settings, Signals, States, Constants, LiveGains, Integrals, Bounds *document.Table

	Witnesses *document.Table // nil unless they were asked for
	Words     []string        // the rounding of each output
	unit      *model.Unit
}

// SpecOf names what a unit was read from.
func SpecOf(u *model.Unit) document.Spec {
	out := document.Spec{File: u.BaseName()}
	if sp := u.Spec; sp != nil {
		out.SHA256, out.Controller, out.About, out.Target = sp.Hash, sp.Name, sp.About, sp.Target
		if sp.Rate != nil {
			out.RateHz = number(sp.Rate)
		}
	}
	return out
}

// Tool names the tool and its version.
func Tool() string { return "gainwright " + model.Version }

// New begins a document about a unit, which is good or bad.
func New(u *model.Unit, isGood bool) *document.Document {
	return &document.Document{Tool: Tool(), Spec: SpecOf(u), Verdict: document.Judge(isGood, "").Tone}
}

// Of sums up a unit, whether or not it came through all passes.
func Of(u *model.Unit) *Summary {
	s := &Summary{Verdict: document.Good, Findings: u.Findings, Spec: SpecOf(u), unit: u}
	s.Settings, s.Constants, s.Integrals, s.LiveGains = settings(u), Constants(u), integrals(u), liveGains(u)
	signals, states := Values(u)
	s.Signals, s.States = values("Signals", signals), values("States", states)
	s.Bounds, s.Words = rounding(bounds(u))
	switch {
	case !u.OK():
		s.Verdict = document.Bad
	case s.count(finding.Warning) > 0:
		s.Verdict = document.Caution
	}
	return s
}

// count tells how many findings are of that severity.
func (s *Summary) count(of finding.Severity) int {
	n := 0
	for _, f := range s.Findings {
		if f.Severity == of {
			n++
		}
	}
	return n
}

// Conclusion is the last line of a check.
func (s *Summary) Conclusion() document.Sentence {
	say := func(format string, args ...any) document.Sentence {
		line := document.Line(format, args...)
		line.Tone = s.Verdict
		return line
	}
	fits := s.Spec.Controller + " fits its types at any raw input"
	if slices.ContainsFunc(s.Settings.Rows, func(r document.Row) bool { return r.Cells[liveRange].Value != nil }) {
		fits += " and any live gain in its range"
	}
	switch s.Verdict {
	case document.Bad:
		return say("Not good: %s. No code is made from this spec.", plural(max(s.count(finding.Error), 1), "error"))
	case document.Caution:
		return say("Good, with %s to look at: %s.", plural(s.count(finding.Warning), "warning"), fits)
	}
	return say("Good: %s.", fits)
}

// end is the conclusion, and where something is missing or unknown in the spec a hint where to look.
func (s *Summary) end() []document.Part {
	out := []document.Part{document.Gap{}, s.Conclusion()}
	if slices.ContainsFunc(s.Findings, func(f finding.Finding) bool { return strings.HasPrefix(f.Rule, "unknown-k") || f.Rule == "missing-key" }) {
		out = append(out, document.Line("What can stand in a spec: gainwright help spec, gainwright help steps"))
	}
	return out
}

// Document is the whole check.
func (s *Summary) Document() *document.Document {
	d := New(s.unit, true)
	d.Verdict = s.Verdict
	d.Data = document.Fields("findings", s.Findings, "settings", s.Settings, "signals", s.Signals, "states", s.States,
		"constants", s.Constants, "integrals", s.Integrals, "live_gains", s.LiveGains, "bounds", s.Bounds, "operations", 0)
	d.Parts = []document.Part{document.Findings(s.Findings)}
	if s.Verdict != document.Bad {
		if len(s.Findings) > 0 {
			d.Parts = append(d.Parts, document.Gap{})
		}
		title, operations := s.Spec.Controller, len(s.unit.Integer.Ops)
		if s.Spec.About != "" {
			title += ". " + s.Spec.About
		}
		d.Parts = append(d.Parts, document.Line("%s: %s", s.Spec.File, title),
			document.Line("%g Hz, target %s, %d operations a tick", s.Spec.RateHz, s.Spec.Target, operations))
		d.Parts = append(d.Parts, s.Chapters()...)
		d.Data[len(d.Data)-1].Value = operations
		if c := s.unit.Cost; c != nil {
			d.Data = append(d.Data, document.Fields("cost", costData(s.unit))...)
		}
		if s.Witnesses != nil {
			d.Data = append(d.Data, document.Fields("witnesses", s.Witnesses)...)
		}
	}
	d.Parts = append(d.Parts, s.end()...)
	return d
}

// Brief is a short check: the findings, the signals, the constants that changed, the bounds in words and the verdict.
func (s *Summary) Brief() []document.Part {
	out := append([]document.Part{document.Findings(s.Findings), s.Signals, s.Constants}, s.words("Rounding in words")...)
	return append(out, s.end()...)
}

// words are the bounds of the outputs below a heading.
func (s *Summary) words(heading string) []document.Part {
	out := []document.Part{document.Heading(heading)}
	for _, text := range s.Words {
		out = append(out, document.Sentence{Text: text})
	}
	return out
}

// Chapters are what is known of the program.
func (s *Summary) Chapters() []document.Part {
	chapter := func(id, title string, parts ...document.Part) document.Chapter {
		parts = slices.DeleteFunc(parts, func(p document.Part) bool {
			t, is := p.(*document.Table)
			return is && len(t.Rows) == 0 && t != s.Constants
		})
		return document.Chapter{ID: id, Title: title, Parts: parts}
	}
	out := []document.Part{chapter("settings", "What was asked for", s.Settings),
		chapter("formats", "Formats and headroom",
			document.Aside("The range of each value is certified: it holds for any raw input, any live gain in its range and any number of ticks. The bar shows the bits of its type that the range needs; the rest is headroom."),
			s.Signals, document.Note("Qm.n: m integer bits besides the sign, n fraction bits; x 1/131: of a unit of 1/131."), s.States),
		chapter("constants", "Constants, asked and stored",
			document.Aside("The error of a constant that is not stored exactly is a change of gains or limits, known and fixed; what rounding does at every tick stands below."),
			s.Constants, s.LiveGains, s.Integrals)}
	if len(s.Bounds.Rows) > 0 {
		parts := append([]document.Part{document.Aside("Proven for every tick, any raw input and any live gain in its range."), s.Bounds}, s.words("In words")...)
		if s.Witnesses == nil {
			parts = append(parts, document.Aside("How close real inputs come to these bounds was not searched for: report --witness does so."))
		} else {
			parts = append(parts, s.Witnesses)
		}
		out = append(out, chapter("bounds", "Rounding, at most", parts...))
	}
	if s.unit.Cost != nil {
		out = append(out, chapter("cost", "Cost of a tick", costParts(s.unit)...))
	}
	return out
}

// Cautions are those for the machine of the spec, set apart.
func Cautions(u *model.Unit) []document.Part {
	return []document.Part{document.Gap{}, document.Sentence{Text: strings.Join(caution.Brief(u), " ")}}
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func named(number, unit string) string {
	if unit = contract.Plain(unit); unit == "" {
		return number
	}
	return number + " " + unit
}
