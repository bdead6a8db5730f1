package c

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/program"
)

// types writes the structs of the header.
func (e *emitter) types() string {
	var b strings.Builder
	var lines []remark
	for i, in := range e.p.Inputs {
		lines = append(lines, remark{member(inputType(in), e.fields.in[i].Name), rawInput(in)})
	}
	e.structure(&b, "What the sensors say, raw, as the last reading before the tick left it.", "_in", lines, "no input")

	lines = nil
	for i, out := range e.p.Outputs {
		lines = append(lines, remark{member(out.Type, e.fields.out[i].Name), rawOutput(out, e.p.Ops[out.Value])})
	}
	b.WriteByte('\n')
	e.structure(&b, "What the tick decides, raw.", "_out", lines, "no output")

	if len(e.p.Coefs) > 0 {
		lines = nil
		for i, k := range e.p.Coefs {
			text := fmt.Sprintf("%s x %s, one count is %s", e.p.Gains[k.Gain].Key, contract.Exact(k.Factor), contract.Exact(k.LSB))
			lines = append(lines, remark{member(k.Type, e.fields.coef[i].Name), text})
		}
		b.WriteByte('\n')
		e.structure(&b, "The numbers that the live gains become.", "_coefs", lines, "")
	}

	lines = nil
	if len(e.p.Coefs) > 0 { // first: their address is that of the state
		lines = append(lines, remark{"volatile " + e.name + "_coefs gains[3];", "the sets that step and setters take turns with"})
	}
	for i, s := range e.p.States {
		text := s.Doc
		if s.Type != program.Bool {
			text = joined(text, short(s.Lo, s.Hi, s.LSB, s.Unit))
		}
		lines = append(lines, remark{member(s.Type, e.fields.state[i].Name), text})
	}
	for _, k := range e.fields.ticks {
		lines = append(lines, remark{member(k.Type, k.Name), fmt.Sprintf("counts ticks for what runs every %d: [0, %d]", k.every, k.every)})
	}
	for _, id := range e.kept {
		op, m := &e.p.Ops[id], e.fields.held[id]
		text := op.Doc + ", held"
		if op.Type != program.Bool {
			text = joined(text, short(op.Lo, op.Hi, op.LSB, op.Unit))
		}
		lines = append(lines, remark{member(m.Type, m.Name), text})
	}
	if len(e.p.Coefs) > 0 {
		lines = append(lines,
			remark{"volatile uint8_t in_use;", "the set of this tick; written by the step alone"},
			remark{"volatile uint8_t ready;", "the newest whole set; written by the setters alone"})
	}
	b.WriteByte('\n')
	e.structure(&b, "What one tick leaves to the next. Only the functions below may write to it.", "_state", lines, "no memory")
	return b.String()
}

// structure writes one struct; an empty one, which C forbids, gets a member that says so.
func (e *emitter) structure(b *strings.Builder, about, suffix string, lines []remark, none string) {
	if len(lines) == 0 {
		lines = []remark{{"uint8_t none;", "this controller has " + none}}
	}
	b.WriteString(lineComment("", about))
	b.WriteString("typedef struct {\n" + tabulated("    ", lines) + "} " + e.name + suffix + ";\n")
}

func member(t program.Type, name string) string { return fmt.Sprintf("%-8s %s;", ctype(t), name) }

func inputType(in program.InputInfo) program.Type {
	if in.IsSwitch {
		return program.Bool
	}
	return in.Type
}

// rawInput says what a raw input stands for.
func rawInput(in program.InputInfo) string {
	if in.IsSwitch || in.Type == program.Bool {
		return "0 is off, anything else is on"
	}
	text := "one count is " + strings.TrimSpace(contract.Exact(in.Count())+" "+in.Unit)
	if in.Offset != nil && in.Offset.Sign() != 0 {
		text += ", 0 is " + strings.TrimSpace(contract.Exact(in.Offset)+" "+in.Unit)
	}
	if in.Lo != nil && in.Hi != nil {
		text += fmt.Sprintf(", declared [%s, %s]", contract.Decimal(in.Lo), contract.Decimal(in.Hi))
	}
	return text
}

func rawOutput(out program.Output, value program.FixedOp) string {
	return "one count is " + strings.TrimSpace(contract.Exact(out.Count())+" "+out.Unit) + fmt.Sprintf(", [%d, %d]", value.Lo, value.Hi)
}

// short says what counts a value can reach and what one of them stands for.
func short(lo, hi int64, lsb *big.Rat, unit string) string {
	text := fmt.Sprintf("[%d, %d]", lo, hi)
	if lsb == nil || lsb.Cmp(big.NewRat(1, 1)) == 0 && unit == "" {
		return text
	}
	return text + " of " + strings.TrimSpace(contract.Exact(lsb)+" "+unit)
}

// inUnits says what a constant stands for.
func inUnits(count int64, lsb *big.Rat, unit string) string {
	if lsb == nil {
		return ""
	}
	return strings.TrimSpace(contract.Decimal(new(big.Rat).Mul(new(big.Rat).SetInt64(count), lsb)) + " " + unit)
}

// joined puts a colon between two texts where both are there.
func joined(a, b string) string {
	a = strings.TrimRight(strings.TrimSpace(a), ".")
	if a == "" || b == "" {
		return a + b
	}
	return a + ": " + b
}
