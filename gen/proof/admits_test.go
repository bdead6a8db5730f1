package proof

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/cert"
	"gainwright/model/program"
)

// The forms that an annotation of a header may have. What Eva takes on trust is "admit" alone; anything else
// is for Eva to prove, or changes nothing but the states that it keeps apart.
var forms = struct{ contract, assert, mark, range_, sum, state *regexp.Regexp }{
	contract: regexp.MustCompile(`^/\*@ (?:(?:requires|assigns|ensures) [^;@]+;\s+)+\*/$`),
	assert:   regexp.MustCompile(`^/\*@ assert [^;@]+; \*/$`),
	mark:     regexp.MustCompile(`^/\*@ (?:ghost int split = 0;|ghost /@ slevel \w+; @/ split = 0;|slevel merge;) \*/$`),
	range_:   regexp.MustCompile(`^/\*@ admit value_(\w+): (-?\d+) <= (\w+) <= (-?\d+); \*/$`),
	state:    regexp.MustCompile(`^/\*@ admit state_(\w+): (-?\d+) <= (\w+) <= (-?\d+); \*/$`),
	sum:      regexp.MustCompile(`^/\*@ ghost if \(\(int64_t\)(-?\w+) ([+-]) \(int64_t\)(-?\w+) ([<>]) (-?\d+)(?:LL)?\) \{ /@ admit value_(\w+): \\false; @/ \} \*/$`),
}

// Admit is a fact that Eva is told rather than finds: the certified range of one value of the step.
type Admit struct {
	Value  string // its local in the header, or the state that it becomes
	Lo, Hi *big.Rat
	// Peak and Sum tell the kind of the certificate's fact: from peak gains, as the sum of states, or else from the affine form of the value.
	Peak, Sum bool
}

func (a Admit) String() string {
	kind := "by its affine form"
	if a.Peak {
		kind = "by peak gains"
	} else if a.Sum {
		kind = "as a sum of states"
	}
	return fmt.Sprintf("%s in [%s, %s], certified %s", a.Value, a.Lo.RatString(), a.Hi.RatString(), kind)
}

// Admits reads what an annotated header admits, and refuses every admission that is not a fact of the
// certificate, or weaker than one, and every annotation of another form than this package writes. The
// certificate itself is checked once more by the exact checker.
func Admits(u *model.Unit, header []byte) ([]Admit, error) {
	if err := cert.Check(u.Stored, u.Integer, u.Certificate); err != nil {
		return nil, fmt.Errorf("the certificate is refused: %w", err)
	}
	list, err := annotations(string(header))
	if err != nil {
		return nil, err
	}
	var out []Admit
	for _, a := range list {
		var fact Admit
		var err error
		if m := forms.range_.FindStringSubmatch(a); m != nil {
			fact, err = admitted(u, m[1], m[3], m[2], m[4])
		} else if m := forms.state.FindStringSubmatch(a); m != nil {
			fact, err = admittedState(u, m[1], m[3], m[2], m[4])
		} else if m := forms.sum.FindStringSubmatch(a); m != nil {
			fact, err = admittedSum(u, m[6], m[1], m[2], m[3], m[4], m[5])
		} else if slices.ContainsFunc([]*regexp.Regexp{forms.contract, forms.assert, forms.mark}, func(f *regexp.Regexp) bool { return f.MatchString(a) }) {
			continue
		} else {
			err = fmt.Errorf("it has none of the forms that are written here")
		}
		if err != nil {
			return nil, fmt.Errorf("annotation %s: %w", a, err)
		}
		if !slices.ContainsFunc(out, func(o Admit) bool { return o.Value == fact.Value }) {
			out = append(out, fact)
		}
	}
	return out, nil
}

var errNoFact = fmt.Errorf("the certificate does not say this")

// admitted is the fact behind an admission about the range of a variable: the value itself, or what is
// rounded to become the value.
func admitted(u *model.Unit, value, variable, low, high string) (Admit, error) {
	id, fact, ok := certified(u, value)
	lo, hi := rational(low), rational(high)
	if !ok || lo == nil || hi == nil {
		return Admit{}, errNoFact
	}
	from, to := fact.Lo, fact.Hi
	if op := &u.Integer.Ops[id]; variable != value {
		if op.Kind != program.Round || c.Locals(u)[op.Args[0]] != variable {
			return Admit{}, errNoFact
		}
		// floor((x + half)/2^n) in [a, b] says that x is in [a*2^n - half, b*2^n + half - 1]
		unit := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), op.Shift))
		half := new(big.Rat).Quo(unit, big.NewRat(2, 1))
		from = new(big.Rat).Sub(new(big.Rat).Mul(from, unit), half)
		to = new(big.Rat).Add(new(big.Rat).Mul(to, unit), half)
		to.Sub(to, big.NewRat(1, 1))
	}
	if lo.Cmp(from) > 0 || hi.Cmp(to) < 0 {
		return Admit{}, errNoFact
	}
	return fact, nil
}

