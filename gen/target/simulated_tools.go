package target

import (
	"bytes"
	"context"
	"debug/elf"
	"errors"
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
)

// tool is something that must be there, and what brings it.
type tool struct {
	name, debian string
	there        func(ctx context.Context) bool // nil: a command of that name
}

// lacking lists the tools that are not there.
func lacking(ctx context.Context, tools []tool) []string {
	var out []string
	for _, t := range tools {
		there := t.there
		if there == nil {
			there = func(context.Context) bool { _, err := exec.LookPath(t.name); return err == nil }
		}
		if !there(ctx) {
			out = append(out, fmt.Sprintf("%s (Debian package %s)", t.name, t.debian))
		}
	}
	return out
}

// compilerHas tells whether a compiler finds a file of its libraries.
func compilerHas(compiler string, args ...string) func(context.Context) bool {
	return func(ctx context.Context) bool {
		said, err := exec.CommandContext(ctx, compiler, args...).Output()
		return err == nil && filepath.IsAbs(strings.TrimSpace(string(said)))
	}
}

// run runs a command in a folder; what it says is part of the error.
func run(ctx context.Context, dir, command string, args ...string) ([]byte, error) {
	cmd := exec.CommandContext(ctx, command, args...)
	cmd.Dir, cmd.WaitDelay = dir, waitDelay
	var out bytes.Buffer
	said := &limited{}
	cmd.Stdout, cmd.Stderr = &out, said
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fmt.Errorf("%s %s: %w%s", command, strings.Join(args, " "), err, said.text())
	}
	return out.Bytes(), nil
}

// image is what an ELF file takes, and where its symbols are.
type image struct {
	flash, ram int // text and data, data and bss
	symbols    map[string]elf.Symbol
}

func readImage(path string) (*image, error) {
	f, err := elf.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	m := &image{symbols: map[string]elf.Symbol{}}
	for _, s := range f.Sections {
		switch {
		case s.Flags&elf.SHF_ALLOC == 0:
		case s.Type == elf.SHT_NOBITS:
			m.ram += int(s.Size)
		case s.Flags&elf.SHF_WRITE != 0:
			m.flash += int(s.Size)
			m.ram += int(s.Size)
		default:
			m.flash += int(s.Size)
		}
	}
	symbols, err := f.Symbols()
	if err != nil && !errors.Is(err, elf.ErrNoSymbols) {
		return nil, err
	}
	for _, s := range symbols {
		m.symbols[s.Name] = s
	}
	return m, nil
}
