// Package c writes the C side of a controller: the header with the controller itself, a host
// program that runs it on a stream of records, and self-test vectors for the board.
//
// The header is C99 that compiles as C++11 too, uses <stdint.h> only, and is right where int has 16
// bits: each operation is done in the type that program.Width proves wide enough for it.
package c

import (
	"bytes"
	"cmp"
	"fmt"
	"strings"
	"text/template"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/selection"
	"gainwright/model/target"
	"gainwright/templates"
)

var frames = template.Must(template.New("").Option("missingkey=error").ParseFS(templates.C, "c_*.tmpl"))

// Header returns <name>.h: types, init, setters of the live gains and step, made for what the spec prefers.
func Header(u *model.Unit) []byte { return HeaderFor(u, preferred(u)) }

func preferred(u *model.Unit) selection.Preference { return selection.Preferred(u.Spec.Prefer) }

// HeaderFor returns the header made for a preference: all give the same numbers.
func HeaderFor(u *model.Unit, prefer selection.Preference) []byte {
	e := newEmitter(u, prefer)
	step, init, setters := e.step(), e.init(), e.setters()
	return render("c_header.tmpl", map[string]string{
		"Banner":     banner(u),
		"Name":       e.name,
		"Upper":      e.upper,
		"Stamp":      stamp(u),
		"Types":      e.types(),
		"Step":       step,
		"Init":       init,
		"Setters":    setters,
		"Primitives": e.primitives(),
		"Constants":  e.definitions(),
		"Checksums":  e.checksums(),
	})
}

// emitter gathers what the header of one controller needs while its functions are written.
type emitter struct {
	*selection.Selection
	unit        *model.Unit
	p           *program.Fixed // as it is emitted
	name, upper string
	local       []string // C name of each operation's value
	runs        []selection.Run
	kept        []program.ID // what is held from run to run
	tick        []string     // C name of each counter's value in this tick
	fields      fields
	macros      names
	global      map[string]bool // see globals
	constants   []constant
	macroOf     map[program.ID]string // operations whose macro has been defined
	factorOf    map[program.ID]string
	used        map[primitive]bool
	calls       map[string]int // of multiplications and angles, by name
	limits      []limits
	scales      []scaled
	arctans     []arctan
	curves      []curve
	hints       bool // pointers are told where to lie
}

func newEmitter(u *model.Unit, prefer selection.Preference) *emitter {
	t := cmp.Or(target.Named(u.Spec.Target), target.Named(target.Default))
	s := selection.Select(u.Integer, t, prefer)
	e := &emitter{Selection: s, unit: u, p: s.Program, name: u.Spec.Name, upper: strings.ToUpper(u.Spec.Name),
		macroOf: map[program.ID]string{}, factorOf: map[program.ID]string{}, used: map[primitive]bool{}, calls: map[string]int{}, macros: newNames(nil)}
	e.macros.reserve(e.upper+"_H", e.upper+"_STAMP", e.upper+"_ENTRY", e.upper+"_WEIGHED", e.upper+"_PORTABLE", e.upper+"_IN_X", e.upper+"_IN_YZ", e.upper+"_SELDOM", e.upper+"_IN_FLASH", e.upper+"_NEXT")
	e.runs = s.Runs()
	e.fields, e.kept = newFields(e.p), heldValues(e.runs)
	e.fields.hold(e.p, e.kept)
	e.nameLocals()
	return e
}

// nameLocals gives each operation that has a line of its own the name of its local.
func (e *emitter) nameLocals() {
	taken := newNames(e.globals())
	taken.reserve("s", "in", "out", "gains")
	e.local = make([]string, len(e.p.Ops))
	for i, op := range e.p.Ops {
		if e.Local(program.ID(i)) {
			e.local[i] = taken.unique(op.Name)
		}
	}
	for _, k := range e.fields.ticks {
		e.tick = append(e.tick, taken.unique(k.Name))
	}
}

// ctype is the C type of a value.
func ctype(t program.Type) string {
	switch t {
	case program.Bool, program.U8:
		return "uint8_t"
	case program.U16:
		return "uint16_t"
	case program.I8, program.I16, program.I32, program.I64:
		return fmt.Sprintf("int%d_t", t.Bits())
	}
	panic("c: a value without a type")
}

// localType is the C type of a local: what the processor computes with best that holds at least the numbers of t.
func localType(t program.Type) string {
	switch t {
	case program.I8, program.I16:
		return fmt.Sprintf("int_fast%d_t", t.Bits())
	case program.NoType:
		return ""
	}
	return ctype(t)
}

// stamp is the first 32 bits of the spec's hash, hexadecimal.
func stamp(u *model.Unit) string { return (u.Spec.Hash + "00000000")[:8] }

func render(name string, data any) []byte {
	var b bytes.Buffer
	if err := frames.ExecuteTemplate(&b, name, data); err != nil {
		panic("c: " + err.Error()) // the templates are part of the tool: the tests run each branch
	}
	return []byte(narrow(b.String()))
}
