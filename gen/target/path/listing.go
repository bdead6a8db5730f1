// Package path finds the longest path through a function of a program for the AVRe+ core, in cycles,
// from the listing that avr-objdump makes of the linked program.
//
// It follows every branch that it cannot decide both ways, and calls into the functions called. It
// keeps the numbers that loops count with, and nothing else; so each loop that counts from a constant
// is run through, be it the compiler's or one of the compiler's own library. What it cannot follow (a
// loop that depends on data, a computed jump, recursion) is an error, never a guess.
//
// It relies on what compilers keep to: a return goes back to its call, register 1 is 0 where a function
// is entered, and code does not change. Interrupts are not counted.
package path

import (
	"fmt"
	"strconv"
	"strings"
)

// Listing is a program read from a listing.
type Listing struct {
	code    map[uint32]*instruction
	symbols map[string]uint32
	names   []symbol // in order of address
}

type symbol struct {
	at   uint32
	name string
}

// instruction is one line of a listing. Addresses count bytes.
type instruction struct {
	at, next uint32
	name     string
	args     []string
	target   uint32 // of a jump, a branch or a call
	effect
}

// Read reads what "avr-objdump -d -z" writes.
func Read(text []byte) (*Listing, error) {
	l := &Listing{code: map[uint32]*instruction{}, symbols: map[string]uint32{}}
	for n, line := range strings.Split(string(text), "\n") {
		if at, name, ok := label(line); ok {
			l.symbols[name] = at
			l.names = append(l.names, symbol{at, name})
			continue
		}
		in, err := decode(line)
		if err != nil {
			return nil, fmt.Errorf("listing, line %d: %w", n+1, err)
		}
		if in != nil {
			l.code[in.at] = in
		}
	}
	if len(l.code) == 0 {
		return nil, fmt.Errorf("the listing holds no instruction: write it with avr-objdump -d -z")
	}
	return l, nil
}

// label reads a line such as "000000a6 <step>:".
func label(line string) (at uint32, name string, ok bool) {
	number, rest, found := strings.Cut(line, " <")
	if !found || strings.ContainsAny(number, "\t :") || !strings.HasSuffix(rest, ">:") {
		return 0, "", false
	}
	v, err := strconv.ParseUint(number, 16, 32)
	return uint32(v), strings.TrimSuffix(rest, ">:"), err == nil
}

// decode reads a line such as " 9dc:\ta1 e2       \tldi\tr26, 0x21\t; 33". Other lines give nil.
func decode(line string) (in *instruction, err error) {
	defer func() {
		if r := recover(); r != nil {
			u, ours := r.(unreadable)
			if !ours {
				panic(r)
			}
			err = u
		}
	}()
	cells := strings.Split(line, "\t")
	number, isCode := strings.CutSuffix(strings.TrimSpace(cells[0]), ":")
	at, err := strconv.ParseUint(number, 16, 32)
	if !isCode || err != nil || len(cells) < 3 {
		return nil, nil
	}
	in = &instruction{at: uint32(at), name: cells[2]}
	in.next = in.at + uint32(len(strings.Fields(cells[1])))
	if len(cells) > 3 && !strings.HasPrefix(cells[3], ";") {
		for _, a := range strings.Split(cells[3], ",") {
			in.args = append(in.args, strings.TrimSpace(a))
		}
	}
	b, isBranch := branches[in.name]
	if in.reads = b.reads; !isBranch && effects[in.name] != nil {
		in.effect = effects[in.name](in)
	}
	if flow := in.name; flow == "call" || flow == "jmp" || flow == "rcall" || flow == "rjmp" || isBranch {
		if len(in.args) == 0 {
			return nil, fmt.Errorf("%s has no target", flow)
		}
		if in.target, err = target(in.args[len(in.args)-1], in.next); err != nil {
			return nil, fmt.Errorf("%s: %w", flow, err)
		}
	}
	return in, nil
}

// target reads "0x9dc", or ".+26" and ".-12" from the next instruction.
func target(arg string, next uint32) (uint32, error) {
	if off, relative := strings.CutPrefix(arg, "."); relative {
		v, err := strconv.ParseInt(off, 10, 32)
		return uint32(int64(next) + v), err
	}
	v, err := strconv.ParseUint(arg, 0, 32)
	return uint32(v), err
}

// place names an address for people: the function's name with an offset.
func (l *Listing) place(at uint32) string {
	best := symbol{}
	for _, s := range l.names {
		if s.at <= at && s.at >= best.at {
			best = s
		}
	}
	if best.name == "" {
		return fmt.Sprintf("%#x", at)
	}
	return fmt.Sprintf("%#x in %s", at, best.name)
}
