package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gainwright/model/tier"
	"gainwright/templates"
)

var update = flag.Bool("update", false, "accept what the commands print now")

// TestCommands runs each case of testdata in a folder of its own: the lines of its file `commands`, one
// after the other, in-process. What they print, and their exit codes, must be the text of `expected`.
//
//	$ gainwright check cart.yaml     the command line
//	! gainwright: ...                a line of standard error
//	exit 2                           unless it is 0
//
// Besides gainwright there are: starter NAME (writes NAME.yaml), replace FILE OLD NEW, append FILE TEXT,
// copy FROM TO, remove FILE; a ~ in a text stands for a space. Other files of the case are copied to its folder.
func TestCommands(t *testing.T) {
	cases, err := filepath.Glob("testdata/*/commands")
	if err != nil || len(cases) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, c := range cases {
		from, err := filepath.Abs(filepath.Dir(c))
		if err != nil {
			t.Fatal(err)
		}
		t.Run(filepath.Base(from), func(t *testing.T) {
			if slices.Contains([]string{"report", "gains", "linear", "try"}, filepath.Base(from)) {
				tier.Slow(t)
			}
			runCase(t, from)
		})
	}
}

func runCase(t *testing.T, from string) {
	commands, err := os.ReadFile(filepath.Join(from, "commands"))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(from)); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	var got strings.Builder
	for line := range strings.Lines(string(commands)) {
		if line = strings.TrimSpace(line); line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		fmt.Fprintf(&got, "$ %s\n", line)
		verb, args, _ := strings.Cut(line, " ")
		if verb != "gainwright" {
			prepare(t, verb, args)
			continue
		}
		var out, err bytes.Buffer
		code := Do(strings.Fields(args), strings.NewReader(""), &out, &err)
		got.Write(out.Bytes())
		for said := range strings.Lines(err.String()) {
			got.WriteString("! " + said)
		}
		if code != 0 {
			fmt.Fprintf(&got, "exit %d\n", code)
		}
		got.WriteString("\n")
	}
	expected := filepath.Join(from, "expected")
	if *update {
		if err := os.WriteFile(expected, []byte(got.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(expected)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got.String()); d != "" {
		t.Errorf("the output differs (-expected +now):\n%s\nto accept: go test ./cmd/gainwright -run '%s' -update", d, t.Name())
	}
}

// prepare changes the folder between commands.
func prepare(t *testing.T, verb, args string) {
	t.Helper()
	f := strings.Fields(args)
	for i := range f {
		f[i] = strings.ReplaceAll(f[i], "~", " ")
	}
	read := func(name string) string {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	put := func(name, text string) {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	switch verb {
	case "starter":
		put(f[0]+".yaml", string(templates.Starter(f[0])))
	case "replace":
		text := read(f[0])
		if strings.Count(text, f[1]) != 1 {
			t.Fatalf("%q does not stand once in %s", f[1], f[0])
		}
		put(f[0], strings.Replace(text, f[1], f[2], 1))
	case "append":
		put(f[0], read(f[0])+strings.Join(f[1:], " ")+"\n")
	case "copy":
		put(f[1], read(f[0]))
	case "remove":
		if err := os.Remove(f[0]); err != nil {
			t.Fatal(err)
		}
	default:
		t.Fatalf("%q is no verb of a case", verb)
	}
}
