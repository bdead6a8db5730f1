package proof

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

// Annotate writes the contracts and ranges into a header of u. Lines are added, none is changed.
// It returns an error where the header has another form than this package knows, or where a name is a word of ACSL.
func Annotate(u *model.Unit, header []byte) ([]byte, error) {
	if !u.OK() {
		return nil, fmt.Errorf("%s: nothing is proven of a spec with errors", u.BaseName())
	}
	t := &text{s: string(header)}
	name := u.Spec.Name
	_, outputs, states, coefs := c.Members(u.Integer)
	for _, m := range slices.Concat(outputs, states, coefs) {
		t.sayable(m.Name)
	}
	for _, m := range c.CountedMembers(u) {
		t.sayable(m.Name)
	}
	for _, k := range contracts(u) {
		if f, ok := t.function(k.function); ok {
			t.insert(f.from, k.String())
		}
	}
	for _, a := range angles(u, header) {
		a.annotate(t)
	}
	for _, k := range tables(u, header) {
		k.annotate(t)
	}
	step, ok := t.function(name + "_step")
	locals := c.Locals(u)
	for _, v := range values(u, locals) {
		if !ok || !t.sayable(v.name) {
			break
		}
		at, ok := t.definition(step, v.name)
		if !ok {
			break
		}
		before := ""
		if v.told && v.early {
			before = early(u, v)
		}
		t.insert(at.from, before)
		if v.told && before == "" {
			t.insert(at.to, fmt.Sprintf("    /*@ admit value_%s: %d <= %s <= %d; */\n", v.name, v.lo, v.name, v.hi))
		} else {
			t.insert(at.to, fmt.Sprintf("    /*@ assert %d <= %s <= %d; */\n", v.lo, v.name, v.hi))
		}
		for _, n := range closer(u, locals, v) {
			s := u.Integer.States[n]
			t.insert(at.to, fmt.Sprintf("    /*@ admit state_%s: %d <= %s <= %d; */\n", states[n].Name, s.Lo, v.name, s.Hi))
		}
	}
	return t.done()
}

// early tells the range of a sum, difference or rounding before it is computed; nothing, where an operand has no
// name. A sum goes in as a branch of ghost code that ends the analysis: the octagons of Eva keep what a
// branch says of a sum, and nothing of what an annotation says.
func early(u *model.Unit, v value) string {
	op := &u.Integer.Ops[v.id]
	name := written(u)
	for _, a := range op.Args {
		if at := u.Integer.ClockOf(a); name(a) == "" || at.Every != 0 && u.Integer.Ops[a].Section != op.Section { // its local stands in another block
			return ""
		}
	}
	sign := map[program.Kind]string{program.Add: "+", program.Sub: "-"}[op.Kind]
	switch {
	case op.Kind == program.Round:
		half := int64(1) << (op.Shift - 1)
		lo, hi := v.lo<<op.Shift-half, v.hi<<op.Shift+half-1
		return fmt.Sprintf("    /*@ admit value_%s: %d <= %s <= %d; */\n", v.name, lo, name(op.Args[0]), hi)
	case sign == "":
		return ""
	}
	branch := func(compare string, limit int64) string {
		return fmt.Sprintf("    /*@ ghost if ((int64_t)%s %s (int64_t)%s %s %s) { /@ admit value_%s: \\false; @/ } */\n",
			name(op.Args[0]), sign, name(op.Args[1]), compare, number(limit), v.name)
	}
	return branch("<", v.lo) + branch(">", v.hi)
}

// number is a number of C that is right where int has 16 bits.
func number(v int64) string {
	if -32768 < v && v < 32768 {
		return fmt.Sprint(v)
	}
	return fmt.Sprintf("%dLL", v)
}

// span is a piece of a text.
type span struct{ from, to int }

// text is a C text that gets lines inserted.
type text struct {
	s     string
	added []insertion
	err   error
}

type insertion struct {
	at   int
	text string
}

func (t *text) insert(at int, lines string) { t.added = append(t.added, insertion{at, lines}) }

func (t *text) fail(format string, args ...any) {
	if t.err == nil {
		t.err = fmt.Errorf(format, args...)
	}
}

// function finds the definition of a function: from the start of its first line to behind its last.
func (t *text) function(name string) (span, bool) {
	at := t.once(span{0, len(t.s)}, `(?m)^static (?:inline|[A-Z0-9_]+_SELDOM) \w+ `+regexp.QuoteMeta(name)+`\(`)
	if t.err != nil {
		return span{}, false
	}
	end := strings.Index(t.s[at.from:], "\n}\n")
	if end < 0 {
		t.fail("the header has no end of %s", name)
	}
	return span{at.from, at.from + end + len("\n}\n")}, t.err == nil
}

// definition finds the lines that define a constant local.
func (t *text) definition(in span, local string) (span, bool) {
	at := t.once(in, `(?m)^ *const \w+ +`+regexp.QuoteMeta(local)+` +=`)
	if t.err != nil {
		return span{}, false
	}
	semicolon := strings.IndexByte(t.s[at.from:in.to], ';')
	newline := strings.IndexByte(t.s[at.from+max(semicolon, 0):in.to], '\n')
	if semicolon < 0 || newline < 0 {
		t.fail("the header has no end of the definition of %s", local)
	}
	return span{at.from, at.from + semicolon + newline + 1}, t.err == nil
}

// once finds the only match of a pattern.
func (t *text) once(in span, pattern string) span {
	found := regexp.MustCompile(pattern).FindAllStringIndex(t.s[in.from:in.to], 2)
	if len(found) != 1 {
		t.fail("the header has another form than expected: %d matches of %s", len(found), pattern)
		return span{}
	}
	return span{in.from + found[0][0], in.from + found[0][1]}
}

// sayable tells whether a name can stand in an annotation.
func (t *text) sayable(name string) bool {
	if acsl[name] {
		t.fail("%s is the name of a type in ACSL and cannot stand in a contract: rename the step, input or output", name)
	}
	return t.err == nil
}

// acsl holds the types of ACSL, which Frama-C takes for a variable's name nowhere. Its other words it does.
var acsl = map[string]bool{"boolean": true, "integer": true, "real": true}

func (t *text) done() ([]byte, error) {
	if t.err != nil {
		return nil, t.err
	}
	slices.SortStableFunc(t.added, func(a, b insertion) int { return cmp.Compare(a.at, b.at) })
	var b strings.Builder
	last := 0
	for _, i := range t.added {
		b.WriteString(t.s[last:i.at] + i.text)
		last = i.at
	}
	b.WriteString(t.s[last:])
	return []byte(b.String()), nil
}
