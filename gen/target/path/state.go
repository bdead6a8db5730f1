package path

import (
	"slices"
	"strconv"
	"strings"
)

// Registers 0 to 31 and the flags that branches look at, as numbers of one kind.
const (
	flagC = 32 + iota
	flagZ
	flagN
	flagV
	places
)

// set is a set of registers and flags.
type set uint64

func of(at ...int) (s set) {
	for _, r := range at {
		s |= 1 << r
	}
	return s
}

// state is what is known of registers and flags; where nothing is known the value is 0.
type state struct {
	known set
	value [places]uint8
}

func (s *state) get(r int) (uint8, bool) { return s.value[r], s.known&of(r) != 0 }

func (s *state) put(r int, v uint8, known bool) {
	if !known {
		s.known &^= of(r)
		s.value[r] = 0
		return
	}
	s.known |= of(r)
	s.value[r] = v
}

// only forgets all but some.
func (s *state) only(keep set) {
	for r := range s.value {
		if keep&of(r) == 0 {
			s.put(r, 0, false)
		}
	}
}

// verdict says how a condition comes out.
type verdict int

const (
	open verdict = iota
	always
	never
)

func verdictOf(truth, known bool) verdict {
	switch {
	case !known:
		return open
	case truth:
		return always
	}
	return never
}

// branch is a conditional branch: taken where the exclusive or of its flags is want.
type branch struct {
	reads set // no flag: one that is not followed
	want  uint8
}

var branches = map[string]branch{
	"breq": {of(flagZ), 1}, "brne": {of(flagZ), 0}, "brcs": {of(flagC), 1}, "brcc": {of(flagC), 0},
	"brlo": {of(flagC), 1}, "brsh": {of(flagC), 0}, "brmi": {of(flagN), 1}, "brpl": {of(flagN), 0},
	"brvs": {of(flagV), 1}, "brvc": {of(flagV), 0}, "brlt": {of(flagN, flagV), 1}, "brge": {of(flagN, flagV), 0},
	"brhs": {0, 1}, "brhc": {0, 0}, "brts": {0, 1}, "brtc": {0, 0}, "brie": {0, 1}, "brid": {0, 0},
}

func (b branch) decide(s *state) verdict {
	if b.reads == 0 || s.known&b.reads != b.reads {
		return open
	}
	x := uint8(0)
	for _, f := range []int{flagC, flagZ, flagN, flagV} {
		if b.reads&of(f) != 0 {
			x ^= s.value[f]
		}
	}
	return verdictOf(x == b.want, true)
}

var skips = map[string]bool{"cpse": true, "sbrc": true, "sbrs": true, "sbic": true, "sbis": true}

// skip tells whether a skip instruction skips.
func (in *instruction) skip(s *state) verdict {
	switch in.name {
	case "cpse":
		a, ka := s.get(in.register(0))
		b, kb := s.get(in.register(1))
		return verdictOf(a == b, ka && kb)
	case "sbrc", "sbrs":
		a, known := s.get(in.register(0))
		return verdictOf(a>>in.number()&1 == 1 == (in.name == "sbrs"), known)
	}
	return open // a port
}

// register is operand i, a register, as a number.
func (in *instruction) register(i int) int {
	if i < len(in.args) {
		if text, ok := strings.CutPrefix(in.args[i], "r"); ok {
			if n, err := strconv.Atoi(text); err == nil && n < 32 {
				return n
			}
		}
	}
	panic(unreadable("the operand of " + in.name + " " + strings.Join(in.args, ", ") + " is no register"))
}

// number is the second operand, a constant of a byte.
func (in *instruction) number() uint8 {
	if len(in.args) > 1 {
		if n, err := strconv.ParseInt(in.args[1], 0, 32); err == nil && n >= -128 && n <= 255 {
			return uint8(n)
		}
	}
	panic(unreadable("the operand of " + in.name + " " + strings.Join(in.args, ", ") + " is no number of a byte"))
}

// pointers are the registers that an operand such as X+ or -Z moves.
func (in *instruction) pointers() set {
	for pointer, low := range map[string]int{"X": 26, "Y": 28, "Z": 30} {
		if slices.Contains(in.args, pointer+"+") || slices.Contains(in.args, "-"+pointer) {
			return of(low, low+1)
		}
	}
	return 0
}

// unreadable is thrown where a listing is not what objdump writes.
type unreadable string

func (u unreadable) Error() string { return string(u) }
