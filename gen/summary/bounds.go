package summary

import (
	"math/big"
	"slices"
	"strings"

	"gainwright/gen/contract"
	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/program"
)

// amount is a bound of a difference; nil where there is none. Where turn is not nil it is taken around a circle of that turn.
type amount struct {
	r, turn *big.Rat
	unit    string
}

// some tells whether there is a difference at all.
func (a amount) some() bool { return a.r != nil && (a.r.Sign() != 0 || a.turn != nil) }

func (a amount) String() string {
	if !a.some() {
		return "none"
	}
	return contract.Amount(a.r, a.unit, a.turn)
}

// share is what one signal contributes to the rounding of another.
type share struct {
	signal string
	amount
	order int
}

// MarshalJSON writes it for programs.
func (s share) MarshalJSON() ([]byte, error) {
	return document.Fields("signal", s.signal, "unit", document.Some(s.unit), "at_most", above(s.r), "period", optional(s.turn, above)).MarshalJSON()
}

// bound is the arithmetic rounding of one signal, against real numbers with the stored constants. Own is that of its step alone, fed with the integer
// program's values. Total is that of everything from the raw inputs to here; where it is missing (a switch, a limit or a sum without end lies on the
// way), the signal is what the exact steps of through and its own give had the signals of wrong been wrong by no more than said there, with
// the roundings of added on the way, and its own. Asked is against the controller as asked: all from the raw inputs to here, in real
// numbers with the constants that the spec gives; where it is missing it is not proven, and verify measures it.
type bound struct {
	signal, step, kind string
	role               program.Role
	own, total, asked  amount
	counts             *big.Rat // own, in raw counts of an output
	through            []string
	wrong, added       []share
}

// ownText is the rounding of the step itself, rounded up, with its unit.
func (b *bound) ownText() string {
	if b.counts == nil {
		return b.own.String()
	}
	return b.own.String() + " (" + contract.Up(b.counts) + " count)"
}

// totalText says how far the signal can be from real numbers in all.
func (b *bound) totalText() string {
	switch {
	case b.total.r != nil:
		return b.total.String()
	case len(b.wrong) == 0:
		return b.own.String()
	}
	return "as if " + shares(b.wrong, " were ", " ") + " off"
}

// shares lists signals with their amounts; between the first and its amount stands one text, between others another.
func shares(list []share, first, other string) string {
	parts := make([]string, len(list))
	for i, w := range list {
		parts[i] = w.signal + first + w.String()
		first = other
	}
	return listed(parts)
}

// rounding is the table of bounds, and says of each output how far it can be from real numbers, with the stored constants and as asked.
func rounding(bounds []bound) (*document.Table, []string) {
	t := &document.Table{Title: "Rounding at most, at any tick, against " + contract.Stored,
		Columns: document.Columns("signal:signal|step|kind:step|unit|against|own:of the step itself|own_counts|own_period|total:in all, from the raw inputs to here|total_period|through|wrong|added|" +
			"as_asked:against the constants as asked|as_asked_period|as_asked_by")}
	var open, sentences []string
	for i := range bounds {
		b := &bounds[i]
		asked, by := document.Both(b.asked.String(), optional(b.asked.r, above)), "proof"
		if b.asked.r == nil {
			asked.Text, by = "verify measures it", "verify"
		}
		t.Put(document.Word(b.signal), b.step, document.Word(b.kind), document.Some(b.own.unit), contract.Stored,
			document.Both(b.ownText(), above(b.own.r)), optional(b.counts, above), optional(b.own.turn, above),
			document.Both(b.totalText(), optional(b.total.r, above)), optional(b.total.turn, above), b.through, b.wrong, b.added,
			asked, optional(b.asked.turn, above), by)
		if b.role != program.Stage {
			continue
		}
		text := b.sentence() + "."
		switch {
		case b.asked.r == nil:
			open = append(open, b.signal)
		case !b.asked.some():
			text += " It is what the controller as asked gives."
		default:
			text += " From what the controller as asked gives, with the constants of the spec, it is off by at most " + b.asked.String() + "."
		}
		sentences = append(sentences, text)
	}
	if len(open) > 0 {
		is := " is"
		if len(open) > 1 {
			is = " are"
		}
		sentences = append(sentences, "How far "+listed(open)+is+" from the controller as asked is not proven: on the way lies a live gain, an integral, a switch, a seam or a very slow filter. gainwright verify measures it.")
	}
	return t, sentences
}

