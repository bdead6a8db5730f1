package target

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"

	"gainwright/gen/target/path"
	templates "gainwright/templates/target"
)

// avr is the smallest of avrChips that holds the firmware, in libsimavr, driven by a runner that is compiled beside it.
type avr struct {
	args []string
	chip avrChip
}

// cyclesPerRecord is how many cycles a record may take, more than a second of the real part.
const cyclesPerRecord = 20_000_000

func (a *avr) about() (string, string) { return a.chip.name + " in libsimavr", "cycles" }

func (a *avr) firmware() string { return "avr_firmware.c.tmpl" }

func (a *avr) missing(ctx context.Context) []string {
	return lacking(ctx, []tool{
		{name: "avr-gcc", debian: "gcc-avr"},
		{name: "avr-objdump", debian: "binutils-avr"},
		{name: "avr/io.h", debian: "avr-libc", there: compilerHas("avr-gcc", "-mmcu="+avrChips[0].mcu, "-print-file-name=crt"+avrChips[0].mcu+".o")},
		{name: "cc", debian: "gcc"},
		{name: "simavr/sim_avr.h", debian: "libsimavr-dev", there: func(ctx context.Context) bool {
			return exec.CommandContext(ctx, "cc", "-fsyntax-only", "-x", "c", "-include", "simavr/sim_avr.h", os.DevNull).Run() == nil
		}},
	})
}

func (a *avr) prepare(ctx context.Context, s *Simulated) error {
	text, err := templates.Files.ReadFile("avr_runner.c.txt")
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(s.dir, "runner.c"), text, 0o600); err != nil {
		return err
	}
	if _, err := run(ctx, s.dir, "cc", "-O2", "runner.c", "-o", "runner", "-lsimavr"); err != nil {
		return err
	}
	firmware, err := readImage(filepath.Join(s.dir, "firmware.elf"))
	if err != nil {
		return err
	}
	widths := ""
	for _, t := range s.controller.in {
		widths += strconv.Itoa(int(t.Bits() / 8))
	}
	_, out := s.controller.size()
	at := func(symbol string) string { return strconv.FormatUint(firmware.symbols[symbol].Value&0xffff, 10) }
	a.args = []string{a.chip.mcu, "firmware.elf", at("From"), cmp.Or(widths, "1"), at("To"), strconv.Itoa(out), at("Step"), at("_end"), strconv.Itoa(cyclesPerRecord)}

	listing, err := run(ctx, s.dir, "avr-objdump", "-d", "-z", "firmware.elf")
	if err != nil {
		return err
	}
	program, err := path.Read(listing)
	if err != nil {
		return fmt.Errorf("avr-objdump: %w", err)
	}
	if s.measured.Proven, err = program.Worst("Step"); err != nil {
		s.measured.Unproven = err.Error()
	}
	return nil
}

func (a *avr) start(ctx context.Context, s *Simulated) (*process, error) {
	cmd := exec.CommandContext(ctx, filepath.Join(s.dir, "runner"), append(a.args, strconv.Itoa(s.Search))...)
	cmd.Dir, cmd.WaitDelay = s.dir, waitDelay
	p := &process{cmd: cmd, said: &limited{}}
	cmd.Stderr = p.said
	// A pipe of our own to read from: that of the command would be closed by its Wait, results and all.
	var write *os.File
	var err error
	if p.from, write, err = os.Pipe(); err != nil {
		return nil, err
	}
	defer write.Close()
	cmd.Stdout = write
	if p.to, err = cmd.StdinPipe(); err == nil {
		err = cmd.Start()
	}
	if err != nil {
		p.from.Close()
		return nil, err
	}
	return p, nil
}

func (a *avr) cost(measured, base uint32) int { return int(measured - base) }