// admittedState is the fact behind an admission about the value that a state becomes.
func admittedState(u *model.Unit, state, variable, low, high string) (Admit, error) {
	_, _, states, _ := c.Members(u.Integer)
	n := slices.IndexFunc(states, func(m c.Member) bool { return m.Name == state })
	lo, hi := rational(low), rational(high)
	if n < 0 || lo == nil || hi == nil || !takes(u, c.Locals(u), n, variable) {
		return Admit{}, errNoFact
	}
	r := u.Certificate.States[n]
	if lo.Cmp(r.Lo) > 0 || hi.Cmp(r.Hi) < 0 {
		return Admit{}, errNoFact
	}
	s := u.Integer.States[n].Section
	return Admit{Value: "s->" + state, Lo: r.Lo, Hi: r.Hi, Peak: s < len(u.Certificate.Taps) && u.Certificate.Taps[s] != 0}, nil
}

// admittedSum is the fact behind an admission that a sum or difference does not go beyond a limit.
func admittedSum(u *model.Unit, value, a, sign, b, compare, limit string) (Admit, error) {
	id, fact, ok := certified(u, value)
	k := rational(limit)
	if !ok || k == nil {
		return Admit{}, errNoFact
	}
	op := &u.Integer.Ops[id]
	name := written(u)
	kind := map[string]program.Kind{"+": program.Add, "-": program.Sub}[sign]
	if op.Kind != kind || name(op.Args[0]) != a || name(op.Args[1]) != b {
		return Admit{}, errNoFact
	}
	if compare == "<" && k.Cmp(fact.Lo) > 0 || compare == ">" && k.Cmp(fact.Hi) < 0 {
		return Admit{}, errNoFact
	}
	return fact, nil
}

func rational(s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return nil
	}
	return r
}

// annotations are the comments of a C text that a tool reads as ACSL.
func annotations(s string) ([]string, error) {
	var out []string
	for i := 0; i < len(s); {
		rest := s[i:]
		switch {
		case strings.HasPrefix(rest, "/*"):
			end := strings.Index(rest[2:], "*/")
			if end < 0 {
				return nil, fmt.Errorf("a comment does not end")
			}
			if strings.HasPrefix(rest, "/*@") {
				out = append(out, rest[:end+4])
			}
			i += end + 4
		case strings.HasPrefix(rest, "//"):
			end := strings.IndexByte(rest+"\n", '\n')
			if strings.HasPrefix(rest, "//@") {
				out = append(out, rest[:end])
			}
			i += end
		case rest[0] == '"' || rest[0] == '\'':
			end := 1
			for end < len(rest) && rest[end] != rest[0] {
				if rest[end] == '\\' {
					end++
				}
				end++
			}
			i += end + 1
		default:
			i++
		}
	}
	return out, nil
}

// certified returns the fact of the certificate about the value with the given local.
func certified(u *model.Unit, local string) (id program.ID, fact Admit, ok bool) {
	at := slices.Index(c.Locals(u), local)
	if local == "" || at < 0 {
		return program.None, Admit{}, false
	}
	id = program.ID(at)
	r := u.Certificate.Ops[id]
	return id, Admit{Value: local, Lo: r.Lo, Hi: r.Hi, Peak: peaked(u, id), Sum: summed(u, id)}, true
}

// peaked tells whether a value's range is the claim of a state that peak gains prove.
func peaked(u *model.Unit, id program.ID) bool {
	s := u.Integer.Ops[id].Section
	if s < 0 || s >= len(u.Certificate.Taps) || u.Certificate.Taps[s] == 0 {
		return false
	}
	return slices.ContainsFunc(cert.Linear(u.Integer.View(), s), func(n int) bool { return u.Integer.States[n].Next == id })
}

// summed tells whether a state that is the sum of others becomes a value.
func summed(u *model.Unit, id program.ID) bool {
	return slices.ContainsFunc(u.Integer.States, func(s program.FixedState) bool { return len(s.SumOf) > 0 && s.Next == id })
}
