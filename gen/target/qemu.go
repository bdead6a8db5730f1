package target

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"syscall"
)

// qemu is a part in qemu, which reads and writes records by semihosting, through two named pipes.
type qemu struct{ machine }

// machine is one of qemu's, and its compiler.
type machine struct {
	name      string
	emulator  tool
	machine   []string
	icount    string // the nanoseconds of an instruction, as a power of two
	compiler  tool
	library   string // Debian package of picolibc
	flags     []string
	perCounts float64 // counts of the firmware's counter in an instruction
}

var (
	// cortexM0 has no counter of instructions. With -icount, time goes on by the same step with each one; 2^10 ns
	// are 16.384 cycles of its 16 MHz clock, which SysTick counts: enough to tell every number of them.
	cortexM0 = machine{
		name: "Cortex-M0 in qemu", emulator: tool{name: "qemu-system-arm", debian: "qemu-system-arm"}, machine: []string{"-M", "microbit"}, icount: "10",
		compiler: tool{name: "arm-none-eabi-gcc", debian: "gcc-arm-none-eabi"}, library: "picolibc-arm-none-eabi",
		flags: []string{"-mcpu=cortex-m0", "-mthumb", "-Wl,--defsym=__flash=0", "-Wl,--defsym=__flash_size=0x40000",
			"-Wl,--defsym=__ram=0x20000000", "-Wl,--defsym=__ram_size=0x4000"},
		perCounts: 16.384,
	}
	// cortexM4 computes without its floating-point unit. Its clock is of 25 MHz.
	cortexM4 = machine{
		name: "Cortex-M4 in qemu", emulator: cortexM0.emulator, machine: []string{"-M", "mps2-an386"}, icount: "10",
		compiler: cortexM0.compiler, library: cortexM0.library,
		flags: []string{"-mcpu=cortex-m4", "-mthumb", "-mfloat-abi=soft", "-Wl,--defsym=__flash=0", "-Wl,--defsym=__flash_size=0x40000",
			"-Wl,--defsym=__ram=0x20000000", "-Wl,--defsym=__ram_size=0x10000"},
		perCounts: 25.6,
	}
	rv32imc = machine{
		name: "RV32IMC in qemu", emulator: tool{name: "qemu-system-riscv32", debian: "qemu-system-misc"},
		machine: []string{"-M", "virt", "-cpu", "rv32,a=false,f=false,d=false", "-bios", "none"}, icount: "0",
		compiler: tool{name: "riscv64-unknown-elf-gcc", debian: "gcc-riscv64-unknown-elf"}, library: "picolibc-riscv64-unknown-elf",
		flags: []string{"-march=rv32imc", "-mabi=ilp32", "-Wl,--defsym=__flash=0x80000000", "-Wl,--defsym=__flash_size=0x100000",
			"-Wl,--defsym=__ram=0x80100000", "-Wl,--defsym=__ram_size=0x100000"},
		perCounts: 1,
	}
)

func (q *qemu) about() (string, string) { return q.name, "instructions" }

func (q *qemu) firmware() string { return "qemu_firmware.c.tmpl" }

func (q *qemu) missing(ctx context.Context) []string {
	return lacking(ctx, []tool{q.compiler, q.emulator,
		{name: "picolibc for " + q.compiler.name, debian: q.library, there: compilerHas(q.compiler.name, "-print-file-name=picolibc.specs")}})
}

func (q *qemu) compile(ctx context.Context, dir, source, elf string, defines ...string) error {
	args := append([]string{"--specs=picolibc.specs", "--oslib=semihost", "--crt0=semihost", "-O2", "-std=gnu99", "-Wall", "-Werror"}, q.flags...)
	for _, d := range defines {
		args = append(args, "-D"+d)
	}
	_, err := run(ctx, dir, q.compiler.name, append(args, source, "-lm", "-o", elf)...)
	return err
}

func (q *qemu) prepare(context.Context, *Simulated) error { return nil }

func (q *qemu) start(ctx context.Context, s *Simulated) (*process, error) {
	dir, err := os.MkdirTemp(s.dir, "run")
	if err != nil {
		return nil, err
	}
	in, out := filepath.Join(dir, "in"), filepath.Join(dir, "out")
	for _, pipe := range []string{in, out} {
		if err := fifo(pipe); err != nil {
			return nil, fmt.Errorf("a named pipe: %w", err)
		}
	}
	// Both pipes are held open from this side until the firmware has opened them too, so that neither side
	// waits for the other and none sees an end that is none.
	from, err := os.OpenFile(out, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	hold, err := os.OpenFile(out, os.O_WRONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		from.Close()
		return nil, err
	}
	to, err := os.OpenFile(in, os.O_RDWR|syscall.O_NONBLOCK, 0)
	if err != nil {
		from.Close()
		hold.Close()
		return nil, err
	}
	args := append(append([]string(nil), q.machine.machine...), "-icount", "shift="+q.icount+",sleep=off",
		"-display", "none", "-monitor", "none", "-serial", "none", "-chardev", "stdio,id=sh0",
		"-semihosting-config", "enable=on,target=native,chardev=sh0", "-kernel", filepath.Join(s.dir, "firmware.elf"))
	cmd := exec.CommandContext(ctx, q.emulator.name, args...)
	cmd.Dir, cmd.WaitDelay = dir, waitDelay
	p := &process{cmd: cmd, said: &limited{}, from: from}
	cmd.Stderr = p.said
	var once sync.Once
	release := func() { once.Do(func() { hold.Close() }) }
	p.to, p.ended = to, func() {
		release()
		os.RemoveAll(dir)
	}
	p.opened = func() (io.WriteCloser, error) {
		release()
		defer to.Close()
		return os.OpenFile(in, os.O_WRONLY|syscall.O_NONBLOCK, 0)
	}
	if err := cmd.Start(); err != nil {
		release()
		to.Close()
		from.Close()
		return nil, err
	}
	return p, nil
}

// cost takes off what an empty step costs but for its return, which is one instruction.
func (q *qemu) cost(measured, base uint32) int {
	count := func(v uint32) int { return int(math.Round(float64(v) / q.perCounts)) }
	return count(measured) - count(base) + 1
}
