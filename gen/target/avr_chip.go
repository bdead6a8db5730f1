package target

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
)

// avrChip is an AVR part with a multiplier.
type avrChip struct {
	mcu, name string // as compiler and simulator call it, as people do
	ram       int
}

// avrChips have one core, so that a tick takes as many cycles on each; the first is the one that figures are stated for, the
// others are for controllers that it has no room for.
var avrChips = []avrChip{{"atmega328p", "ATmega328P", 2048}, {"atmega1284p", "ATmega1284P", 16384}}

// stackRoom is what must be left of the RAM: the linker does not look. The runner watches that it is enough.
const stackRoom = 1024

// avrFlags is how firmware is compiled for a part.
var avrFlags = []string{"-O2", "-std=gnu99", "-g", "-Wall", "-Werror"}

// compile chooses the chip with the first file, the firmware; the others are parts of it.
func (a *avr) compile(ctx context.Context, dir, source, elf string, defines ...string) error {
	if a.chip.mcu != "" {
		return a.chip.compile(ctx, dir, source, elf, defines)
	}
	for i, chip := range avrChips {
		err := chip.compile(ctx, dir, source, elf, defines)
		last := i == len(avrChips)-1
		if err != nil && strings.Contains(err.Error(), "region `") { // flash or RAM, says the linker
			if last {
				return fmt.Errorf("it is too large for an %s: %w", chip.name, err)
			}
			continue
		}
		if err != nil {
			return err
		}
		made, err := readImage(filepath.Join(dir, elf))
		if err != nil {
			return err
		}
		if made.ram+stackRoom <= chip.ram {
			a.chip = chip
			return nil
		}
		if last {
			return fmt.Errorf("variables take %d bytes, an %s has %d of RAM and needs %d for the stack", made.ram, chip.name, chip.ram, stackRoom)
		}
	}
	return nil
}

func (c avrChip) compile(ctx context.Context, dir, source, elf string, defines []string) error {
	args := append([]string{"-mmcu=" + c.mcu}, avrFlags...)
	for _, d := range defines {
		args = append(args, "-D"+d)
	}
	_, err := run(ctx, dir, "avr-gcc", append(args, source, "-lm", "-o", elf)...)
	return err
}
