package mutants

import (
	"math"
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/selection"
)

// divisors tells for each value of an integer program a power of two, as its exponent, that the value is a multiple of in every tick. States are
// taken to be multiples of anything at first; a start or a value that they become and that is none makes them less, until all stays: then it
// holds at the start and, if it holds in a tick, in the next.
func divisors(p *program.Fixed) []uint {
	states, out := make([]uint, len(p.States)), make([]uint, len(p.Ops))
	for n, s := range p.States {
		states[n] = of(s.Start)
	}
	for changed := true; changed; {
		changed = false
		for _, id := range inOrder(p) {
			op, state := &p.Ops[id], uint(0)
			if op.Kind == program.State {
				state = states[op.Index]
			}
			out[id] = multiple(op, out, state)
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

// inOrder are all operations, each behind what it is made from: in an emitted program a sum may read what stands behind it.
func inOrder(p *program.Fixed) (order []program.ID) {
	done := make([]bool, len(p.Ops))
	var add func(id program.ID)
	add = func(id program.ID) {
		if done[id] {
			return
		}
		done[id] = true
		for _, a := range p.Ops[id].Args {
			add(a)
		}
		order = append(order, id)
	}
	for id := range p.Ops {
		add(program.ID(id))
	}
	return order
}

// of is the greatest power of two, as its exponent, that a whole number is a multiple of.
func of(v *big.Rat) uint {
	const all = 64 // 0 is a multiple of everything
	if v.Sign() == 0 {
		return all
	}
	return uint(v.Num().TrailingZeroBits())
}

// multiple is what a value is a multiple of when what it is made from is, or the state that it is.
func multiple(op *program.FixedOp, out []uint, state uint) uint {
	arg := func(n int) uint { return out[op.Args[n]] }
	switch op.Kind {
	case program.Const:
		return of(op.K)
	case program.State:
		return state
	case program.Add, program.Sub, program.Min, program.Max:
		return min(arg(0), arg(1))
	case program.Scale:
		return arg(0) + of(op.K)
	case program.Mul:
		return arg(0) + arg(1)
	case program.Clamp:
		return min(arg(0), arg(1), arg(2))
	case program.Abs:
		return arg(0)
	case program.Select:
		return min(arg(1), arg(2))
	}
	return 0 // nothing is known
}

var roundedIn = regexp.MustCompile(`static inline \w+ \w+_round\w+\((\w+) x\)\s*\{\s*return \(\w+\)\(\(x \+ (?:INT32_C\()?(\d+)\)? *\)? *>> (\d+)\);`)

// rounding is a function of a header that rounds: (x + half) >> shift.
type rounding struct {
	from  int // where the text has half
	half  int64
	shift uint
	most  int64 // what x + half may be on any part
}

func roundings(code string) []rounding {
	var out []rounding
	for _, at := range roundedIn.FindAllStringSubmatchIndex(code, -1) {
		half, _ := strconv.ParseInt(code[at[4]:at[5]], 10, 64)
		shift, _ := strconv.ParseUint(code[at[6]:at[7]], 10, 8)
		most := map[string]int64{"int32_t": math.MaxInt32, "int_fast16_t": math.MaxInt16}[code[at[2]:at[3]]]
		out = append(out, rounding{at[4], half, uint(shift), most})
	}
	return out
}

// sameClass tells whether a change stays in one class of the rounding behind it, so that no number that is rounded comes out otherwise, and says why.
func sameClass(u *model.Unit, m Mutant) (string, bool) {
	code := masked(m.Text[:m.at] + m.original + m.Text[m.at+len(m.changed):])
	for _, r := range roundings(code) {
		if m.Kind == "constant" && r.from == m.at {
			return sameHalf(u, r, m)
		}
	}
	if why, same := sameThreshold(u, code, m); same {
		return why, true
	}
	if m.Kind == "use of a constant" || m.Kind == "constant" {
		return sameTicks(u, code, m)
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

// sameHalf: all that is rounded so is a multiple of 2^k, and what is added lies between the same two multiples.
func sameHalf(u *model.Unit, r rounding, m Mutant) (string, bool) {
	_, now, ok := numbers(m)
	s, _ := c.Emitted(u)
	k, known, names := r.shift, divisors(s.Program), []string{}
	for id, op := range s.Program.Ops {
		if op.Kind != program.Round || op.Shift != r.shift || selection.Halves(op.Shift, s.Ops[id].First) != r.half || !s.Ops[id].Use.Live {
			continue
		}
		of := &s.Program.Ops[op.Args[0]]
		k, names = min(k, known[op.Args[0]]), append(names, of.Name)
		ok = ok && of.Hi+now <= r.most
	}
	return strings.Join(names, ", ") + ": multiples of 2^" + strconv.Itoa(int(k)), ok && len(names) > 0 && now>>k == r.half>>k
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
