package c

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/selection"
	"gainwright/model/tier"
)

// avrRunner loads a firmware into a simulated ATmega1284P, a part with the core of the ATmega328P and RAM
// enough for long vectors, and prints what the firmware leaves in GPIOR1 and GPIOR2 when it writes GPIOR0.
const avrRunner = `
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <simavr/sim_io.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
static int done;
static void finish(struct avr_t *avr, avr_io_addr_t addr, uint8_t v, void *p)
{
    (void)addr; (void)v; (void)p;
    printf("result %u\n", avr->data[0x4a] | avr->data[0x4b] << 8);
    done = 1;
}
int main(int argc, char **argv)
{
    elf_firmware_t f;
    avr_t *avr;
    (void)argc;
    memset(&f, 0, sizeof f);
    if (elf_read_firmware(argv[1], &f)) return 2;
    avr = avr_make_mcu_by_name("atmega1284p");
    if (!avr) return 2;
    avr_init(avr);
    avr->frequency = 16000000;
    avr_load_firmware(avr, &f);
    avr_register_io_write(avr, 0x3e, finish, 0);
    while (!done && avr->cycle < strtoull(argv[2], 0, 10)) {
        int state = avr_run(avr);
        if (state == cpu_Done || state == cpu_Crashed) break;
    }
    return done ? 0 : 1;
}
`

// TestSameBitsWhereIntHas16Bits runs self-test vectors, states at the end included, on a simulated 8-bit part: with
// the forms that it has of its own, for speed and for size, and without them.
func TestSameBitsWhereIntHas16Bits(t *testing.T) {
	tier.Slow(t)
	tools := avrTools(t)
	units := samples(t)
	for i := range tier.Count(4, 4, 12) {
		units = append(units, randomUnit(t, 200+uint64(i)))
	}
	for _, u := range units {
		t.Run(u.Spec.Name, func(t *testing.T) {
			portable := func(header string) string { return "#define " + strings.ToUpper(u.Spec.Name) + "_PORTABLE\n" + header }
			for name, got := range map[string]string{
				"speed":    onAVR(t, tools, u, selection.Speed, nil),
				"size":     onAVR(t, tools, u, selection.Size, nil),
				"portable": onAVR(t, tools, u, selection.Speed, portable),
			} {
				if got != "0" {
					t.Errorf("%s: the self-test says %s", name, got)
				}
			}
		})
	}
}

// avrTools builds the runner and returns its folder.
func avrTools(t *testing.T) string {
	t.Helper()
	need(t, "avr-gcc")
	if _, err := os.Stat("/usr/include/simavr/sim_avr.h"); err != nil {
		tier.Lacks(t, "libsimavr-dev")
	}
	tools := t.TempDir()
	write(t, tools, map[string][]byte{"runner.c": []byte(avrRunner)})
	if out, err := run(tools, nil, "cc", "-O2", "runner.c", "-o", "runner", "-I/usr/include/simavr", "-lsimavr"); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return tools
}

// onAVR returns what the self-test of a unit gives, with its header changed.
func onAVR(t *testing.T, tools string, u *model.Unit, o selection.Preference, change func(header string) string) string {
	t.Helper()
	name := u.Spec.Name
	dir := t.TempDir()
	header := string(HeaderFor(u, o))
	if change != nil {
		header = change(header)
	}
	firmware := fmt.Sprintf("#include <avr/io.h>\n#include \"%s_vectors.h\"\nint main(void) { const uint16_t r = %s_selftest(); "+
		"GPIOR1 = (uint8_t)r; GPIOR2 = (uint8_t)(r >> 8); GPIOR0 = 1; for (;;) {} }\n", name, name)
	write(t, dir, map[string][]byte{name + ".h": []byte(header), name + "_vectors.h": Vectors(u, min(200, 12000/recordBytes(u.Integer))), "firmware.c": []byte(firmware)})
	return simulate(t, tools, dir)
}

// simulate compiles firmware.c of a folder and returns the number that it ends with.
func simulate(t *testing.T, tools, dir string, flags ...string) string {
	t.Helper()
	args := append([]string{"-mmcu=atmega1284p", "-O1", "-std=c99"}, flags...)
	if out, err := run(dir, nil, "avr-gcc", append(args, "firmware.c", "-o", "firmware.elf")...); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	cycles := "4000000000"
	if tier.Long() {
		cycles = "400000000000"
	}
	out, err := run(dir, nil, tools+"/runner", "firmware.elf", cycles)
	_, result, ok := strings.Cut(string(out), "result ")
	if !ok { // an error alone means nothing: the simulator tells on stderr what it loads
		t.Fatalf("%v\n%s", err, out)
	}
	result, _, _ = strings.Cut(result, "\n")
	return result
}
