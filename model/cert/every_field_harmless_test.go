package cert_test

import (
	"strings"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// harmless is a kind of change that the checker accepts, and why nothing that is claimed becomes untrue by it.
type harmless struct {
	kinds string // of place, several with blanks between; Op., Section. and so on stand for the three programs
	hows  string // empty: any
	why   string
	when  func(p *proof, c change) bool // nil: always
	seen  int
}

const (
	text   = "text for people: no number and no name that the outside goes by"
	hint   = "a wish for the search of formats, which is over"
	weaker = "claims less than what is proven"
	anew   = "another claim, which the checker proves: the search does not find the tightest"
)

var harmlessChanges = []harmless{
	{kinds: "Op.Points[].Line Op.Points[].Col Op.Divisor Op.Name Op.Doc Op.Unit Op.Label Op.OfUnit State.Name State.Doc State.Unit Coef.Name " +
		"Section.Kind Section.Line Section.Sentence Section.Equation Section.Settings Section.Settings[] Section.Settings[].Name " +
		"Section.Settings[].Unit Section.Settings[].Value Section.Settings[].PerTick", why: text},
	{kinds: "Op.Base Op.Guard Op.Same Op.Keep Op.FinerThan Op.Within Op.Factor Op.Limit Op.Limit.Count Op.Limit.High Op.Limit.Key Op.Change " +
		"Op.Exact State.Purpose State.Integral State.Base State.Like Section.Inputs Section.Inputs[]", why: hint},
	{kinds: "Section.Role Section.Facts", why: "what rules and judgements go by: no claim rests on it"},
	{kinds: "Beliefs Beliefs[].Input Beliefs[].Lo Beliefs[].Hi Beliefs[].Step Beliefs[].Moves Beliefs[].Last State.Freeze",
		why: "what made-up inputs and the view of a loop go by: neither the program nor a claim rests on it"},
	{kinds: "Asked.Ops[].K Asked.States[].Start", why: "a constant of the spec on which no claim depends, or with which the claims are proven as well",
		when: func(p *proof, c change) bool { return c.kind != "Asked.Ops[].K" || c.op(p.Asked).Kind != program.Wrap }},

	{kinds: "Integer.Ops[].Type Integer.States[].Type Integer.Coefs[].Type", why: "another signed type that holds every number", when: holdsAll},
	{kinds: "Integer.Ops[].Lo Integer.Ops[].Hi", why: "a truth value that is always the same may be said to be one or the other",
		when: func(p *proof, c change) bool { return c.op(p.Integer).Bool }},
	{kinds: "Integer.Ops[].Real", why: "the other real value is the same number",
		when: func(p *proof, c change) bool {
			return original(p.Stored.View(), program.ID(c.v.Int())) == original(p.Stored.View(), program.ID(c.to.Int()))
		}},
	{kinds: "Integer.Ops[].K", hows: "half", why: "a stage of a wrap takes off fewer turns, and the last stage still ends inside half a turn",
		when: func(p *proof, c change) bool { return c.op(p.Integer).Kind == program.Wrap }},
	{kinds: "Integer.Ops[].Arctan.Entries[] Integer.Ops[].Arctan.QuotientBits Integer.Ops[].Curve.Slope[]", why: "another table, whose error is proven anew and is not above what is said"},
	{kinds: "Integer.Ops[].Arctan.MaxError Integer.Ops[].Curve.MaxError", hows: "+1|twice|a little more", why: weaker},
	{kinds: "Integer.Sections[].Signals[].Value", why: "the value before it was rounded to this one: the claims are proven of it",
		when: func(p *proof, c change) bool {
			a, b := &p.Integer.Ops[c.v.Int()], &p.Integer.Ops[c.to.Int()]
			return original(p.Stored.View(), a.Real) == original(p.Stored.View(), b.Real) && b.LSB.Cmp(a.LSB) <= 0
		}},

	{kinds: "Certificate.Local.Signals[][] Certificate.Chain.Signals[][] Certificate.Asked.Signals[][] Certificate.Chain.States[]", hows: "nil", why: weaker},
	{kinds: "Certificate.Local.Signals[][].Hi Certificate.Chain.Signals[][].Hi Certificate.Local.States[].Hi Certificate.Chain.States[].Hi Certificate.Asked.Signals[][].Hi Certificate.Asked.States[].Hi", hows: "+1|twice|a little more", why: weaker},
	{kinds: "Certificate.Local.Signals[][].Lo Certificate.Chain.Signals[][].Lo Certificate.Local.States[].Lo Certificate.Chain.States[].Lo Certificate.Asked.Signals[][].Lo Certificate.Asked.States[].Lo", hows: "-1|twice", why: weaker},
	{kinds: "Certificate.States[].Lo Certificate.States[].Hi Certificate.Ops[].Hi Certificate.Local.States Certificate.Chain.States Certificate.Local.Signals[] Certificate.Chain.Signals[] Certificate.Asked.States Certificate.Asked.States[] Certificate.Asked.Signals[]", why: anew},
	{kinds: "Certificate.Local.Turns[][] Certificate.Chain.Turns[][] Certificate.Asked.Turns[][]", hows: "given", why: "around a circle it claims less than on a line"},
	{kinds: "Certificate.Local.Turns Certificate.Chain.Turns Certificate.Asked.Turns", hows: "one less", why: "of one section without a turn: no list says the same",
		when: func(_ *proof, c change) bool { return c.to.Len() == 0 }},
	{kinds: "Certificate.Taps Certificate.Local.Taps Certificate.Chain.Taps", hows: "one less", why: "a section that is not named has no peak gains"},
	{kinds: "Certificate.Taps[] Certificate.Local.Taps[] Certificate.Chain.Taps[] Certificate.Asked.Taps[]", hows: "+1|-1", why: "so many taps of a response prove the claims as well"},
}

// abroad writes the short kinds of the table out for both programs.
var abroad = strings.NewReplacer("Op.", "Ops[].", "State.", "States[].", "Section.", "Sections[].", "Signal.", "Sections[].Signals[].", "Coef.", "Coefs[].", "Gain.", "Gains[].",
	"Input.", "Inputs[].", "Output.", "Outputs[].")

func (h *harmless) fits(p *proof, c change) bool {
	if h.hows != "" && !strings.Contains("|"+h.hows+"|", "|"+c.how+"|") {
		return false
	}
	for _, k := range strings.Fields(h.kinds) {
		short := !strings.HasPrefix(k, "Stored.") && !strings.HasPrefix(k, "Asked.") && !strings.HasPrefix(k, "Integer.") && !strings.HasPrefix(k, "Certificate.")
		if k == c.kind || short && ("Stored."+abroad.Replace(k) == c.kind || "Integer."+abroad.Replace(k) == c.kind || "Asked."+abroad.Replace(k) == c.kind) {
			return h.when == nil || h.when(p, c)
		}
	}
	return false
}

func (c change) op(p program.Dialect) *program.Op { return p.View().Ops[c.at[0]] }

// holdsAll tells whether a type holds all that is certified of what has it.
func holdsAll(p *proof, c change) bool {
	t, at := program.Type(c.to.Uint()), c.at[0]
	lo, hi := t.Range()
	r := interval.Ints(lo, hi)
	switch {
	case !t.Signed() && t != program.Bool:
		return strings.HasPrefix(c.kind, "Integer.Ops") && p.Integer.Ops[at].Kind == program.Input && r.Holds(p.Certificate.Ops[at])
	case strings.HasPrefix(c.kind, "Integer.Ops"):
		return r.Holds(p.Certificate.Ops[at])
	case strings.HasPrefix(c.kind, "Integer.States"):
		return r.Holds(p.Certificate.States[at])
	}
	s := p.Integer.Coefs[at].Setter
	a, b := s.Apply(s.XLo), s.Apply(s.XHi)
	return r.Holds(interval.Ints(min(a, b), max(a, b)))
}
