package mutants

import (
	"regexp"
	"strings"

	"gainwright/model"
)

// excuse is why a mutant that the tests pass changes nothing that anybody can see, and how that is known.
type excuse string

// The excuses. Each is checked in its own way, and another survivor is a gap in the tests.
const (
	none excuse = ""
	// A fourth set of coefficients that nothing reads or writes; one entry more of the arctangent's table, or one less: the
	// last is multiplied by 0.
	spareRoom excuse = "room that nothing uses"
	// Where the two ways of an arctangent part they give the same: zero is its own negative, 45 degrees are the half of a
	// quarter turn, and at x = 0 a quarter turn is what a half turn less a quarter is.
	partsAlike excuse = "both ways give the same where they part"
	// The angle of a vector that points backwards, which the limits of the lean take to 90 degrees either way.
	limitedBehind excuse = "beyond a limit behind it"
	// Limits of settings: TestSetters compares the coefficient at every setting of the range and beyond its ends.
	everySetting excuse = "every setting gives the same coefficient"
	// The value has 16 bits, by what declares it, or its certified range fits 8. On a part whose int has 16 bits the product would differ: that is for the
	// simulated parts to see, and for the test of the header's sum.
	fitsAnyway excuse = "the value fits"
	// What is cut off are whole turns of 2^16, and the one use of the value ends in 16 bits.
	sameTurn excuse = "the same modulo 2^16, where its only use ends"
	// The error of the incubator, which has more than 16 bits only where no reading is believed: nothing is made of it then, as TestUnbelieved sees.
	unbelieved excuse = "fits while anything is made of it"
	// One fine count more in a value that is rounded before anybody sees it, where sameClass finds out that it comes to the same number.
	fine excuse = "in the same class of the rounding behind it"
)

var (
	setting    = regexp.MustCompile(`\b(limited|high|low) = `)
	absolute   = regexp.MustCompile(`\b[xy] < 0 \? -\(int32_t\)|if \(x < 0\) \{`)
	narrowName = regexp.MustCompile(`const int16_t +(\w+) +=`)
)

// excuseOf is the excuse that a surviving mutant may have, by its form.
func excuseOf(u *model.Unit, m Mutant) excuse {
	switch m.Kind {
	case "constant", "comparison", "use of a constant", "operator":
		switch {
		case strings.Contains(m.Was, " gains[3];") || strings.Contains(m.Was, " table["):
			return spareRoom
		case absolute.MatchString(m.Was) && nextToZero(m) || m.Kind == "comparison" && m.changed == ">=" && strings.Contains(m.Was, "if (ay > ax) {"):
			return partsAlike
		case strings.Contains(m.Was, "_ARCTANGENT_QUARTER - angle)") && strings.Contains(m.Was, "(2 * ") && upwards(m):
			return limitedBehind
		case setting.MatchString(m.Was):
			return everySetting
		}
		if _, same := sameClass(u, m); same {
			return fine
		}
	case "narrower cast":
		if strings.Contains(m.Now, "part = (int16_t)(q - (i << ") || castFits(u, m) { // the part is less than a step of the table
			return fitsAnyway
		}
	case "narrower value":
		if name := narrowName.FindStringSubmatch(m.Now); name != nil && usedModulo(m.Text, name[1]) {
			return sameTurn
		}
		if strings.Contains(m.Now, "const int16_t heat_error             = INCUBATOR_HEAT_TARGET - ") {
			return unbelieved
		}
	}
	return none
}

// nextToZero tells whether a comparison with 0 became one that differs at 0 alone.
func nextToZero(m Mutant) bool {
	return m.Kind == "comparison" && m.original+m.changed == "<<=" || m.Kind == "constant" && m.original == "0" && m.changed == "1"
}

// upwards tells whether 2 Q - a became larger, where a is not negative.
func upwards(m Mutant) bool {
	return m.Kind == "operator" && m.changed == "+" || m.Kind == "constant" && m.changed == "3" || m.Kind == "use of a constant"
}

// usedModulo tells whether a value is used once, in a difference that is taken to 16 bits and stored so.
func usedModulo(text, name string) bool {
	code := masked(text)
	use := regexp.MustCompile(`const int_fast16_t +(\w+) += \(int_fast16_t\)\(\w+ - ` + name + `\);`).FindStringSubmatch(code)
	count := func(name string) int { return len(regexp.MustCompile(`\b`+name+`\b`).FindAllString(code, -1)) }
	return use != nil && count(name) == 2 && count(use[1]) == 2 && strings.Contains(code, "= (int16_t)"+use[1]+";")
}
