// Package c writes the C side of a controller: the header with the controller itself, a host
// program that runs it on a stream of records, and self-test vectors for the board.
//
// The header is C99 that compiles as C++11 too, uses <stdint.h> only, and is right where int has 16
// bits: each operation is done in the type that program.Width proves wide enough for it.
package c

import (
	"bytes"
	"fmt"
	"math/big"
	"strings"
	"text/template"

	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/program"
	"gainwright/templates"
)

var frames = template.Must(template.ParseFS(templates.C, "c_*.tmpl"))

// Header returns <name>.h: types, init, setters of the live gains and step.
func Header(u *model.Unit) []byte {
	e := newEmitter(u)
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
	unit        *model.Unit
	p           *program.Program
	name, upper string
	live        []bool               // operations that a state or an output depends on
	local       []string             // C name of each live operation's value
	bySection   map[int][]program.ID // the operations that define a local, by the place they stand in
	fields      fields
	macros      names
	constants   []constant
	macroOf     map[program.ID]string // operations whose macro has been defined
	used        map[primitive]bool
	arctans     []arctan
}

// Places of operations that stand before the sections.
const (
	rawInputs = -2
	outside   = -1
)

func newEmitter(u *model.Unit) *emitter {
	e := &emitter{unit: u, p: u.Integer, name: u.Spec.Name, upper: strings.ToUpper(u.Spec.Name),
		macroOf: map[program.ID]string{}, used: map[primitive]bool{}, macros: names{}}
	e.macros.reserve(e.upper+"_H", e.upper+"_STAMP", e.upper+"_ENTRY", e.upper+"_WEIGHED")
	e.fields = newFields(e.p)
	e.markLive()
	e.nameLocals()
	return e
}

// markLive finds the operations that some state or output depends on; the others are not emitted.
func (e *emitter) markLive() {
	e.live = make([]bool, len(e.p.Ops))
	for _, o := range e.p.Outputs {
		e.live[o.Value] = true
	}
	for _, s := range e.p.States {
		for _, id := range []program.ID{s.Next, s.Enable, s.Reset} {
			if id != program.None {
				e.live[id] = true
			}
		}
		if s.Reset != program.None {
			e.live[s.ResetTo] = true
		}
	}
	for i := len(e.p.Ops) - 1; i >= 0; i-- {
		if _, known := e.decided(program.ID(i)); e.live[i] && !known {
			for _, a := range e.p.Ops[i].Args {
				e.live[a] = true
			}
		}
	}
}

// decided tells what an operation yields where that does not depend on its arguments: a factor of 0, or
// a comparison that the certified ranges settle, about which a compiler would warn.
func (e *emitter) decided(id program.ID) (value int64, known bool) {
	op := e.p.Ops[id]
	switch op.Kind {
	case program.Scale:
		return 0, op.K.Sign() == 0
	case program.Less, program.LessEqual:
		a, b := e.p.Ops[op.Args[0]], e.p.Ops[op.Args[1]]
		always := a.Hi < b.Lo || op.Kind == program.LessEqual && a.Hi == b.Lo
		never := a.Lo > b.Hi || op.Kind == program.Less && a.Lo == b.Hi
		if always {
			return 1, true
		}
		return 0, never
	}
	return 0, false
}

// nameLocals gives each live operation the name of its local. Two reads of one input, state or
// coefficient share a local.
func (e *emitter) nameLocals() {
	taken := names{}
	taken.reserve("s", "in", "out")
	taken.reserve(e.globals()...)
	e.local = make([]string, len(e.p.Ops))
	e.bySection = map[int][]program.ID{}
	type read struct {
		kind  program.Kind
		index int
	}
	first := map[read]string{}
	for i, op := range e.p.Ops {
		if !e.live[i] || op.Kind == program.Const {
			continue
		}
		r := read{op.Kind, op.Index}
		reads := op.Kind == program.Input || op.Kind == program.State || op.Kind == program.Coef
		if reads && first[r] != "" {
			e.local[i] = first[r]
			continue
		}
		e.local[i] = taken.unique(op.Name)
		section := op.Section
		switch {
		case op.Kind == program.Input:
			section = rawInputs
		case section < 0:
			section = outside
		}
		e.bySection[section] = append(e.bySection[section], program.ID(i))
		if reads {
			first[r] = e.local[i]
		}
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

// stamp is the first 32 bits of the spec's hash, hexadecimal.
func stamp(u *model.Unit) string { return (u.Spec.Hash + "00000000")[:8] }

func render(name string, data any) []byte {
	var b bytes.Buffer
	if err := frames.ExecuteTemplate(&b, name, data); err != nil {
		panic("c: " + err.Error()) // the templates are part of the tool: the tests run each branch
	}
	return []byte(narrow(b.String()))
}

// banner is the comment at the top of the header.
func banner(u *model.Unit) string {
	p := u.Integer
	text := render("c_banner.tmpl", map[string]any{
		"Name":      u.Spec.Name,
		"About":     contract.Plain(u.Spec.About),
		"Version":   model.Version,
		"File":      contract.Plain(base(u.Spec.File)),
		"Hash":      contract.Plain(u.Spec.Hash),
		"Target":    contract.Plain(u.Spec.Target),
		"Period":    period(p.Rate),
		"Rate":      contract.Decimal(p.Rate) + " Hz",
		"Gains":     len(p.Gains) > 0,
		"Constants": constantTable(u.Constants),
	})
	return blockComment("", strings.Split(strings.TrimRight(string(text), "\n"), "\n"))
}

// base is the last part of a path, whichever way its slashes lean.
func base(path string) string { return path[strings.LastIndexAny(path, `/\`)+1:] }

// period is the time from tick to tick, in the largest unit that it has one of.
func period(rate *big.Rat) string {
	t := new(big.Rat).Inv(rate)
	for _, unit := range []string{"s", "ms"} {
		if t.Cmp(big.NewRat(1, 1)) >= 0 {
			return contract.Decimal(t) + " " + unit
		}
		t.Mul(t, big.NewRat(1000, 1))
	}
	return contract.Decimal(t) + " us"
}

// constantTable lists what the numbers of the spec became.
func constantTable(constants []model.Constant) string {
	rows := make([][]string, len(constants))
	for i, k := range constants {
		asked := contract.Exact(k.Asked)
		if len(asked) > 12 || strings.Contains(asked, "/") {
			asked = contract.Decimal(k.Asked)
		}
		asked = strings.TrimSpace(asked + " " + contract.Plain(k.Unit))
		note := ""
		if k.Live {
			note = "live, at start"
		}
		rows[i] = []string{contract.Plain(k.Name), asked, "-> " + contract.Decimal(k.Stored), relative(k.Asked, k.Stored), note}
	}
	return columns("    ", rows)
}

// relative is the relative error of a stored constant, in words where it is none.
func relative(asked, stored *big.Rat) string {
	d := new(big.Rat).Sub(stored, asked)
	switch {
	case d.Sign() == 0:
		return "exact"
	case asked.Sign() == 0:
		return "was 0"
	}
	f, _ := d.Quo(d, asked).Float64()
	return fmt.Sprintf("%+.1e", f)
}
