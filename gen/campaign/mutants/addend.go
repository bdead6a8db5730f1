package mutants

import (
	"math/big"
	"math/bits"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

// sameAddend: a constant that is one more where it is added makes sums at most so much more as lies between two multiples of the power of two
// that all of them are multiples of, and each is rounded before anything else uses it.
func sameAddend(u *model.Unit, code string, m Mutant) (string, bool) {
	p, locals, known := u.Integer, c.Locals(u), divisors(u.Integer)
	value, ok := defined(m.Text, m.original)
	if m.Kind != "use of a constant" || !ok {
		return "", false
	}
	more := make([]int64, len(p.Ops)) // each value is from 0 to so much more than it was
	var why []string
	found := false
	for id, op := range p.Ops {
		arg := func(n int) int64 { return more[op.Args[n]] }
		changed := slices.ContainsFunc(op.Args, func(a program.ID) bool { return more[a] != 0 })
		switch {
		case op.Kind == program.Const && strings.ToUpper(p.Name+"_"+op.Name) == m.original && op.K.Cmp(new(big.Rat).SetInt64(value)) == 0:
			more[id], found = 1, true
			continue
		case !changed:
			continue
		case op.Kind == program.Add:
			more[id] = arg(0) + arg(1)
		case op.Kind == program.Select && arg(0) == 0:
			more[id] = max(arg(1), arg(2))
		default:
			return "", false
		}
		if _, hi := op.Type.Range(); op.Hi > hi-more[id] {
			return "", false
		}
		if local := locals[id]; local != "" && roundedAway(code, local, known[id], more[id]) {
			why = append(why, local+": a multiple of 2^"+strconv.Itoa(int(known[id])))
			more[id] = 0
		}
	}
	for _, s := range p.States {
		if more[s.Next] != 0 || s.Reset != program.None && more[s.ResetTo] != 0 {
			return "", false
		}
	}
	for _, o := range p.Outputs {
		if more[o.Value] != 0 {
			return "", false
		}
	}
	return strings.Join(why, ", "), found && len(why) > 0
}

// roundedAway tells whether a local, a multiple of 2^k, is rounded wherever it is used, to the same number when it is up to so much more.
func roundedAway(code, local string, k uint, more int64) bool {
	uses := len(regexp.MustCompile(`\b`+local+`\b`).FindAllString(code, -1)) - 1
	if uses == 0 {
		return false
	}
	for _, r := range roundings(code) {
		rounded := len(regexp.MustCompile(`\b`+r.name+`\(`+local+`\)`).FindAllString(code, -1))
		grid := min(k, uint(bits.TrailingZeros64(uint64(r.half))), uint(r.shift))
		if rounded > 0 && more >= 1<<grid {
			return false
		}
		uses -= rounded
	}
	return uses == 0
}
