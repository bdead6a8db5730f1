package c

import (
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// roots are square roots in every width.
func roots(t testing.TB) *model.Unit {
	b := newBuilder(t, "roots")
	x := b.input("x", program.I16, "", big.NewRat(1, 1))
	b.begin("all", "roots", "Roots.", "")
	for _, v := range []struct {
		name string
		of   program.ID
		hi   int64
	}{{"sixteen", x, 181}, {"thirty_two", b.scale("fine", "x * 2^16", 1<<16, x), 46340}, {"sixty_four", b.scale("finest", "x * 2^40", 1<<40, x), 189812531}} {
		id := b.add(program.FixedOp{Op: program.Op{Kind: program.Root, Name: v.name, Doc: "root", Args: []program.ID{v.of}}}, 0, v.hi)
		b.output("o_"+v.name, program.I32, id)
	}
	return b.unit()
}

// TestRootsOfEveryNumber: the roots of all numbers of 16 bits, as they are and times 2^16 and 2^40, are the nearest whole numbers: by their squares, on this host,
// where nothing may be undefined.
func TestRootsOfEveryNumber(t *testing.T) {
	dir := emit(t, roots(t))
	write(t, dir, map[string][]byte{"all.c": []byte(`#include <stdio.h>
#include "roots.h"
static int isNearest(unsigned long long r, long long of)
{
    const unsigned long long x = of < 0 ? 0u : (unsigned long long)of;
    return r * r + r >= x && (r == 0u || r * r - r < x);
}
int main(void)
{
    static roots_state s;
    roots_in in = {0};
    roots_out out;
    long long a, wrong = 0;
    roots_init(&s);
    for (a = -32768; a < 32768; a++) {
        in.x = (int16_t)a;
        roots_step(&s, &in, &out);
        wrong += !isNearest((unsigned long long)out.o_sixteen, a);
        wrong += !isNearest((unsigned long long)out.o_thirty_two, a * 65536);
        wrong += !isNearest((unsigned long long)out.o_sixty_four, a * 1099511627776);
    }
    printf("%lld", wrong);
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
