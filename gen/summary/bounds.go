package summary

import (
	"math/big"
	"slices"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/program"
)

// Bound is the arithmetic rounding of one signal, against real numbers with the stored constants. Own
// is that of its step alone, fed with the integer program's values. Total is that of everything from
// the raw inputs to here; where it is missing (a switch, a limit or a sum without end lies on the way),
// the signal is what the exact steps of Through and its own give had the signals of Wrong been wrong by no
// more than said there, with the roundings of Added on the way, and its own.
type Bound struct {
	Signal    string   `json:"signal"`
	Step      string   `json:"step"`
	Kind      string   `json:"kind"`
	Unit      string   `json:"unit,omitempty"`
	Against   string   `json:"against"` // what Own, Total, Wrong and Added are measured against: contract.Stored
	Own       Number   `json:"own"`
	OwnCounts *Number  `json:"own_counts,omitempty"` // outputs: in raw counts
	OwnTurn   *Number  `json:"own_period,omitempty"` // the differences of Own are taken around a circle of this turn, in Unit; missing: on a line
	Total     *Number  `json:"total,omitempty"`
	TotalTurn *Number  `json:"total_period,omitempty"` // the same for Total
	Through   []string `json:"through"`
	Wrong     []Share  `json:"wrong"`
	Added     []Share  `json:"added"`
	// Asked is against the controller as asked: all from the raw inputs to here, in real numbers with the constants that the spec gives. Where it
	// is missing it is not proven, and AskedBy says who measures it.
	Asked     *Number `json:"as_asked,omitempty"`
	AskedTurn *Number `json:"as_asked_period,omitempty"` // as OwnTurn
	AskedBy   string  `json:"as_asked_by"`               // proof, or verify
	text      [4]string
}

// Share is what one signal contributes.
type Share struct {
	Signal string  `json:"signal"`
	Unit   string  `json:"unit,omitempty"`
	AtMost Number  `json:"at_most"`
	Turn   *Number `json:"period,omitempty"` // it is wrong by so much around a circle of this turn; missing: on a line
	text   string
	where  string // around the circle, or nothing
	order  int
}

// OwnText is the rounding of the step itself, rounded up, with its unit.
func (b Bound) OwnText() string { return b.text[0] + b.text[2] }

// TotalText says how far the signal can be from real numbers in all.
func (b Bound) TotalText() string {
	switch {
	case b.Total != nil:
		return b.text[1]
	case len(b.Wrong) == 0:
		return b.text[0]
	}
	parts := make([]string, len(b.Wrong))
	for i, w := range b.Wrong {
		parts[i] = w.Signal + " were " + w.text + w.where
		if i > 0 {
			parts[i] = w.Signal + " " + w.text + w.where
		}
	}
	return "as if " + listed(parts) + " off"
}

// AskedText says how far the signal can be from the controller as asked.
func (b Bound) AskedText() string {
	if b.Asked == nil {
		return "verify measures it"
	}
	return b.text[3]
}

