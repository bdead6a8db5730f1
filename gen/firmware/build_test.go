package firmware

import (
	"bytes"
	"debug/elf"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/tier"
	"gainwright/templates"
)

// need skips a test that lacks a tool, or fails where all tools must be there.
func need(t *testing.T) {
	t.Helper()
	_, gcc := exec.LookPath("avr-gcc")
	_, simulator := os.Stat("/usr/include/simavr/sim_avr.h")
	if gcc == nil && simulator == nil {
		return
	}
	tier.Lacks(t, "one of Debian's gcc-avr, avr-libc and libsimavr-dev")
}

// tester is what the checks need of a test.
type tester interface {
	Helper()
	Errorf(format string, args ...any)
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

// compile makes a controller of a spec.
func compile(t *testing.T, name, source string) *model.Unit {
	t.Helper()
	u := model.Compile(name+".yaml", []byte(source))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	return u
}

func starter(t *testing.T, name string) *model.Unit {
	t.Helper()
	return compile(t, name, string(templates.Starter(name)))
}

// sensor is what a user would write into a file of his own; what it does is told by GPIOR0, which the runner sets. Each reading changes
// by a count from tick to tick, as those of a sensor that is alive do.
const sensor = `
static const uint8_t reading[REGISTERS] = {%s};

#ifdef USART_UDRE_vect
/* An interrupt of somebody else's, which takes long and comes again as soon as it is over. */
ISR(USART_UDRE_vect)
{
    volatile uint8_t i;
    UDR0 = 0u;
    for (i = 0u; i < 200u; i++) {}
}
#endif

static uint16_t read_registers(uint8_t *registers)
{
    static uint8_t turn;
    uint8_t i;
    for (i = 0u; i < REGISTERS; i++) {
        registers[i] = (uint8_t)(reading[i] ^ (i & turn));
    }
    turn ^= 1u;
    switch (GPIOR0) {
    case 1u: /* no answer */
        return 0u;
    case 2u: /* so slow that the next tick is due */
        while (next_is_due() == 0u) {}
        return REGISTERS;
    case 3u: /* so slow that two ticks are due */
        while (next_is_due() < 2u) {}
        return REGISTERS;
    case 4u: /* a bus that hangs */
        for (;;) {}
#ifdef USART_UDRE_vect
    case 5u: /* the storm begins */
        UCSR0B = (1u << TXEN0) | (1u << UDRIE0);
        return REGISTERS;
#endif
    case 6u: /* every second answer is lost */
        return turn != 0u ? REGISTERS : 0u;
    case 7u: /* the last byte does not come */
        return REGISTERS - 1u;
    case 8u: /* the same again and again */
        turn = 0u;
        return REGISTERS;
    case 9u: /* it has jumped */
        registers[0] ^= 0x10u;
        return REGISTERS;
    default:
        return REGISTERS;
    }
}
`

// board is an example built for a part.
type board struct {
	unit       *model.Unit
	dir, image string
	part       string
	hz         int
	said       string                      // by the compiler
	change     func(example string) string // nil: it is compiled as it is emitted
}

// build compiles the example as it is emitted. An empty reading leaves the sensor unfilled.
func build(t *testing.T, u *model.Unit, part string, hz int, reading string, flags ...string) *board {
	t.Helper()
	b := &board{unit: u, dir: t.TempDir(), part: part, hz: hz}
	out, err := b.compile(reading, flags...)
	if err != nil {
		t.Fatalf("%s: %v\n%s", u.Spec.Name, err, out)
	}
	b.said = out
	return b
}

func (b *board) compile(reading string, flags ...string) (string, error) {
	name := b.unit.Spec.Name
	args := append([]string{"-mmcu=" + b.part, fmt.Sprintf("-DF_CPU=%d", b.hz), "-std=c99", "-Wall", "-Wextra", "-Wconversion", "-Wshadow", "-pedantic"}, flags...)
	files := map[string][]byte{name + ".h": c.Header(b.unit), name + "_loop_example.c": c.LoopExample(b.unit)}
	if reading != "" {
		files["sensor.h"] = fmt.Appendf(nil, sensor, reading)
		args = append(args, fmt.Sprintf(`-D%s_SENSOR="sensor.h"`, strings.ToUpper(name)), "-Werror")
	}
	if b.change != nil {
		files[name+"_loop_example.c"] = []byte(b.change(string(files[name+"_loop_example.c"])))
	}
	for file, text := range files {
		if err := os.WriteFile(filepath.Join(b.dir, file), text, 0o600); err != nil {
			return "", err
		}
	}
	b.image = filepath.Join(b.dir, "firmware.elf")
	cmd := exec.Command("avr-gcc", append(args, name+"_loop_example.c", "-o", b.image)...)
	cmd.Dir = b.dir
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// runner builds the program that runs a firmware by a script.
func runner(t *testing.T) string {
	t.Helper()
	need(t)
	path := filepath.Join(t.TempDir(), "runner")
	if out, err := exec.Command("cc", "-O2", "-x", "c", "testdata/runner.c.txt", "-o", path, "-lsimavr").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return path
}

// run runs the script; it fails where the firmware crashes.
func (b *board) run(t tester, runner, script string) string {
	t.Helper()
	cmd := exec.Command(runner, b.image, b.part, fmt.Sprint(b.hz))
	cmd.Stdin = strings.NewReader(script)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s: %v\n%s%s", b.unit.Spec.Name, err, said.String(), out.String())
	}
	return out.String()
}

// symbol is the address of a variable in data space.
func (b *board) symbol(t tester, name string) int {
	t.Helper()
	f, err := elf.Open(b.image)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	symbols, err := f.Symbols()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range symbols {
		if s.Name == name {
			return int(s.Value & 0xffff)
		}
	}
	t.Fatalf("no %s in %s", name, b.image)
	return 0
}
