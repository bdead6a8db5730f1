package mutants

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

var (
	castName = regexp.MustCompile(`^\)(\w+)`)
	stored   = regexp.MustCompile(`\bs->(\w+) = \($`)
	function = regexp.MustCompile(`(\w+)\(([^()]*)\)\s*\{`)
)

// castFits tells whether the number that is cast to fewer bits has no more: as it is declared where it is cast, by what functions are called with,
// or by the certified range of the local or of the state that it is stored to.
func castFits(u *model.Unit, m Mutant) bool {
	name := castName.FindStringSubmatch(m.Text[m.at+len(m.changed):])
	if name == nil {
		return false
	}
	f := newFitting(u, m)
	switch m.changed {
	case "int16_t":
		return f.fits(m.at, name[1])
	case "int8_t":
		if state := stored.FindStringSubmatch(m.Text[:m.at]); f.local(name[1], math.MinInt8, math.MaxInt8) {
			return true
		} else if state != nil {
			return slices.ContainsFunc(u.Integer.States, func(s program.FixedState) bool {
				return s.Name == state[1] && s.Lo >= math.MinInt8 && s.Hi <= math.MaxInt8
			})
		}
	}
	return false
}

// fitting finds out which names of a header hold numbers of 16 bits.
type fitting struct {
	p      *program.Fixed // as it is emitted
	locals []string
	code   string // of the mutant
}

func newFitting(u *model.Unit, m Mutant) *fitting {
	s, locals := c.Emitted(u)
	return &fitting{s.Program, locals, masked(m.Text)}
}

// local tells whether a local of the step lies in a range.
func (f *fitting) local(name string, lo, hi int64) bool {
	id := slices.Index(f.locals, name)
	return id >= 0 && f.p.Ops[id].Lo >= lo && f.p.Ops[id].Hi <= hi
}

// fits tells whether what a name stands for at a place of the header has 16 bits.
func (f *fitting) fits(place int, name string) bool {
	from := strings.LastIndex(f.code[:place], "\n}") + 1
	scope := f.code[from:place]
	in := function.FindStringSubmatchIndex(scope)
	types := regexp.MustCompile(`\b(\w+_t) +`+name+`\b`).FindAllStringSubmatchIndex(scope, -1)
	if in == nil || len(types) > 1 {
		return false
	}
	if len(types) == 0 {
		v, ok := defined(f.code, name)
		return ok && v >= math.MinInt16 && v <= math.MaxInt16
	}
	at, called := types[0], scope[in[2]:in[3]]
	switch scope[at[2]:at[3]] {
	case "int16_t", "int8_t", "uint8_t":
		return true
	case "int_fast16_t": // which has more than 16 on this host
		if at[0] >= in[5] {
			return called == f.p.Name+"_step" && f.local(name, math.MinInt16, math.MaxInt16)
		}
		return f.calledWith(called, strings.Count(scope[in[4]:at[0]], ","), from+in[2])
	}
	return false
}

// calledWith tells whether each call of a function has a number of 16 bits in a place, but for where it is defined.
func (f *fitting) calledWith(name string, arg, definition int) bool {
	calls := regexp.MustCompile(`\b`+name+`\(`).FindAllStringIndex(f.code, -1)
	for _, at := range calls {
		if at[0] == definition {
			continue
		}
		args := arguments(f.code[at[1]:])
		if arg >= len(args) || !regexp.MustCompile(`^\w+$`).MatchString(args[arg]) || !f.fits(at[0], args[arg]) {
			return false
		}
	}
	return len(calls) > 1
}

// arguments are those of a call, from behind its opening bracket.
func arguments(text string) (out []string) {
	depth, from := 0, 0
	for i, c := range text {
		switch {
		case c == '(':
			depth++
		case c == ')' && depth > 0:
			depth--
		case depth == 0 && (c == ',' || c == ')'):
			out = append(out, strings.TrimSpace(text[from:i]))
			if from = i + 1; c == ')' {
				return out
			}
		}
	}
	return nil
}