// InWords says of each output how far it can be from real numbers, with the stored constants and as asked.
func (s *Summary) InWords() (sentences []string) {
	var open []string
	for _, b := range s.Bounds {
		if b.Kind != "output" {
			continue
		}
		text := b.Sentence() + "."
		switch {
		case b.Asked == nil:
			open = append(open, b.Signal)
		case b.text[3] == "none":
			text += " It is what the controller as asked gives."
		default:
			text += " From what the controller as asked gives, with the constants of the spec, it is off by at most " + b.text[3] + "."
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
	return sentences
}

// Sentence says the bound in words.
func (b Bound) Sentence() string {
	if b.Total != nil {
		if *b.Total == 0 {
			return b.Signal + " is what the exact steps give with the stored constants"
		}
		return b.Signal + " is what the exact steps give with the stored constants, plus at most " + b.text[1]
	}
	exact := "the exact " + b.Kind
	switch {
	case len(b.Through) > 0:
		exact = "the exact steps " + listed(append(b.Through[:len(b.Through):len(b.Through)], b.Step))
	case b.Kind == "output":
		exact = "the exact output stage"
	}
	text := b.Signal + " is what " + exact
	var wrong, added []string
	for i, w := range b.Wrong {
		if i == 0 {
			wrong = append(wrong, w.Signal+" been wrong by at most "+w.text+w.where)
		} else {
			wrong = append(wrong, w.Signal+" by at most "+w.text+w.where)
		}
	}
	for _, a := range b.Added {
		added = append(added, a.text+a.where+" at "+a.Signal)
	}
	if b.Own > 0 {
		added = append(added, b.OwnText()+" at "+b.Signal)
	}
	if len(wrong) > 0 {
		text += " would give with the stored constants had " + listed(wrong)
	} else if len(b.Through) > 0 {
		text += " give with the stored constants"
	} else {
		text += " gives with the stored constants"
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
func bounds(u *model.Unit) []Bound {
	p := u.Integer
	of := map[program.ID]int{}
	for i, b := range u.Bounds {
		of[p.Sections[b.Section].Signals[b.Signal].Value] = i
	}
	out := []Bound{}
	for _, b := range u.Bounds {
		section := p.Sections[b.Section]
		if section.Kind == "inputs" && (b.Chain == nil || b.Chain.Sign() == 0) || b.Local == nil {
			continue
		}
		sig := section.Signals[b.Signal]
		unit := p.Ops[sig.Value].Unit
		t := Bound{Signal: sig.Name, Step: section.Name, Kind: section.Kind, Unit: unit, Against: contract.Stored, Own: above(b.Local), OwnTurn: turn(b.LocalTurn), Through: []string{}, Wrong: []Share{}, Added: []Share{}}
		t.text[0] = amount(b.Local, unit, b.LocalTurn)
		for _, o := range p.Outputs {
			if o.Value == sig.Value && b.Local.Sign() > 0 {
				inCounts := new(big.Rat).Quo(b.Local, o.LSB)
				n := above(inCounts)
				t.OwnCounts, t.text[2] = &n, " ("+contract.Up(inCounts)+" count)"
			}
		}
		if t.AskedBy = "verify"; b.Asked != nil {
			asked := above(b.Asked)
			t.Asked, t.AskedTurn, t.AskedBy, t.text[3] = &asked, turn(b.AskedTurn), "proof", amount(b.Asked, unit, b.AskedTurn)
		}
		if b.Chain != nil {
			total := above(b.Chain)
			t.Total, t.TotalTurn, t.text[1] = &total, turn(b.ChainTurn), amount(b.Chain, unit, b.ChainTurn)
		} else {
			t.carried(u, of, b.Section)
		}
		out = append(out, t)
	}
	return out
}

// carried walks back from a step to the signals whose total is known.
func (t *Bound) carried(u *model.Unit, of map[program.ID]int, section int) {
	seen := map[program.ID]bool{}
	var through []int
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
				t.Wrong = append(t.Wrong, share(u, i, b.Chain, b.ChainTurn)...)
				continue
			}
			t.Added = append(t.Added, share(u, i, b.Local, b.LocalTurn)...)
			if !slices.Contains(through, b.Section) {
				through = append(through, b.Section)
			}
			visit(b.Section)
		}
	}
	visit(section)
	slices.Sort(through)
	for _, s := range through {
		t.Through = append(t.Through, u.Integer.Sections[s].Name)
	}
	byOrder := func(a, b Share) int { return a.order - b.order }
	slices.SortFunc(t.Wrong, byOrder)
	slices.SortFunc(t.Added, byOrder)
}

// share is what a signal contributes, or nothing.
func share(u *model.Unit, i int, r, around *big.Rat) []Share {
	if r == nil || r.Sign() == 0 && around == nil {
		return nil
	}
	sig := u.Integer.Sections[u.Bounds[i].Section].Signals[u.Bounds[i].Signal]
	unit := u.Integer.Ops[sig.Value].Unit
	s := Share{Signal: sig.Name, Unit: unit, AtMost: above(r), Turn: turn(around), text: amount(r, unit, nil), order: i}
	if around != nil {
		s.where = " " + contract.Around
	}
	return []Share{s}
}

func turn(t *big.Rat) *Number {
	if t == nil {
		return nil
	}
	n := above(t)
	return &n
}

func amount(r *big.Rat, unit string, turn *big.Rat) string {
	if r.Sign() == 0 && turn == nil {
		return "none"
	}
	text := named(contract.Up(r), unit)
	if turn != nil {
		text += " " + contract.Around
	}
	return text
}
