package mutants

import (
	"math"
	"math/bits"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

// divisors tells for each value of an integer program a power of two, as its exponent, that the value is a multiple of in every tick. States are
// taken to be multiples of anything at first; a start or a value that they become and that is none makes them less, until all stays: then it
// holds at the start and, if it holds in a tick, in the next.
func divisors(p *program.Fixed) []uint {
	const all = 64 // 0 is a multiple of everything
	of := func(v int64) uint { return uint(bits.TrailingZeros64(uint64(v))) }
	states, out := make([]uint, len(p.States)), make([]uint, len(p.Ops))
	for n, s := range p.States {
		states[n] = of(s.Start.Num().Int64())
	}
	for changed := true; changed; {
		changed = false
		for i, op := range p.Ops {
			arg := func(n int) uint { return out[op.Args[n]] }
			switch op.Kind {
			case program.Const:
				out[i] = of(op.K.Num().Int64())
			case program.State:
				out[i] = states[op.Index]
			case program.Add, program.Sub, program.Min, program.Max:
				out[i] = min(arg(0), arg(1))
			case program.Scale:
				out[i] = min(arg(0)+of(op.K.Num().Int64()), all)
			case program.Mul:
				out[i] = min(arg(0)+arg(1), all)
			case program.Clamp:
				out[i] = min(arg(0), arg(1), arg(2))
			case program.Abs:
				out[i] = arg(0)
			case program.Select:
				out[i] = min(arg(1), arg(2))
			default:
				out[i] = 0 // nothing is known
			}
		}
		for n, s := range p.States {
			least := min(states[n], out[s.Next])
			if s.Reset != program.None {
				least = min(least, out[s.ResetTo])
			}
			changed = changed || least < states[n]
			states[n] = least
		}
	}
	return out
}

var (
	roundedIn = regexp.MustCompile(`static inline \w+ (\w+_round\w+)\((\w+) x\)\s*\{\s*return \(\w+\)\(\(x \+ (?:INT32_C\()?(\d+)\)? *\)? *>> (\d+)\);`)
	within    = regexp.MustCompile(`static inline \w+ (\w+)\(\w+ x\)\s*\{\s*return \w+_clamp\d+\(x,\s*([^,]+),\s*([^,;]+)\);`)
	limitedTo = regexp.MustCompile(`const \w+ +(\w+)\s+=\s*(?:\w+ != 0 \?\s*)?\w+_clamp\d+\(\w+,\s*(\w+),\s*(\w+)\)(?: : (\d+))?;`)
)

// rounding is a function of a header that rounds: (x + half) >> shift.
type rounding struct {
	name        string
	from        int // where the text has half
	half, shift int64
	most        int64 // what x + half may be on any part
}

func roundings(code string) []rounding {
	var out []rounding
	for _, at := range roundedIn.FindAllStringSubmatchIndex(code, -1) {
		half, _ := strconv.ParseInt(code[at[6]:at[7]], 10, 64)
		shift, _ := strconv.ParseInt(code[at[8]:at[9]], 10, 64)
		most := map[string]int64{"int32_t": math.MaxInt32, "int_fast16_t": math.MaxInt16}[code[at[4]:at[5]]]
		out = append(out, rounding{code[at[2]:at[3]], at[6], half, shift, most})
	}
	return out
}

// calls are the names that a function is called with; ok is false where it is called with anything else than a name, or not at all.
func calls(code, function string) (names []string, ok bool) {
	for _, call := range regexp.MustCompile(`\b`+function+`\(([^;{]*)`).FindAllStringSubmatch(code, -1) {
		name, _, _ := strings.Cut(call[1], ")")
		if strings.HasPrefix(name, "int32_t ") || strings.HasPrefix(name, "int_fast16_t ") {
			continue // the definition
		}
		if !regexp.MustCompile(`^\w+$`).MatchString(name) {
			return nil, false
		}
		names = append(names, name)
	}
	return names, len(names) > 0
}

// sameClass tells whether a change stays in one class of the rounding behind it, so that no number that is rounded comes out otherwise, and says why.
func sameClass(u *model.Unit, m Mutant) (string, bool) {
	code := masked(m.Text[:m.at] + m.original + m.Text[m.at+len(m.changed):])
	for _, r := range roundings(code) {
		if m.Kind == "constant" && r.from == m.at {
			return sameHalf(u, code, r, m)
		}
	}
	if why, same := sameThreshold(u, code, m); same {
		return why, true
	}
	if why, same := sameAddend(u, code, m); same {
		return why, true
	}
	if m.Kind == "use of a constant" || m.Kind == "constant" {
		return sameLimit(code, m)
	}
	return "", false
}

var compared = regexp.MustCompile(`(\w+) (<=?)\s+(\w+)`)

// sameThreshold: what is compared there is a multiple of 2^k, and none lies between the thresholds before and after.
func sameThreshold(u *model.Unit, code string, m Mutant) (string, bool) {
	for _, at := range compared.FindAllStringSubmatchIndex(code, -1) {
		if m.at < at[0] || m.at >= at[1] {
			continue
		}
		left, sign, right := code[at[2]:at[3]], code[at[4]:at[5]], code[at[6]:at[7]]
		name, local := left, right
		limit, ok := defined(m.Text, name)
		if !ok {
			name, local = right, left
			limit, ok = defined(m.Text, name)
		}
		id := slices.Index(c.Locals(u), local)
		if !ok || id < 0 {
			return "", false
		}
		threshold := func(sign string, limit int64) int64 { // from here on the other answer is given
			if (name == left) == (sign == "<") {
				return limit + 1
			}
			return limit
		}
		was, now := threshold(sign, limit), int64(0)
		switch {
		case m.Kind == "use of a constant" && m.original == name:
			now = threshold(sign, limit+1)
		case m.Kind == "comparison" && (m.changed == "<" || m.changed == "<="):
			now = threshold(m.changed, limit)
		default:
			return "", false
		}
		k := min(divisors(u.Integer)[id], 32)
		last := max(was, now) - 1
		return local + ": a multiple of 2^" + strconv.Itoa(int(k)), last-last&(1<<k-1) < min(was, now)
	}
	return "", false
}

// sameHalf: all that is rounded there is a multiple of 2^k, and what is added lies between the same two multiples.
func sameHalf(u *model.Unit, code string, r rounding, m Mutant) (string, bool) {
	names, ok := calls(code, r.name)
	now, err := strconv.ParseInt(m.changed, 10, 64)
	if !ok || err != nil {
		return "", false
	}
	k := uint(r.shift)
	known, locals := divisors(u.Integer), c.Locals(u)
	for _, name := range names {
		found := false
		for id, local := range locals {
			if local == name {
				found = true
				k = min(k, known[id])
				if op := u.Integer.Ops[id]; op.Hi+now > r.most {
					return "", false
				}
			}
		}
		if !found {
			return "", false
		}
	}
	return strings.Join(names, ", ") + ": multiples of 2^" + strconv.Itoa(int(k)), now>>k == r.half>>k
}

// sameLimit: what is limited there, or is the number written there while it is off, is rounded before anything else uses it, and both the number
// as it was and as it is round to the same.
func sameLimit(code string, m Mutant) (string, bool) {
	was, now, ok := numbers(m)
	if !ok {
		return "", false
	}
	name := limitedHere(code, m.at)
	if name == "" {
		return "", false
	}
	uses := len(regexp.MustCompile(`\b`+name+`\b`).FindAllString(code, -1)) - 1
	for _, r := range roundings(code) {
		rounded := len(regexp.MustCompile(`\b`+r.name+`\(`+name+`\)`).FindAllString(code, -1))
		uses -= rounded
		if rounded > 0 && (was+r.half)>>r.shift != (now+r.half)>>r.shift {
			return "", false
		}
	}
	return name + " is rounded, and both numbers to the same", uses == 0
}

// numbers are what a changed constant stands for, before and after.
func numbers(m Mutant) (was, now int64, ok bool) {
	if m.Kind == "constant" {
		was, err := strconv.ParseInt(m.original, 10, 64)
		now, err2 := strconv.ParseInt(m.changed, 10, 64)
		return was, now, err == nil && err2 == nil
	}
	was, ok = defined(m.Text, m.original)
	return was, was + 1, ok
}

// defined is the number that a name stands for.
func defined(header, name string) (int64, bool) {
	value := regexp.MustCompile(`(?m)^#define ` + name + ` +\(?(-?)(?:INT32_C\()?(\d+)`).FindStringSubmatch(header)
	if value == nil {
		return 0, false
	}
	v, err := strconv.ParseInt(value[1]+value[2], 10, 64)
	return v, err == nil
}

// limitedHere is the local that is limited by what stands at a place of the text, or is that while it is off: in its definition, or in a function
// that it alone is made by.
func limitedHere(code string, place int) string {
	for _, at := range limitedTo.FindAllStringSubmatchIndex(code, -1) {
		if place == at[4] || place == at[6] || place == at[8] {
			return code[at[2]:at[3]]
		}
	}
	for _, at := range within.FindAllStringSubmatchIndex(code, -1) {
		function := code[at[2]:at[3]]
		made := regexp.MustCompile(`const \w+ +(\w+)\s+=\s*(?:\w+ != 0 \?\s*)?`+function+`\(\w+\)(?: : (\d+))?;`).FindAllStringSubmatchIndex(code, -1)
		if len(made) != 1 || len(regexp.MustCompile(`\b`+function+`\b`).FindAllString(code, -1)) != 2 {
			continue
		}
		if place == at[4] || place == at[6] || place == made[0][4] {
			return code[made[0][2]:made[0][3]]
		}
	}
	return ""
}
