package target

import (
	"bytes"
	"context"
	"math"
	"os"
	"strings"
	"testing"
	"text/template"

	"gainwright/model/cost"
	"gainwright/model/program"
	"gainwright/model/tier"
)

// TestRootsAsCounted holds the cost of a square root, of each width on each part, against the function of the header.
func TestRootsAsCounted(t *testing.T) {
	tier.Slow(t)
	text, err := os.ReadFile("../../templates/c_primitives.tmpl")
	if err != nil {
		t.Fatal(err)
	}
	frame := template.Must(template.New("").Parse(string(text))).Lookup("root")
	var in []int64
	for i := range int64(60) {
		in = append(in, 32767-(i*7919)%16384, 0)
	}
	for _, part := range Parts() {
		t.Run(part, func(t *testing.T) {
			for width, v := range map[program.Type]struct{ name, times string }{program.I16: {"int_fast16_t", ""}, program.I32: {"int32_t", " * 30000"}, program.I64: {"int64_t", " * 20000000000000"}} {
				var root bytes.Buffer
				bits := width.Bits()
				unsigned := map[program.Type]string{program.I16: "uint16_t", program.I32: "uint32_t", program.I64: "uint64_t"}[width]
				if err := frame.Execute(&root, map[string]any{"Name": "root", "T": v.name, "U": unsigned, "Top": bits - 2}); err != nil {
					t.Fatal(err)
				}
				worst := func(pattern string) int {
					s := onPart(t, part, func(ctx context.Context) (*Simulated, error) {
						return build(ctx, part, tiny(root.String(), "y = (int16_t)"+strings.ReplaceAll(pattern, "T", v.name)+";"))
					})
					if err := outcome(t.Context(), s, in); err != nil {
						t.Fatal(err)
					}
					return s.Measured().Worst
				}
				takes := float64(worst("root((T)a"+v.times+")") - worst("((T)a"+v.times+")"))
				p := &program.Fixed{Frame: program.Frame{Inputs: make([]program.InputInfo, 1), Sections: make([]program.Section, 1), Outputs: []program.Output{{Name: "y", Type: program.I16, Value: 1}}}}
				p.Inputs[0].Type = program.I16
				p.Ops = append(p.Ops, program.FixedOp{Op: program.Op{Kind: program.Input}, Type: width, Lo: 1, Hi: 1 << (bits - 2)},
					program.FixedOp{Op: program.Op{Kind: program.Root, Args: []program.ID{0}}, Type: program.I16, Hi: 1 << 14})
				f := cost.For(part).Features(p)
				counted := f["angle"] + f["angleform"]
				t.Logf("in %d bits %g is counted, it takes %g", bits, counted, takes)
				if math.Abs(counted-takes) > 0.15*takes {
					t.Errorf("in %d bits %g is counted, it takes %g", bits, counted, takes)
				}
			}
		})
	}
}
