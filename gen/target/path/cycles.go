package path

import "fmt"

// cycles of the AVRe+ core with a program counter of 16 bits, branches and skips not taken. Source:
// Microchip, AVR Instruction Set Manual (DS40002198), column AVRe of the instruction set summary, which
// holds for AVRe+ too. A test runs each of them in a simulator and compares.
var cycles = map[string]int{
	"add": 1, "adc": 1, "sub": 1, "subi": 1, "sbc": 1, "sbci": 1, "and": 1, "andi": 1, "or": 1, "ori": 1, "eor": 1,
	"com": 1, "neg": 1, "inc": 1, "dec": 1, "cp": 1, "cpc": 1, "cpi": 1, "mov": 1, "movw": 1, "ldi": 1,
	"lsr": 1, "ror": 1, "asr": 1, "swap": 1, "bst": 1, "bld": 1, "in": 1, "out": 1, "nop": 1, "wdr": 1,
	"sec": 1, "clc": 1, "sez": 1, "clz": 1, "sen": 1, "cln": 1, "sev": 1, "clv": 1, "ses": 1, "cls": 1, "seh": 1, "clh": 1,
	"set": 1, "clt": 1, "sei": 1, "cli": 1,
	"adiw": 2, "sbiw": 2, "mul": 2, "muls": 2, "mulsu": 2, "fmul": 2, "fmuls": 2, "fmulsu": 2,
	"ld": 2, "ldd": 2, "lds": 2, "st": 2, "std": 2, "sts": 2, "push": 2, "pop": 2, "sbi": 2, "cbi": 2,
	"lpm": 3, "rjmp": 2, "jmp": 3, "rcall": 3, "call": 4, "ret": 4,
	"breq": 1, "brne": 1, "brcs": 1, "brcc": 1, "brlo": 1, "brsh": 1, "brmi": 1, "brpl": 1, "brvs": 1, "brvc": 1, "brlt": 1, "brge": 1,
	"brhs": 1, "brhc": 1, "brts": 1, "brtc": 1, "brie": 1, "brid": 1,
	"cpse": 1, "sbrc": 1, "sbrs": 1, "sbic": 1, "sbis": 1,
}

// The extra cycles of a branch that is taken. A skip costs one for each word that it skips.
const taken = 1

// edge is a way from an instruction to the one that follows it.
type edge struct {
	to   uint32
	cost int
}

// edges are the ways out of an instruction in a state: two where the state does not decide. A return
// has none. A call leads to the instruction behind it; what it calls is counted elsewhere.
func (l *Listing) edges(in *instruction, s *state) ([]edge, error) {
	cost, known := cycles[in.name]
	branch, isBranch := branches[in.name]
	switch {
	case !known:
		return nil, fmt.Errorf("the instruction %s at %s cannot be followed", in.name, l.place(in.at))
	case in.name == "ret":
		return nil, nil
	case in.name == "jmp", in.name == "rjmp":
		return []edge{{in.target, cost}}, nil
	case skips[in.name]:
		over := l.code[in.next]
		if over == nil {
			return nil, fmt.Errorf("the listing has nothing at %s", l.place(in.next))
		}
		return either(in.skip(s), edge{over.next, cost + int(over.next-over.at)/2}, edge{in.next, cost}), nil
	case isBranch:
		return either(branch.decide(s), edge{in.target, cost + taken}, edge{in.next, cost}), nil
	}
	return []edge{{in.next, cost}}, nil
}

// either is one of two ways, or both where the condition is open.
func either(v verdict, yes, no edge) []edge {
	switch v {
	case always:
		return []edge{yes}
	case never:
		return []edge{no}
	}
	return []edge{yes, no}
}

// calls tells whether an instruction enters a function. A call of the next instruction, by which
// compilers take two bytes of stack, does not.
func (in *instruction) calls() bool {
	return in.name == "call" || in.name == "rcall" && in.target != in.next
}
