package target

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"

	"gainwright/gen/golang"
	"gainwright/model"
)

// goStream makes a stream of an emitted Go package, with records as those of the C.
const goStream = `
import (
	"bufio"
	"encoding/binary"
	"io"
)

// Stream runs the controller until in ends.
func Stream(in io.Reader, out io.Writer) error {
	const most = 1024
	var s State
	s.Init()
	size := 8 * (len(inputs) + 2*len(gains) + 1)
	from, to := bufio.NewReaderSize(in, size*most), bufio.NewWriter(out)
	got := make([]byte, size)
	for tick := 1; ; tick++ {
		if _, err := io.ReadFull(from, got); err == io.EOF {
			return to.Flush()
		} else if err != nil {
			return err
		}
		at := func(i int) int64 { return int64(binary.NativeEndian.Uint64(got[8*i:])) }
		raw := make([]int64, len(inputs))
		for i := range raw {
			raw[i] = at(i)
		}
		for i, g := range gains {
			if at(len(inputs)+2*i) != 0 {
				g.set(&s, int32(at(len(inputs)+2*i+1)))
			}
		}
		if over := at(len(inputs) + 2*len(gains)); over != 0 {
			restarts[over-1].integer(&s)
		}
		values := record(&s, s.Step(pack(raw)))
		if len(values) == 0 {
			values = []int64{0}
		}
		for _, v := range values {
			if _, err := to.Write(binary.NativeEndian.AppendUint64(nil, uint64(v))); err != nil {
				return err
			}
		}
		if tick%most == 0 {
			if err := to.Flush(); err != nil {
				return err
			}
		}
	}
}
`

// NewGoBatch builds the emitted Go packages of many controllers, whose names differ, into one program.
func NewGoBatch(ctx context.Context, units []*model.Unit) (*Batch, error) {
	made := map[string][]byte{}
	var imports, table strings.Builder
	for i, u := range units {
		name := u.Spec.Name
		files := golang.Package(u)
		for _, file := range []string{"integer.go", "reference.go", "wiring_test.go", "drive_test.go"} {
			made["of_"+name+"/"+strings.Replace(file, "_test.go", ".go", 1)] = files[file]
		}
		line, _, _ := bytes.Cut(files["wiring_test.go"][bytes.Index(files["wiring_test.go"], []byte("\npackage "))+1:], []byte("\n"))
		made["of_"+name+"/stream.go"] = slices.Concat(line, []byte(goStream))
		fmt.Fprintf(&imports, "\tp%d \"batch/of_%s\"\n", i, name)
		fmt.Fprintf(&table, "\t\t%q: p%d.Stream,\n", name, i)
	}
	made["go.mod"] = []byte("module batch\n\ngo 1.26\n")
	made["main.go"] = fmt.Appendf(nil, "package main\n\nimport (\n\t\"io\"\n\t\"os\"\n\t\"path/filepath\"\n%s)\n\nfunc main() {\n\tf := map[string]func(io.Reader, io.Writer) error{\n%s\t}[filepath.Base(os.Args[0])]\n"+
		"\tif f == nil || f(os.Stdin, os.Stdout) != nil {\n\t\tos.Exit(3)\n\t}\n}\n", &imports, &table)
	cmd := exec.CommandContext(ctx, "go", "build", "-gcflags=-N -l", "-ldflags=-s -w", "-o", "batch", ".")
	cmd.Env = append(os.Environ(), "GOFLAGS=-mod=mod -buildvcs=false", "GOWORK=off", "GOPROXY=off")
	return newBatch(units, made, cmd)
}
