package c

import (
	"fmt"
	"strings"
	"testing"

	"gainwright/model"
)

// boardMain calls the self-test with a counter that adds seven at each look, so that a tick takes seven.
const boardMain = `
#include <stdio.h>
#include <stdint.h>
#include <stdlib.h>
static uint32_t counter = 0xFFFFFFF0u;
static uint32_t look(void) { return counter += 7u; }
#define %[2]s_CYCLES() look()
#include "%[1]s_board.c"
void %[1]s_put(char c) { putchar(c); }
int main(void) { return %[1]s_board_test() == 0u ? 0 : 1; }
`

func board(t *testing.T, u *model.Unit, ticks int, header func(string) string) string {
	t.Helper()
	name := u.Spec.Name
	dir := t.TempDir()
	write(t, dir, map[string][]byte{
		name + ".h": []byte(header(string(Header(u)))), name + "_vectors.h": Vectors(u, ticks), name + "_board.c": Board(u, ticks),
		"main.c": []byte(fmt.Sprintf(boardMain, name, strings.ToUpper(name))),
	})
	if out, err := run(dir, nil, "cc", append(append([]string{"-std=c99"}, warnings...), "main.c", "-o", "main")...); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	out, _ := run(dir, nil, "./main")
	return string(out)
}

func same(header string) string { return header }

func TestBoardSaysPass(t *testing.T) {
	for _, u := range samples(t) {
		want := fmt.Sprintf("%s PASS, 40 ticks, cycles worst 0, mean 0\r\n", u.Spec.Name)
		if got := board(t, u, 40, same); got != want {
			t.Errorf("says %q, want %q", got, want)
		}
	}
}

func TestBoardNamesTheFirstWrongTick(t *testing.T) {
	u := cart(t)
	replaced := func(old, new string) func(string) string {
		return func(header string) string {
			if !strings.Contains(header, old) {
				t.Fatalf("no %q", old)
			}
			return strings.Replace(header, old, new, 1)
		}
	}
	wrong := strings.Index(string(Vectors(u, 40)), "{ 255 },")
	if wrong < 0 {
		t.Fatal("the vectors do not reach the limit")
	}
	tick := strings.Count(string(Vectors(u, 40))[strings.Index(string(Vectors(u, 40)), "cart_vector_out"):wrong], "{ ") + 1
	got := board(t, u, 40, replaced("    out->drive = (int16_t)drive;", "    out->drive = (int16_t)(drive - (drive == 255));"))
	if want := fmt.Sprintf("cart FAIL in tick %d: drive is 254, not 255\r\n", tick); got != want {
		t.Errorf("says %q, want %q", got, want)
	}
	got = board(t, u, 40, replaced("    s->tilt = ", "    s->tilt = 1 ^ ")) // in init
	if want := "cart FAIL at the start: tilt is 1, not 0\r\n"; got != want {
		t.Errorf("says %q, want %q", got, want)
	}
	got = board(t, u, 40, replaced("    s->integral = 0;\n}", "    static int calls;\n    if (calls++ < 2) s->integral = 0;\n}")) // the first two are those of init
	if want := "cart FAIL after starting over before tick 6\r\n"; got != want {
		t.Errorf("says %q, want %q", got, want)
	}
	got = board(t, u, 40, func(header string) string { // in the step
		at := strings.LastIndex(header, "    s->tilt = ")
		return header[:at] + strings.Replace(header[at:], "    s->tilt = ", "    s->tilt = 1 ^ ", 1)
	})
	if !strings.HasPrefix(got, "cart FAIL in the state at the end: tilt is ") || strings.Contains(got, "integral is") {
		t.Errorf("says %q", got)
	}
}

// TestStartLeavesNoRubbish drops each line of init: the self-test of the board starts from memory that holds rubbish.
func TestStartLeavesNoRubbish(t *testing.T) {
	u := cart(t)
	header := string(Header(u))
	from := strings.Index(header, "cart_init(cart_state *s)\n{\n")
	lines := strings.SplitAfter(header[from:from+strings.Index(header[from:], "\n}\n")+1], "\n")[2:]
	for _, line := range lines {
		if strings.TrimSpace(line) == "" {
			continue
		}
		got := board(t, u, 8, func(header string) string { return header[:from] + strings.Replace(header[from:], line, "", 1) })
		if !strings.HasPrefix(got, "cart FAIL at the start: ") {
			t.Errorf("without %q it says %q", line, got)
		}
	}
	if len(lines) < 4 {
		t.Errorf("init has %d lines", len(lines))
	}
}

// TestBoardOnAVR collects the text in memory and looks for the word, with the cycles of a timer.
func TestBoardOnAVR(t *testing.T) {
	tools := avrTools(t)
	u := cart(t)
	main := "#include <avr/io.h>\n#define CART_CYCLES() TCNT1\n#define CART_CYCLES_MASK 0xFFFF\n#include \"cart_board.c\"\n" + `
static char text[80]; static uint8_t n;
void cart_put(char c) { if (n < 79u) text[n++] = c; }
int main(void) {
    const char *want = "cart PASS, 64 ticks, cycles worst ";
    uint8_t i, same = 1;
    TCCR1B = 1 << CS10;
    if (cart_board_test() != 0) same = 0;
    for (i = 0; want[i]; i++) if (text[i] != want[i]) same = 0;
    if (!(text[i] >= '1' && text[i] <= '9' && text[i + 2] >= '0' && text[i + 3] == ',')) same = 0; /* three digits */
    GPIOR1 = !same; GPIOR2 = 0; GPIOR0 = 1; for (;;) {}
}
`
	dir := t.TempDir()
	write(t, dir, map[string][]byte{"cart.h": Header(u), "cart_vectors.h": Vectors(u, 64), "cart_board.c": Board(u, 64), "firmware.c": []byte(main)})
	if got := simulate(t, tools, dir); got != "0" {
		t.Errorf("ends with %s", got)
	}
}
