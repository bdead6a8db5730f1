package proof

import (
	"fmt"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

// angle is a function of the header that evaluates a table of the arctangent.
type angle struct {
	function string
	table    *program.Arctan
}

// reach is the largest size of an argument.
const reach = 65535

// angles are those of the header.
func angles(u *model.Unit, header []byte) []angle {
	var out []angle
	for i, local := range c.Locals(u) {
		op := &u.Integer.Ops[i]
		name := u.Spec.Name + "_angle_" + op.Name
		if local != "" && op.Kind == program.Angle && strings.Contains(string(header), " "+name+"(int32_t y, int32_t x)\n") {
			out = append(out, angle{name, op.Table})
		}
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
	t.insert(f.from, contract{a.function, []string{
		fmt.Sprintf("requires %d <= y <= %d && %d <= x <= %d", -reach, reach, -reach, reach),
		`assigns \result \from y, x`,
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
	t.insert(ay.from, "    /*@ ghost int split = 0; */\n    "+fmt.Sprintf(mark, "4096"))
	t.insert(ax.to, "    /*@ assert bands: "+either("ax", a.bands())+"; */\n")
	var pieces []span
	for i := range 1<<a.table.LogEntries + 1 {
		pieces = append(pieces, span{i << step, (i+1)<<step - 1})
	}
	t.insert(q.to, "        "+fmt.Sprintf(mark, "merge")+"        "+fmt.Sprintf(mark, "4096")+
		"        /*@ assert pieces: "+either("q", pieces)+"; */\n")
	t.insert(turn.from, "        /*@ slevel merge; */\n")
}

// bands cut the sizes from 0 to reach so finely that in each but the first, which is 0 alone, the quotient
// of its ends is below 1 + 1/entries.
func (a angle) bands() []span {
	n := a.table.QuotientBits
	limit := 1<<n + 1<<(n-a.table.LogEntries)
	out := []span{{0, 0}}
	for lo := 1; lo <= reach; lo = out[len(out)-1].to + 1 {
		out = append(out, span{lo, min(reach, max(lo, (limit*lo-1)>>n))})
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
	for lo, hi := 0, 1<<a.table.LogEntries-1; lo <= reach; lo, hi = hi+1, min(reach, 2*hi+1) {
		for _, x := range []span{{lo, hi}, {-hi, -lo}} {
			for _, y := range []span{{0, reach}, {-reach, -1}} {
				out = append(out, fmt.Sprintf("%s(%s, %s);", a.function, anywhere(program.I32, int64(y.from), int64(y.to)), anywhere(program.I32, int64(x.from), int64(x.to))))
			}
		}
	}
	return out
}

// anywhere is an expression of any number in a range.
func anywhere(t program.Type, lo, hi int64) string {
	return fmt.Sprintf("(%s)Frama_C_long_long_interval(%s, %s)", c.CType(t), number(lo), number(hi))
}
