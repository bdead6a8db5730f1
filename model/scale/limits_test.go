package scale_test

import (
	"fmt"
	"math/big"
	"regexp"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// limited is a controller whose effort y goes to an output; both may have limits.
func limited(step, output string) string {
	return oneInput + "  y: {kind: " + step + "}\noutputs:\n  o: {from: y, unit: m, " + output + "}\naccuracy: {o: 1 count}\n" // few counts are meant
}

const plus2 = "sum, of: {a: 2}"

// TestLimitsInward: an output never leaves its declared limits and reaches the last count inside them, whatever the limits of the
// step before it; the same numbers are in the stored real program, and the list of constants says what the limits became.
func TestLimitsInward(t *testing.T) {
	for _, c := range []struct {
		step, output string
		lo, hi       *big.Rat // the outermost counts inside
	}{
		{plus2, "raw: int16, limits: [-5.6, 7.5]", big.NewRat(-5, 1), big.NewRat(7, 1)}, // the nearest counts are -6 and 8
		{plus2, "raw: int16, limits: [-5.4, 7.4]", big.NewRat(-5, 1), big.NewRat(7, 1)},
		{plus2, "raw: int16, limits: [-0.4, 7]", new(big.Rat), big.NewRat(7, 1)},
		{plus2, "raw: int16, limits: [3, 7.999999]", big.NewRat(3, 1), big.NewRat(7, 1)},
		{plus2, "raw: int16, counts_per_unit: -1, limits: [-5.6, 7.5]", big.NewRat(-5, 1), big.NewRat(7, 1)},
		{plus2, "raw: int16, counts_per_unit: 3, limits: [-5.6, 7.6]", big.NewRat(-16, 3), big.NewRat(22, 3)},
		{plus2, "raw: int8, counts_per_unit: 10, limits: [-0.96, 12.68]", big.NewRat(-9, 10), big.NewRat(126, 10)},
		{plus2, "raw: int32, limits: [-1000003.6, 1000003.6]", big.NewRat(-65536, 1), big.NewRat(65534, 1)}, // out of reach
		{plus2, "raw: int16, limits: [-5.6, 7.5], least_effort: 1.2", big.NewRat(-5, 1), big.NewRat(7, 1)},
		{plus2 + ", limits: [-4.7, 3.9]", "raw: int16, limits: [-5.6, 7.5]", big.NewRat(-4, 1), big.NewRat(3, 1)},
		{plus2 + ", limits: [-4.7, 3.9]", "raw: int16", big.NewRat(-4, 1), big.NewRat(3, 1)},
		{"clamp, of: a, limits: [-4.7, 3.9]", "raw: int16", big.NewRat(-4, 1), big.NewRat(3, 1)},
		{plus2 + ", limits: [0.5, 2.5]", "raw: int16, counts_per_unit: 8", big.NewRat(1, 2), big.NewRat(5, 2)},
		{"pid, target: 0, measured: a, kp: 100", "raw: int32, limits: [-1000003.6, 1000003.6]", big.NewRat(-1000003, 1), big.NewRat(1000003, 1)}, // more than 16 bits
		{"pid, target: 0, measured: a, kp: 3", "raw: int16, limits: [-5.6, 7.5]", big.NewRat(-5, 1), big.NewRat(7, 1)},
		{"pid, target: 0, measured: a, kp: 3, ki: 2", "raw: int16, limits: [-5.6, 7.5]", big.NewRat(-5, 1), big.NewRat(7, 1)},
		{"pid, target: 0, measured: a, kp: 3, ki: 2, limits: [-4.7, 9]", "raw: int16, limits: [-5.6, 7.5]", big.NewRat(-4, 1), big.NewRat(7, 1)},
		{"pid, target: 0, measured: a, kp: 3, ki: 2, tracking_time: 1 s, limits: [-4.7, 3.9]", "raw: int16", big.NewRat(-4, 1), big.NewRat(3, 1)},
	} {
		t.Run(c.step+" to "+c.output, func(t *testing.T) {
			u := compile(t, limited(c.step, c.output))
			least, most := extremes(u)
			if least.Cmp(c.lo) != 0 || most.Cmp(c.hi) != 0 {
				t.Errorf("the output goes from %s to %s, expected %s to %s", least.RatString(), most.RatString(), c.lo.RatString(), c.hi.RatString())
			}
			checkStoredLimits(t, u)
		})
	}
}

// TestLimitsOfCoarseFormat: a step that counts more coarsely than the output it feeds takes a format in which its limits are whole counts.
func TestLimitsOfCoarseFormat(t *testing.T) {
	u := compile(t, `controller: c
rate: 100 Hz
inputs:
  a: {raw: int32, unit: m, counts_per_unit: 1}
steps:
  s: {kind: low_pass, of: a, cutoff: 3 Hz}
  y: {kind: clamp, of: s, limits: [-1000003.6, 1000003.6]}
outputs:
  o: {from: y, raw: int32, unit: m}
`)
	checkStoredLimits(t, u)
}

// extremes runs the integer program at both ends of its input and at all counts near zero, and returns what the output reaches, in units.
func extremes(u *model.Unit) (least, most *big.Rat) {
	m := program.NewFixedMachine(u.Integer)
	out := u.Integer.Outputs[0]
	for pass := range 400 {
		lo, hi := u.Integer.Inputs[0].Type.Range()
		raw := []int64{lo, hi, int64(pass%40 - 20)}[pass/10%3]
		m.Tick([]int64{raw}, nil)
		y := new(big.Rat).Mul(big.NewRat(m.Values[out.Value], 1), out.Count())
		if least == nil || y.Cmp(least) < 0 {
			least = y
		}
		if most == nil || y.Cmp(most) > 0 {
			most = y
		}
	}
	return least, most
}

// checkStoredLimits looks at every limit of an output: whole counts, no further out than asked and less than a count further in.
func checkStoredLimits(t *testing.T, u *model.Unit) {
	seen := 0
	for i, op := range u.Stored.Ops {
		if op.Limit == nil {
			continue
		}
		seen++
		asked, count := u.Asked.Ops[i].K, op.Limit.Count
		in := new(big.Rat).Sub(asked, op.K)
		if !op.Limit.High {
			in.Neg(in)
		}
		if in.Sign() < 0 || in.Cmp(count) >= 0 || !new(big.Rat).Quo(op.K, count).IsInt() {
			t.Errorf("%s is %s where %s is asked, in counts of %s", op.Name, op.K.RatString(), asked.RatString(), count.RatString())
		}
		listed := asked.Sign() == 0
		for _, c := range u.Constants {
			listed = listed || c.Name == op.Name && c.Limit != nil && c.Asked.Cmp(asked) == 0 && c.Stored.Cmp(op.K) == 0
		}
		if !listed {
			t.Errorf("%s is not among the constants", op.Name)
		}
	}
	if seen < 2 {
		t.Errorf("%d limits of an output were looked at", seen)
	}
}

// TestNoCountInside: limits between two counts are refused where they stand, and each thing to write instead is accepted.
func TestNoCountInside(t *testing.T) {
	for _, c := range []struct{ step, output, key, inside, finer string }{
		{plus2, "raw: int16, limits: [0.2, 0.4]", "outputs.o.limits", "limits: [0, 1]", "counts_per_unit: 10"},
		{plus2, "raw: int16, limits: [-1.998, -1.001]", "outputs.o.limits", "limits: [-2, -1]", "counts_per_unit: 10"},
		{plus2 + ", limits: [0.2, 0.4]", "raw: int16", "steps.y.limits", "limits: [0, 1]", "counts_per_unit: 10"},
		{"pid, target: 0, measured: a, kp: 1, limits: [0.34, 0.35]", "raw: int16, limits: [-5, 5]", "steps.y.limits", "limits: [0, 1]", "counts_per_unit: 100"},
	} {
		text := limited(c.step, c.output)
		u := model.Compile("c.yaml", []byte(text))
		if u.OK() || len(u.Findings) != 1 || u.Findings[0].Rule != "no-count-inside" || u.Findings[0].Key != c.key || u.Findings[0].Pos.Line == 0 {
			t.Errorf("%s to %s: %v", c.step, c.output, u.Findings)
			continue
		}
		want := fmt.Sprintf("%s, or %s at the output", c.inside[len("limits: "):], c.finer)
		if got := u.Findings[0].Remedy; got != want {
			t.Errorf("%s to %s: remedy %q, expected %q", c.step, c.output, got, want)
		}
		step, output := c.step, c.output
		if c.key == "steps.y.limits" {
			step = limits.ReplaceAllString(step, c.inside)
		} else {
			output = limits.ReplaceAllString(output, c.inside)
		}
		compile(t, limited(step, output))
		compile(t, limited(c.step, c.output+", "+c.finer))
	}
}

var limits = regexp.MustCompile(`limits: \[[^]]*\]`)
