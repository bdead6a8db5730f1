package spec

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/target"
)

// What a spec may cost to read. A spec is untrusted text: each limit is far beyond any honest
// controller and keeps time and memory small for every other one.
const (
	maxSource   = 256 << 10 // bytes
	maxDepth    = 8         // lists and maps inside one another
	maxEntries  = 1024      // of one section
	maxScalar   = 1 << 10   // bytes of one text
	maxFindings = 1000
	maxCompares = 1 << 17 // comparisons of misspelt names with good ones
)

// Read reads the text of a spec; file is its name in findings. The findings are sorted by place and
// hold all that is wrong. What could be read is returned in any case; it is whole only if no
// finding is an error.
func Read(file string, src []byte) (*Spec, finding.List) {
	hash := sha256.Sum256(src)
	r := &reader{
		spec:     &Spec{File: file, Hash: hex.EncodeToString(hash[:]), Target: target.Default, Prefer: preferences[0]},
		owners:   map[string]owner{},
		goNames:  map[string]string{},
		compares: maxCompares,
	}
	root, ok := r.parse(src)
	if r.spec.lines = r.lines; ok {
		r.readSpec(root)
	}
	found := Settled(r.found).Sorted()
	if r.unsaid > 0 {
		found.Add(finding.Finding{Pos: r.place(1, 1), Severity: finding.Error, Rule: "too-many-findings",
			Message: fmt.Sprintf("%d more findings are not shown", r.unsaid),
			Remedy:  "the changes asked for above, then read the spec again"})
	}
	return r.spec, found
}

// reader is one reading of one spec.
type reader struct {
	spec     *Spec
	lines    [][]rune // of the source, for places inside a text
	found    finding.List
	unsaid   int // findings beyond maxFindings
	compares int // comparisons left for suggestions

	partial bool              // a section could not be read, so that a name may be good though nothing is known to have it
	owners  map[string]owner  // inputs, steps and outputs by name
	goNames map[string]string // emitted Go name to the name that took it
	signals []string          // names that from may give
	results []string          // names that accuracy may give
}

// owner is what a name stands for.
type owner struct {
	what  string // input, step or output
	pos   finding.Pos
	twice bool // several have it; what refers to it is not judged
}

// fault reports one error.
func (r *reader) fault(f finding.Finding) {
	if len(r.found) >= maxFindings {
		r.unsaid++
		return
	}
	f.Severity = finding.Error
	r.found.Add(f)
}

func (r *reader) place(line, col int) finding.Pos {
	return finding.Pos{File: r.spec.File, Line: line, Col: col}
}

// nearest is Nearest until the budget for comparisons is spent, so that a spec with thousands of
// names and thousands of misspellings is still read quickly.
func (r *reader) nearest(name string, good []string) string {
	if r.compares < len(good) {
		return ""
	}
	r.compares -= len(good)
	return Nearest(name, good)
}

// readSpec reads the top level. Names are collected from all sections before any reference is looked up.
func (r *reader) readSpec(root Value) {
	top := entry{what: "a spec", pos: root.Pos, value: root}
	f, ok := r.fields(top, "controller: cart", "controller", "about", "rate", "target", "prefer", "constants", "inputs", "steps", "outputs",
		"tuning", "accuracy", "formats", "budget", "plant", "scenario")
	if !ok {
		return
	}
	r.readConstants(f)
	r.figures(f, "rate")
	r.readHeader(f)
	r.readInputs(f)
	r.readSteps(f)
	outputs := r.section(f, "outputs", "drive: {from: effort, raw: int16, unit: duty}", true)
	for _, o := range outputs {
		r.declare(o, "output")
	}
	for _, o := range outputs {
		r.readOutput(o)
	}
	r.readTuning(f)
	r.readAccuracy(f)
	r.readFormats(f)
	r.spec.Budget = r.readPart(f, "budget", "clock: 16 MHz")
	r.spec.Plant = r.readPart(f, "plant", "kind: dc_motor")
	r.spec.Scenario = r.readPart(f, "scenario", "duration: 60 s")
}

// readPart keeps a section as a tree; nil where it is not there or no map.
func (r *reader) readPart(f fields, key, sample string) *Part {
	e, ok := f.all[key]
	if !ok {
		return nil
	}
	pairs, ok := r.asMap(e, sample)
	if ok && len(pairs) == 0 {
		r.say(e, "missing-value", sample, "the section is empty; expected at least one entry")
	}
	if !ok || len(pairs) == 0 {
		return nil
	}
	return &Part{Pos: e.pos, Args: r.inPart(pairs)}
}

// join extends a dotted key path. Keys are printable ASCII by now; one that is no plain word is quoted and cut.
func join(path, key string) string {
	if !plainKey.MatchString(key) {
		key = quote(key)
	}
	if path == "" {
		return key
	}
	return path + "." + key
}

// quote shows a text of the spec inside a message: printable ASCII, at most 40 characters.
func quote(text string) string {
	if len(text) > 40 {
		return fmt.Sprintf("%+q...", strings.ToValidUTF8(text[:37], ""))
	}
	return fmt.Sprintf("%+q", text)
}

var one = big.NewRat(1, 1)
