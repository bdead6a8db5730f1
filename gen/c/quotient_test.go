package c

import (
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// quotients are divisions in every width, by divisors of either sign: sums before them that just fit 16 bits, and that do not.
func quotients(t testing.TB) *model.Unit {
	b := newBuilder(t, "quotients")
	x := b.input("x", program.I8, "", big.NewRat(1, 1))
	y := b.input("y", program.I8, "", big.NewRat(1, 1))
	i16 := b.input("i16", program.I16, "", big.NewRat(1, 1))
	i32 := b.input("i32", program.I32, "", big.NewRat(1, 1))
	b.begin("all", "quotients", "Quotients.", "")
	within := func(name string, a program.ID, lo, hi int64) program.ID {
		return b.op(program.Clamp, name, "divisor", a, b.constant(name+"_lo", lo), b.constant(name+"_hi", hi))
	}
	above, below := within("above", y, 1, 127), within("below", y, -128, -1)
	far, least := within("far", i16, -32704, 32704), within("least", i32, -1<<31, -2)
	fine := b.scale("fine", "x * 2^20", 1<<20, x)
	finest := b.scale("finest", "i32 * 2^30", 1<<30, i32)
	for _, v := range []struct {
		name string
		a, b program.ID
		want program.Type
	}{
		{"eight", x, above, program.I16}, {"eight_below", x, below, program.I16}, {"fits16", far, above, program.I16}, {"fits16_below", i16, below, program.I32},
		{"sixteen", i16, above, program.I32}, {"thirty_two", fine, below, program.I32}, {"inverse", b.constant("one", 1<<24), above, program.I32},
		{"sixty_four", i32, least, program.I64}, {"finest_by", finest, least, program.I64}, {"finest_above", finest, above, program.I64},
	} {
		q := b.op(program.Quotient, v.name, "quotient", v.a, v.b)
		w := b.p.Width(q)
		if program.Widest(w, program.I16) != v.want {
			t.Errorf("%s is done in %d bits, %d are expected", v.name, w.Bits(), v.want.Bits())
		}
		b.output("o_"+v.name, program.I64, q)
	}
	return b.unit()
}

// TestQuotientsOf8Bits: all quotients of two numbers of 8 bits are the nearest whole number, halves up, as C computes them: by another way,
// on this host, where nothing may be undefined.
func TestQuotientsOf8Bits(t *testing.T) {
	u := quotients(t)
	dir := emit(t, u)
	write(t, dir, map[string][]byte{"all.c": []byte(`#include <stdio.h>
#include "quotients.h"
static long nearest(long a, long b)
{
    long n = 2 * a + b, by = 2 * b;
    if (by < 0) {
        n = -n;
        by = -by;
    }
    return n >= 0 ? n / by : -((by - 1 - n) / by);
}
int main(void)
{
    static quotients_state s;
    quotients_in in = {0};
    quotients_out out;
    long a, b, wrong = 0;
    quotients_init(&s);
    for (a = -128; a < 128; a++) {
        for (b = -128; b < 128; b++) {
            in.x = (int8_t)a;
            in.y = (int8_t)b;
            quotients_step(&s, &in, &out);
            wrong += out.o_eight != nearest(a, b < 1 ? 1 : b);
            wrong += out.o_eight_below != nearest(a, b > -1 ? -1 : b);
            wrong += out.o_thirty_two != nearest(a * 1048576, b > -1 ? -1 : b);
        }
    }
    printf("%ld", wrong);
    return 0;
}
`)})
	if out, err := run(dir, nil, "cc", "-std=c99", "-O1", "-fsanitize=undefined", "-fno-sanitize-recover=all", "all.c", "-o", "all"); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if out, err := run(dir, nil, "./all"); err != nil || string(out) != "0" {
		t.Errorf("%v, wrong: %s", err, out)
	}
}
