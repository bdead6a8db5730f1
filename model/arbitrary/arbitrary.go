// Package arbitrary makes random controllers from a seed, for tests: specs of every step kind, odd rates,
// extreme scales and all raw types, as text, so that everything from the reader on is put to work. Nearly
// all of them are valid; where a number turns out badly the compiler says so, as it would to a person.
package arbitrary

import (
	"bytes"
	"fmt"
	"strings"
)

// Spec is a controller in parts that can be taken away or made simpler one by one.
type Spec struct {
	Name     string
	Rate     string
	Target   string
	Inputs   []Part
	Steps    []Part
	Outputs  []Part
	Tuning   []Key
	Accuracy []Key
	Formats  []Key
}

// Part is an input, a step or an output.
type Part struct {
	Name string
	Keys []Key
}

// Key is a key with the text of its value, in YAML's flow style.
type Key struct{ Name, Text string }

// Text returns the spec as YAML.
func (s *Spec) Text() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "controller: %s\nrate: %s\n", s.Name, s.Rate)
	if s.Target != "" {
		fmt.Fprintf(&b, "target: %s\n", s.Target)
	}
	for _, section := range []struct {
		name  string
		parts []Part
	}{{"inputs", s.Inputs}, {"steps", s.Steps}, {"outputs", s.Outputs}} {
		if len(section.parts) == 0 {
			continue
		}
		fmt.Fprintf(&b, "\n%s:\n", section.name)
		for _, p := range section.parts {
			fmt.Fprintf(&b, "  %s: {%s}\n", p.Name, flow(p.Keys))
		}
	}
	for _, section := range []struct {
		name string
		keys []Key
	}{{"tuning", s.Tuning}, {"accuracy", s.Accuracy}, {"formats", s.Formats}} {
		if len(section.keys) > 0 {
			fmt.Fprintf(&b, "\n%s: {%s}\n", section.name, flow(section.keys))
		}
	}
	return b.Bytes()
}

func flow(keys []Key) string {
	var out []string
	for _, k := range keys {
		out = append(out, k.Name+": "+k.Text)
	}
	return strings.Join(out, ", ")
}

func (p *Part) set(name, format string, args ...any) {
	p.Keys = append(p.Keys, Key{name, fmt.Sprintf(format, args...)})
}

// Get returns the text of a key, or nothing.
func (p *Part) Get(name string) string {
	for _, k := range p.Keys {
		if k.Name == name {
			return k.Text
		}
	}
	return ""
}

func (s *Spec) clone() *Spec {
	parts := func(from []Part) []Part {
		out := append([]Part(nil), from...)
		for i := range out {
			out[i].Keys = append([]Key(nil), out[i].Keys...)
		}
		return out
	}
	c := *s
	c.Inputs, c.Steps, c.Outputs = parts(s.Inputs), parts(s.Steps), parts(s.Outputs)
	c.Tuning, c.Accuracy, c.Formats = append([]Key(nil), s.Tuning...), append([]Key(nil), s.Accuracy...), append([]Key(nil), s.Formats...)
	return &c
}
