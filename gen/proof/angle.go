package proof

import (
	"fmt"
	"regexp"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

// angle is a function of the header that evaluates a table of the arctangent.
type angle struct {
	function string
	argument string // type of the arguments
	lo, hi   int    // what they can be
	table    *program.Arctan
}

// angles are those of the header.
func angles(u *model.Unit, header []byte) []angle {
	var out []angle
	for i, local := range c.Locals(u) {
		op := &u.Integer.Ops[i]
		if local == "" || op.Kind != program.Angle {
			continue
		}
		name := u.Spec.Name + "_angle_" + op.Name
		found := regexp.MustCompile(`(?m)^static inline \w+ ` + name + `\((\w+) y, (\w+) x\)$`).FindSubmatch(header)
		if found == nil || string(found[1]) != string(found[2]) {
			continue // another one with the same table stands for it
		}
		a := angle{name, string(found[1]), -65535, 65535, op.Arctan}
		if a.argument != "int32_t" {
			a.lo, a.hi = -32768, 32767
		}
		out = append(out, a)
	}
	return out
}

func angleNames(u *model.Unit, header []byte) []string {
	var out []string
	for _, a := range angles(u, header) {
		out = append(out, a.function)
	}
	return out
}

// annotate splits the arguments for Eva.
//
// That the quotient of the lesser side by the larger one stays inside the table is a fact about two values at
// once. Where |x| lies between a and b, the lesser side is at most b and the larger at least a: so Eva finds
// the quotient below 1 + 1/entries in each of the bands where b/a is small enough, and 0 where x is. Then
// it takes the states together, and splits them again from entry to entry of the table, because the rise of
// a piece belongs to that piece.
func (a angle) annotate(t *text) {
	f, ok := t.function(a.function)
	if !ok {
		return
	}
	half := 2 * a.table.Quarter
	t.insert(f.from, promise{a.function, []string{
		fmt.Sprintf("requires %d <= y <= %d && %d <= x <= %d", a.lo, a.hi, a.lo, a.hi),
		`assigns \nothing`,
		fmt.Sprintf(`ensures %d <= \result <= %d`, -half, half),
	}}.String())
	step := a.table.QuotientBits - a.table.LogEntries
	ay, _ := t.definition(f, "ay")
	ax, _ := t.definition(f, "ax")
	q, ok := t.definition(f, "q")
	turn := t.once(f, `(?m)^ *if \(ay > ax\) \{`)
	if !ok || t.err != nil {
		return
	}
	const mark = "/*@ ghost /@ slevel %s; @/ split = 0; */\n"
	t.insert(ay.from, "    /*@ ghost int split = 0; */\n    "+fmt.Sprintf(mark, "merge"))
	t.insert(ax.to, "    "+fmt.Sprintf(mark, "4096")+"    /*@ assert bands: "+either("ax", a.bands())+"; */\n")
	var pieces []span
	for i := range 1<<a.table.LogEntries + 1 {
		pieces = append(pieces, span{i << step, (i+1)<<step - 1})
	}
	t.insert(q.to, "        "+fmt.Sprintf(mark, "merge")+"        "+fmt.Sprintf(mark, "4096")+
		"        /*@ assert pieces: "+either("q", pieces)+"; */\n")
	t.insert(turn.from, "        /*@ slevel merge; */\n")
}

// bands cut the sizes of an argument so finely that in each but the first, which is 0 alone, the quotient
// of its ends is below 1 + 1/entries.
func (a angle) bands() []span {
	n := a.table.QuotientBits
	limit := 1<<n + 1<<(n-a.table.LogEntries)
	out := []span{{0, 0}}
	for lo := 1; lo <= -a.lo; lo = out[len(out)-1].to + 1 {
		out = append(out, span{lo, min(-a.lo, max(lo, (limit*lo-1)>>n))})
	}
	return out
}

// either is a disjunction, folded.
func either(name string, of []span) string {
	var b strings.Builder
	column := 0
	for i, s := range of {
		term := fmt.Sprintf("%d <= %s <= %d", s.from, name, s.to)
		if i > 0 {
			b.WriteString(" ||")
			if column += len(term) + 4; column > 80 {
				b.WriteString("\n       ")
				column = 0
			}
			b.WriteByte(' ')
		}
		b.WriteString(term)
	}
	return b.String()
}

// calls are those that show Eva every argument, a power of two at a time to keep few states at once.
func (a angle) calls() []string {
	var out []string
	some := func(lo, hi int) string { return anywhere(a.argument, int64(lo), int64(hi)) }
	for lo, hi := 0, 1<<a.table.LogEntries-1; lo <= -a.lo; lo, hi = hi+1, min(-a.lo, 2*hi+1) {
		for _, x := range []span{{lo, min(hi, a.hi)}, {-hi, -lo}} {
			if x.from <= x.to {
				out = append(out, fmt.Sprintf("%s(%s, %s);", a.function, some(a.lo, a.hi), some(x.from, x.to)))
			}
		}
	}
	return out
}

// anywhere is an expression of any number in a range.
func anywhere(ctype string, lo, hi int64) string {
	return fmt.Sprintf("(%s)Frama_C_long_long_interval(%s, %s)", ctype, number(lo), number(hi))
}
