package target

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"text/template"

	"gainwright/model/cost"
	"gainwright/model/program"
	"gainwright/model/tier"
)

// TestQuotientsAsCounted holds the cost of a quotient, of each width on each part, against the function of the header, run over numbers of both signs.
func TestQuotientsAsCounted(t *testing.T) {
	tier.Slow(t)
	text, err := os.ReadFile("../../templates/c_primitives.tmpl")
	if err != nil {
		t.Fatal(err)
	}
	frame := template.Must(template.New("").Parse(string(text))).Lookup("divide")
	var in []int64
	for i := range int64(60) {
		in = append(in, (i*7919)%32768*(1-2*(i%2)), 1+(i*i*37)%3000)
	}
	for _, part := range Parts() {
		t.Run(part, func(t *testing.T) {
			for width, v := range map[program.Type]struct{ name, times string }{program.I16: {"int_fast16_t", ""}, program.I32: {"int32_t", " * 30000"}, program.I64: {"int64_t", " * 2000000000000"}} {
				var divide bytes.Buffer
				if err := frame.Execute(&divide, map[string]any{"Name": "divide", "T": v.name}); err != nil {
					t.Fatal(err)
				}
				worst := func(pattern string) int {
					body := "y = (int16_t)" + strings.ReplaceAll(pattern, "T", v.name) + ";"
					s := onPart(t, part, func(ctx context.Context) (*Simulated, error) { return build(ctx, part, tiny(divide.String(), body)) })
					if err := outcome(t.Context(), s, in); err != nil {
						t.Fatal(err)
					}
					return s.Measured().Worst
				}
				takes := float64(worst(fmt.Sprintf("divide((T)a%s, (T)b)", v.times)) - worst(fmt.Sprintf("((T)a%s + (T)b)", v.times)))
				p := &program.Fixed{Frame: program.Frame{Inputs: make([]program.InputInfo, 2), Sections: make([]program.Section, 1), Outputs: []program.Output{{Name: "y", Type: program.I16, Value: 2}}}}
				hi := int64(1) << (width.Bits() - 2)
				for i := range 2 {
					p.Inputs[i].Type = program.I16
					p.Ops = append(p.Ops, program.FixedOp{Op: program.Op{Kind: program.Input, Index: i}, Type: width, Lo: 1, Hi: hi})
				}
				p.Ops = append(p.Ops, program.FixedOp{Op: program.Op{Kind: program.Quotient, Args: []program.ID{0, 1}}, Type: width, Hi: hi})
				f := cost.For(part).Features(p)
				if counted := f["angle"] + f["angleform"]; math.Abs(counted-takes) > 0.1*takes {
					t.Errorf("in %d bits %g is counted, it takes %g", width.Bits(), counted, takes)
				}
			}
		})
	}
}
