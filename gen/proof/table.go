package proof

import (
	"bytes"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

// table is a function of the header that looks a value up.
type table struct {
	function string
	of       *program.Curve
}

// tables are those of the header.
func tables(u *model.Unit, header []byte) []table {
	var out []table
	for i, local := range c.Locals(u) {
		op := &u.Integer.Ops[i]
		if local == "" || op.Kind != program.Table {
			continue
		}
		name := u.Spec.Name + "_table_" + op.Name
		if bytes.Contains(header, []byte(" "+name+"(")) { // else another one with the same table stands for it
			out = append(out, table{name, op.Curve})
		}
	}
	return out
}

// annotate splits the places for Eva, a line of the table at a time: place, slope and value of a line belong together. Where the function is left the states are
// taken together again.
func (k table) annotate(t *text) {
	f, ok := t.function(k.function)
	if !ok {
		return
	}
	at, ok := t.definition(f, "at")
	if !ok {
		return
	}
	var pieces []span
	for i := range k.of.Slope {
		pieces = append(pieces, span{int(k.of.X[i]), int(k.of.X[i+1]) - 1})
	}
	last := int(k.of.X[len(k.of.X)-1])
	pieces = append(pieces, span{last, last})
	t.insert(at.from, "    /*@ ghost int split = 0; */\n")
	t.insert(at.to, "    /*@ ghost /@ slevel 4096; @/ split = 0; */\n    /*@ assert pieces: "+either("at", pieces)+"; */\n")
}