// sentence says the bound in words.
func (b *bound) sentence() string {
	const stored = " with the stored constants"
	if b.total.r != nil {
		text := b.signal + " is what the exact steps give" + stored
		if b.total.r.Sign() != 0 {
			text += ", plus at most " + b.total.String()
		}
		return text
	}
	exact, gives := "the exact "+b.kind, " gives"
	switch {
	case len(b.through) > 0:
		exact, gives = "the exact steps "+listed(append(slices.Clone(b.through), b.step)), " give"
	case b.role == program.Stage:
		exact = "the exact output stage"
	}
	text := b.signal + " is what " + exact
	if len(b.wrong) > 0 {
		text += " would give" + stored + " had " + shares(b.wrong, " been wrong by at most ", " by at most ")
	} else {
		text += gives + stored
	}
	var added []string
	for _, a := range b.added {
		added = append(added, a.String()+" at "+a.signal)
	}
	if b.own.r.Sign() > 0 {
		added = append(added, b.ownText()+" at "+b.signal)
	}
	if len(added) > 0 {
		text += ", plus at most " + listed(added)
	}
	return text
}

func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// bounds lists the bounds of all signals but the raw inputs, which are exact.
func bounds(u *model.Unit) (out []bound) {
	if !u.OK() {
		return nil
	}
	p := u.Integer
	of := map[program.ID]int{}
	for i, b := range u.Bounds {
		of[p.Sections[b.Section].Signals[b.Signal].Value] = i
	}
	for _, b := range u.Bounds {
		section := p.Sections[b.Section]
		if section.Role == program.Inputs && (b.Chain == nil || b.Chain.Sign() == 0) || b.Local == nil {
			continue
		}
		sig := section.Signals[b.Signal]
		unit := p.Ops[sig.Value].Unit
		t := bound{signal: sig.Name, step: section.Name, kind: section.Kind, role: section.Role, own: amount{b.Local, b.LocalTurn, unit}, total: amount{b.Chain,
			b.ChainTurn, unit}, asked: amount{b.Asked, b.AskedTurn, unit},
			through: []string{}, wrong: []share{}, added: []share{}}
		for _, o := range p.Outputs {
			if o.Value == sig.Value && b.Local.Sign() > 0 {
				t.counts = new(big.Rat).Quo(b.Local, o.LSB)
			}
		}
		if b.Chain == nil {
			t.carried(u, of, b.Section)
		}
		out = append(out, t)
	}
	return out
}

// carried walks back from a step to the signals whose total is known.
func (t *bound) carried(u *model.Unit, of map[program.ID]int, section int) {
	seen := map[program.ID]bool{}
	var through []int
	add := func(to *[]share, i int, r, turn *big.Rat) {
		sig := u.Integer.Sections[u.Bounds[i].Section].Signals[u.Bounds[i].Signal]
		if s := (share{sig.Name, amount{r, turn, u.Integer.Ops[sig.Value].Unit}, i}); s.some() {
			*to = append(*to, s)
		}
	}
	var visit func(section int)
	visit = func(section int) {
		for _, id := range u.Integer.Sections[section].Inputs {
			i, known := of[id]
			if seen[id] || !known {
				continue
			}
			seen[id] = true
			b := u.Bounds[i]
			if b.Chain != nil {
				add(&t.wrong, i, b.Chain, b.ChainTurn)
				continue
			}
			add(&t.added, i, b.Local, b.LocalTurn)
			if !slices.Contains(through, b.Section) {
				through = append(through, b.Section)
			}
			visit(b.Section)
		}
	}
	visit(section)
	slices.Sort(through)
	for _, s := range through {
		t.through = append(t.through, u.Integer.Sections[s].Name)
	}
	byOrder := func(a, b share) int { return a.order - b.order }
	slices.SortFunc(t.wrong, byOrder)
	slices.SortFunc(t.added, byOrder)
}
