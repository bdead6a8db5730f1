package mutants

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"gainwright/model"
	"gainwright/model/program"
)

var (
	castName = regexp.MustCompile(`^\)(\w+)`)
	stored   = regexp.MustCompile(`\bs->(\w+) = \($`)
)

// castFits tells whether the number that is cast to fewer bits has no more: as it is declared where it is cast, or by the certified range of the
// state that it is stored to.
func castFits(u *model.Unit, m Mutant) bool {
	name := castName.FindStringSubmatch(m.Text[m.at+len(m.changed):])
	state := stored.FindStringSubmatch(m.Text[:m.at])
	switch {
	case name == nil:
	case m.changed == "int16_t":
		return declaredShort(masked(m.Text), m.at, name[1])
	case m.changed == "int8_t" && state != nil:
		return slices.ContainsFunc(u.Integer.States, func(s program.FixedState) bool {
			return s.Name == state[1] && s.Lo >= math.MinInt8 && s.Hi <= math.MaxInt8
		})
	}
	return false
}

// declaredShort tells whether what a name stands for at a place of the header has 16 bits. An int_fast16_t may have more on this host, and has no
// more where int has 16: nothing is stored there that would not fit.
func declaredShort(code string, place int, name string) bool {
	function := code[strings.LastIndex(code[:place], "\n}")+1 : place]
	types := regexp.MustCompile(`\b(\w+_t) +`+name+`\b`).FindAllStringSubmatch(function, -1)
	switch len(types) {
	case 0:
		v, ok := defined(code, name)
		return ok && v >= math.MinInt16 && v <= math.MaxInt16
	case 1:
		return slices.Contains([]string{"int_fast16_t", "int16_t", "int8_t", "uint8_t"}, types[0][1])
	}
	return false
}
