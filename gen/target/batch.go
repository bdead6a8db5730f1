package target

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"

	"gainwright/gen/c"
	"gainwright/model"
)

// Batch is the emitted C of many controllers in one translation unit, compiled with checks for undefined behaviour.
type Batch struct{ dir string }

// NewBatch compiles what is emitted for the units, whose names differ, with cc.
func NewBatch(ctx context.Context, units []*model.Unit) (*Batch, error) {
	// The streams become functions of one program, which looks at its own name to tell which of them is meant.
	var source, table bytes.Buffer
	source.WriteString("#include <string.h>\n")
	files := map[string][]byte{}
	for _, u := range units {
		name := u.Spec.Name
		files[name+".h"], files[name+"_stream.c"] = c.Header(u), c.Stream(u)
		fmt.Fprintf(&source, "#define main %s_main\n#include \"%s_stream.c\"\n#undef main\n", name, name)
		fmt.Fprintf(&table, "    if (strcmp(name, \"%s\") == 0) {\n        return %s_main(1, argv);\n    }\n", name, name)
	}
	fmt.Fprintf(&source, "int main(int argc, char **argv)\n{\n    const char *const slash = argc > 0 ? strrchr(argv[0], '/') : NULL;\n"+
		"    const char *const name = slash != NULL ? slash + 1 : \"\";\n%s    return 3;\n}\n", table.String())
	files["batch.c"] = source.Bytes()
	args := append(append([]string{"-O1"}, flags[1:]...), sanitizer...)
	if runtime.GOOS == "linux" { // each controller is started many times: loading libraries would take most of it
		args = append(args, "-static")
	}
	return newBatch(units, files, exec.CommandContext(ctx, "cc", append(args, "batch.c", "-o", "batch")...))
}

// newBatch runs the command that makes a program of files, with a name for each of the units.
func newBatch(units []*model.Unit, files map[string][]byte, cmd *exec.Cmd) (*Batch, error) {
	dir, err := os.MkdirTemp("", "gainwright-")
	if err != nil {
		return nil, err
	}
	b := &Batch{dir}
	for name, text := range files {
		path := filepath.Join(dir, name)
		err = errors.Join(err, os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, text, 0o644))
	}
	for _, u := range units {
		err = errors.Join(err, os.Symlink("batch", filepath.Join(dir, u.Spec.Name)))
	}
	if err != nil {
		return nil, errors.Join(err, b.Close())
	}
	cmd.Dir, cmd.WaitDelay = dir, waitDelay
	if said, err := cmd.CombinedOutput(); err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w\n%s", filepath.Base(cmd.Path), err, bytes.TrimSpace(said)), b.Close())
	}
	return b, nil
}

// Host is one controller of the batch.
func (b *Batch) Host(name string) *Host {
	return &Host{program: filepath.Join(b.dir, name), compiler: "cc -O1 " + sanitizer[0]}
}

// Close removes what was compiled.
func (b *Batch) Close() error { return os.RemoveAll(b.dir) }
