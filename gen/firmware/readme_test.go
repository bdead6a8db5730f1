package firmware

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/gen/c"
)

// readme plays what the README shows with functions that a user would write: the heater is off from the start, without a reading and
// without the switch, and a reading that jumped is not believed again because one was missed. After many missed ones it starts over,
// and no setter can interrupt init.
const readme = `
#include <stdint.h>
#include <stdio.h>
static int switch_on, answers, heater = 1000, heats;
static int16_t reading;
static int switched_on(void) { return switch_on; }
static int read_sensor(int16_t *into) { if (answers) { reading ^= 1; *into = reading; } return answers; }
static void set_heater(int value) { heater = value; heats += value != 0; }
#include "incubator.h"
static int held, interruptible;
static void hold_interrupts(void) { held++; }
static void release_interrupts(void) { held--; }
static void held_init(incubator_state *s) { interruptible += held != 1; incubator_init(s); }
#define incubator_init held_init
#include "snippet.h"
static int ticks(int n)
{
    heats = 0;
    while (n-- > 0) every_second();
    return heats;
}
int main(void)
{
    start();
    if (heater != 0) return 1;
    reading = 20 * 128; answers = 1;
    if (ticks(100) != 0) return 2;
    switch_on = 1;
    if (ticks(100) < 50 || heater == 0) return 3;
    answers = 0;
    if (ticks(1) != 0 || heater != 0) return 4;
    answers = 1;
    if (ticks(10) != 10) return 5;
    reading = 30 * 128;
    ticks(1); answers = 0; ticks(5); answers = 1;
    if (ticks(200) != 0 || heater != 0) return 6;
    switch_on = 0;
    if (ticks(1) != 0 || heater != 0) return 7;
    switch_on = 1;
    if (ticks(100) < 50) return 8;
    answers = 0;
    if (ticks(3600) != 0) return 9;
    answers = 1;
    if (ticks(29) != 0) return 10; /* not believed yet, and nothing is left of the integral */
    if (state.heat_integral != 0) return 11;
    if (ticks(20) != 20) return 12;
    answers = 0; ticks(2); answers = 1;
    if (ticks(1) != 1) return 13; /* too few to start over */
    return held != 0 || interruptible != 0 ? 14 : 0;
}
`

func TestReadme(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, snippet, found := strings.Cut(string(text), "```c\n#include \"incubator.h\"")
	snippet, _, closed := strings.Cut(snippet, "```")
	if !found || !closed {
		t.Fatal("the README shows no firmware")
	}
	dir := t.TempDir()
	for name, text := range map[string]string{"incubator.h": string(c.Header(starter(t, "incubator"))), "snippet.h": "#include \"incubator.h\"" + snippet, "main.c": readme} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, compiler := range [][]string{{"cc", "-std=c99"}, {"c++", "-std=c++11", "-x", "c++"}} {
		cmd := exec.Command(compiler[0], append(compiler[1:], "-Wall", "-Wextra", "-Werror", "main.c", "-o", "main")...)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		cmd = exec.Command(filepath.Join(dir, "main"))
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v %s", compiler[0], err, out)
		}
	}
}
