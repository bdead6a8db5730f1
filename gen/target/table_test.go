package target

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/cost"
	"gainwright/model/tier"
	"gainwright/model/trial"
)

// tables are controllers of one table: what is looked up, the points, and what is given.
var tables = []struct {
	name, raw, out string
	counts         float64
	points         int
	even           float64 // distance of the points in units; 0: uneven
	most           int     // cycles on avr8, at most; 0: whatever
}{
	{"17 points", "int16", "int16", 100, 17, 0, 120}, {"17 points of a converter", "uint16", "int16", 50, 17, 0, 120}, {"17 points, even", "int16", "int16", 64, 17, 4, 100},
	{"5 points", "int16", "int16", 100, 5, 0, 110}, {"2 points", "int16", "int16", 300, 2, 0, 0}, {"2 points of a converter", "uint16", "int16", 300, 2, 0, 0}, {"33 points", "int16", "int16", 100, 33, 0, 0}, {"wide", "int16", "int32", 100, 17, 0, 0}, {"17 points of 32 bits", "int32", "int16", 100, 17, 0, 0},
}

// TestTablesAsCounted holds what a table takes on each part against its price, by a tick with it and one without, and on 8 bits against the limits above.
// Each gives the bits of the integer program.
func TestTablesAsCounted(t *testing.T) {
	tier.Slow(t)
	for _, part := range Parts() {
		for _, v := range tables {
			t.Run(part+"/"+v.name, func(t *testing.T) {
				var points []string
				for i := range v.points {
					x, y := 200*float64(i)/float64(v.points-1)-100, 90*math.Tanh(float64(i-3)/5)
					if v.raw == "uint16" {
						x += 101
					}
					if x += 3 * math.Sin(float64(i)); v.even > 0 {
						x = v.even * float64(i-8)
					}
					points = append(points, fmt.Sprintf("[%.3f, %.3f]", x, y))
				}
				made := func(raw, step, out string) (Measured, float64) {
					u := model.Compile("table.yaml", fmt.Appendf(nil, `controller: table
target: %s
rate: 10 Hz
inputs:
  x: {raw: %s, unit: V, counts_per_unit: %g}
steps:
  %s
outputs:
  o: {%s}
`, part, raw, v.counts, step, out))
					if !u.OK() {
						t.Fatal(u.Findings)
					}
					s := onPart(t, part, func(ctx context.Context) (*Simulated, error) { return NewSimulated(ctx, part, u) })
					r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: 1000, Target: s})
					if err != nil {
						t.Fatal(err)
					}
					if !r.OK() {
						t.Errorf("other bits than the integer program: %v", r)
					}
					f := cost.For(part).Features(u.Integer)
					return s.Measured(), f["angle"] + f["angleform"]
				}
				with, counted := made(v.raw, "y: {kind: table, of: x, unit: V, points: ["+strings.Join(points, ", ")+"]}",
					"from: y, raw: "+v.out+", unit: V, counts_per_unit: "+map[string]string{"int16": "300", "int32": "30000"}[v.out])
				without, _ := made("int16", "unused: {kind: clamp, of: x, limits: [0, 1]}", fmt.Sprintf("from: x, raw: int16, unit: V, counts_per_unit: %g", v.counts))
				takes := max(with.Proven, with.Worst) - max(without.Proven, without.Worst)
				t.Logf("%d cycles more than a copy, %d in a tick, %.0f counted; %d bytes", takes, max(with.Proven, with.Worst), counted, with.Flash-without.Flash)
				if off := math.Abs(counted - float64(takes)); off > 4+0.2*float64(takes) {
					t.Errorf("%.0f cycles are counted, it takes %d", counted, takes)
				}
				if v.most > 0 && part == "avr8" && takes > v.most {
					t.Errorf("it takes %d cycles, %d at most", takes, v.most)
				}
			})
		}
	}
}

// TestLookingBackOnParts: tables, medians, moving averages and delays give the bits of the integer program on every part.
func TestLookingBackOnParts(t *testing.T) {
	tier.Slow(t)
	for _, part := range Parts() {
		for _, name := range []string{"tank", "samples"} {
			t.Run(part+"/"+name, func(t *testing.T) {
				u := compiled(t, "../../testdata/specs/"+name+".yaml")
				s := onPart(t, part, func(ctx context.Context) (*Simulated, error) { return NewSimulated(ctx, part, u) })
				r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: 4000, Target: s})
				if err != nil {
					t.Fatal(err)
				}
				if !r.OK() {
					t.Errorf("other bits than the integer program: %v", r)
				}
				m := s.Measured()
				t.Logf("worst tick %d, proven %d; %d bytes", m.Worst, m.Proven, m.Flash)
			})
		}
	}
}
