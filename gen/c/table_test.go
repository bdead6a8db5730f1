package c

import (
	"bytes"
	"fmt"
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// curveOf is an integer table with the nearest slopes.
func curveOf(xs, ys []int64, shift uint) *program.Curve {
	c := &program.Curve{X: xs, Y: ys, Shift: shift, MaxError: big.NewRat(1, 1)}
	for i := range len(xs) - 1 {
		k := big.NewRat(2*(ys[i+1]-ys[i])<<shift+(xs[i+1]-xs[i]), 2*(xs[i+1]-xs[i]))
		c.Slope = append(c.Slope, new(big.Int).Div(k.Num(), k.Denom()).Int64())
	}
	return c
}

// curves are tables in every form and width: even and uneven ones, of 16 bits and more, of two points, with and without places beyond them.
func curves(t testing.TB) *model.Unit {
	b := newBuilder(t, "curves")
	x := b.input("x", program.I16, "", big.NewRat(1, 1))
	b.begin("all", "tables", "Tables.", "")
	low := b.op(program.Clamp, "low", "inside the points", x, b.constant("least", -3000), b.constant("most", 5000))
	fine := b.scale("fine", "x * 2^14", 1<<14, x)
	for _, v := range []struct {
		name   string
		of     program.ID
		xs, ys []int64
		shift  uint
	}{
		{"uneven", x, []int64{-3000, -2900, 17, 4000, 5000}, []int64{-9000, 100, 99, 12000, -2}, 12},
		{"inside", low, []int64{-3000, -2900, 17, 4000, 5000}, []int64{-9000, 100, 99, 12000, -2}, 12},
		{"even", x, []int64{-32000, -15616, 768, 17152}, []int64{-9000, 100, 32000, 12000}, 14},
		{"two", x, []int64{-32768, 32767}, []int64{-32768, 32767}, 16},
		{"finest", x, []int64{0, 1, 2, 3}, []int64{0, 1000, -1000, 5}, 2},
		{"wide", x, []int64{-20000, -10000, 10000}, []int64{-1 << 30, 1 << 30, 7}, 15},
		{"far", fine, []int64{1 << 28, 1<<28 + 30000, 1<<28 + 65000}, []int64{4, 500, -500}, 15},
		{"steps", fine, []int64{-1 << 28, -1<<28 + 16384, -1<<28 + 32768}, []int64{70000, 4, 500}, 14},
	} {
		c := curveOf(v.xs, v.ys, v.shift)
		lo, hi := c.Ends()
		id := b.add(program.FixedOp{Op: program.Op{Kind: program.Table, Name: v.name, Doc: "looked up", Args: []program.ID{v.of}}, Curve: c}, lo, hi)
		b.output("o_"+v.name, program.I32, id)
	}
	return b.unit()
}

// TestTablesOnEveryCount: each table gives what its lines are, rounded, at every number of 16 bits: computed in another way, on this host, where nothing may be
// undefined. A line of 2^shift counts or less ends in the next point.
func TestTablesOnEveryCount(t *testing.T) {
	u := curves(t)
	dir := emit(t, u)
	var tables, checks bytes.Buffer
	for _, op := range u.Integer.Ops {
		if op.Kind != program.Table {
			continue
		}
		c := op.Curve
		fmt.Fprintf(&tables, "    static const struct line %s[] = {", op.Name)
		for i, k := range c.Slope {
			fmt.Fprintf(&tables, "{%dLL, %dLL, %dLL, %dLL}, ", c.X[i], c.Y[i], k, c.X[i+1])
		}
		of := map[string]string{"inside": "(a < -3000 ? -3000 : a > 5000 ? 5000 : a)", "far": "a * 16384", "steps": "a * 16384"}[op.Name]
		if of == "" {
			of = "a"
		}
		fmt.Fprintf(&tables, "};\n")
		fmt.Fprintf(&checks, "        wrong += out.o_%s != at(%s, %d, %d, %s);\n", op.Name, op.Name, len(c.Slope), c.Shift, of)
	}
	write(t, dir, map[string][]byte{"all.c": []byte(`#include <stdio.h>
#include "curves.h"
struct line { long long x, y, k, end; };
static long long at(const struct line *l, int n, int shift, long long x)
{
    long long p, by = 1LL << (shift + 1);
    int i;
    if (x < l[0].x) {
        x = l[0].x;
    }
    if (x > l[n - 1].end) {
        x = l[n - 1].end;
    }
    for (i = n - 1; l[i].x > x; i--) {
    }
    p = 2 * (x - l[i].x) * l[i].k + by / 2;
    return l[i].y + (p >= 0 ? p / by : -((by - 1 - p) / by));
}
int main(void)
{
` + tables.String() + `    static curves_state s;
    curves_in in = {0};
    curves_out out;
    long long a, wrong = 0;
    curves_init(&s);
    for (a = -32768; a < 32768; a++) {
        in.x = (int16_t)a;
        curves_step(&s, &in, &out);
` + checks.String() + `    }
    printf("%lld", wrong);
    return 0;
}
`)})
	for _, define := range []string{"-DANY", "-DCURVES_PORTABLE"} {
		if out, err := run(dir, nil, "cc", "-std=c99", "-O1", define, "-fsanitize=undefined", "-fno-sanitize-recover=all", "all.c", "-o", "all"); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		if out, err := run(dir, nil, "./all"); err != nil || string(out) != "0" {
			t.Errorf("%v, wrong: %s", err, out)
		}
	}
}
