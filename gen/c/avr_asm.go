package c

import (
	"fmt"
	"strings"

	"gainwright/model/program"
)

// letters name the bytes of an operand in inline assembly, least first.
const letters = "ABCD"

// reg is byte i of operand n.
func reg(n, i int) string { return fmt.Sprintf("%%%c%d", letters[i], n) }

// assembly writes instructions as the strings of an asm statement, some to a line.
func assembly(code []string, operands string) string {
	var b strings.Builder
	line := "    __asm__("
	for i, c := range code {
		text := `"` + c + `\n\t"`
		if i == len(code)-1 {
			text = `"` + c + `"`
		}
		if strings.TrimSpace(line) != "__asm__(" {
			text = " " + text
		}
		if len(line)+len(text) > maxColumns {
			b.WriteString(line + "\n")
			line, text = "            ", strings.TrimPrefix(text, " ")
		}
		line += text
	}
	b.WriteString(line + "\n            " + operands + ");\n")
	return b.String()
}

// bytesOf is the size of a type.
func bytesOf(t program.Type) int { return int(t.Bits() / 8) }
