// Package finding holds what the tool has to say about a spec: where it is,
// what is wrong or worth knowing, why, and what to write instead.
package finding

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// Severity orders findings by what they mean for the exit code.
type Severity string

const (
	// Error means that no code is emitted.
	Error Severity = "error"
	// Warning means that code is emitted and a person should look.
	Warning Severity = "warning"
	// Note is a fact worth knowing.
	Note Severity = "note"
)

// Pos is a place in a spec file. Line and Col count from 1; 0 means unknown.
type Pos struct {
	File string `json:"file"`
	Line int    `json:"line"`
	Col  int    `json:"column"`
}

func (p Pos) String() string {
	if p.Line == 0 {
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
}

// Finding is one thing said about one place.
type Finding struct {
	Pos      Pos      `json:"place"`
	Severity Severity `json:"severity"`
	Rule     string   `json:"rule"`              // stable kebab-case name, such as "unknown-key"
	Key      string   `json:"key,omitempty"`     // dotted path in the spec, such as "steps.effort.kp"
	Message  string   `json:"message"`           // what was found and what was expected
	Because  []string `json:"because,omitempty"` // facts that led here, in order
	Remedy   string   `json:"remedy,omitempty"`  // what to write instead
}

// String is the text form: one line with the place, then indented reasons and the remedy.
func (f Finding) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s: ", f.Pos, f.Severity)
	if f.Key != "" {
		fmt.Fprintf(&b, "%s: ", f.Key)
	}
	fmt.Fprintf(&b, "%s [%s]", f.Message, f.Rule)
	for _, r := range f.Because {
		fmt.Fprintf(&b, "\n    because %s", r)
	}
	if f.Remedy != "" {
		fmt.Fprintf(&b, "\n    write   %s", f.Remedy)
	}
	return b.String()
}

// List collects findings; the zero value is ready to use.
type List []Finding

// MarshalJSON writes an empty list as such, never as null.
func (l List) MarshalJSON() ([]byte, error) {
	return json.Marshal(append([]Finding{}, l...))
}

// Add appends one finding. What it repeats of a spec, which is untrusted text, is cut and made printable.
func (l *List) Add(f Finding) {
	f.Key, f.Message, f.Remedy = clip(f.Key), clip(f.Message), clip(f.Remedy)
	f.Because = slices.Clone(f.Because)
	for i := range f.Because {
		f.Because[i] = clip(f.Because[i])
	}
	*l = append(*l, f)
}

// mostText is the length of a text that a person still reads, in bytes.
const mostText = 480

func clip(text string) string {
	if len(text) > mostText {
		text = text[:mostText] + "..."
	}
	return strings.Map(func(c rune) rune {
		if c < ' ' || c > '~' {
			return '?'
		}
		return c
	}, text)
}

// Failed tells whether the list holds an error.
func (l List) Failed() bool {
	return slices.ContainsFunc(l, func(f Finding) bool { return f.Severity == Error })
}

// Sorted returns the findings by place; findings of one place keep their order.
func (l List) Sorted() List {
	out := slices.Clone(l)
	slices.SortStableFunc(out, func(a, b Finding) int {
		if c := strings.Compare(a.Pos.File, b.Pos.File); c != 0 {
			return c
		}
		if a.Pos.Line != b.Pos.Line {
			return a.Pos.Line - b.Pos.Line
		}
		return a.Pos.Col - b.Pos.Col
	})
	return out
}
