// Package target runs the emitted C where it can be watched: compiled for this host, or for a part that is
// simulated. Each is a trial.Target.
package target

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/trial"
)

var _ trial.Target = (*Host)(nil)

// Host is the emitted C, compiled for this machine.
type Host struct {
	dir, program, compiler string
}

// Options say how the C is compiled.
type Options struct {
	// Sanitize has the compiler add checks for undefined behaviour, which end the program where it occurs.
	Sanitize bool
}

// flags that the header and the stream must compile with, without a word.
var flags = []string{"-O2", "-std=c99", "-Wall", "-Wextra", "-Wconversion", "-Wsign-conversion", "-Wshadow", "-pedantic", "-Werror"}

var sanitizer = []string{"-fsanitize=undefined", "-fno-sanitize-recover=all"}

// NewHost compiles what is emitted for u, with $CC or cc. Close removes it.
func NewHost(ctx context.Context, u *model.Unit, o Options) (*Host, error) {
	return newHost(ctx, u.Spec.Name, c.Header(u), c.Stream(u), o)
}

func newHost(ctx context.Context, name string, header, stream []byte, o Options) (*Host, error) {
	command := strings.Fields(os.Getenv("CC"))
	if len(command) == 0 {
		command = []string{"cc"}
	}
	path, err := exec.LookPath(command[0])
	if err != nil {
		return nil, fmt.Errorf("no C compiler: %w: install the Debian package gcc, or name a compiler in the environment variable CC", err)
	}
	dir, err := os.MkdirTemp("", "gainwright-")
	if err != nil {
		return nil, err
	}
	h := &Host{dir: dir, program: filepath.Join(dir, "stream"), compiler: strings.Join(command, " ")}
	source := name + "_stream.c"
	err = errors.Join(os.WriteFile(filepath.Join(dir, name+".h"), header, 0o644), os.WriteFile(filepath.Join(dir, source), stream, 0o644))
	if err != nil {
		return nil, errors.Join(err, h.Close())
	}
	args := append(command[1:], flags...)
	if o.Sanitize {
		args = append(args, sanitizer...)
	}
	cmd := exec.CommandContext(ctx, path, append(args, source, "-o", h.program)...)
	cmd.Dir, cmd.WaitDelay = dir, waitDelay
	if said, err := cmd.CombinedOutput(); err != nil {
		if ctx.Err() != nil {
			err = ctx.Err()
		}
		return nil, errors.Join(fmt.Errorf("%s %s: %w\n%s", h.compiler, source, err, bytes.TrimSpace(said)), h.Close())
	}
	return h, nil
}

// Name says which compiler made it.
func (h *Host) Name() string { return "C by " + h.compiler + " on this host" }

// Close removes what was compiled.
func (h *Host) Close() error { return os.RemoveAll(h.dir) }
