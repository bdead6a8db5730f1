package golden

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/gen"
	"gainwright/model/tier"
	"gainwright/templates"
)

func run(t *testing.T, dir, name string, args ...string) string {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

// TestCompilers compiles every checked-in header, alone and with its self-test, without a warning.
func TestCompilers(t *testing.T) {
	warnings := []string{"-Wall", "-Wextra", "-Wconversion", "-Wsign-conversion", "-Wshadow", "-pedantic", "-Werror", "-O2"}
	for _, c := range []struct {
		name, tool, hint, file string
		args                   []string
		runs                   bool
	}{
		{"cc C99", "cc", "a C compiler", "main.c", []string{"-std=c99"}, true},
		{"c++ C++11", "c++", "Debian package g++", "main.cpp", []string{"-std=c++11"}, true},
		{"clang C99", "clang", "Debian package clang", "main.c", []string{"-std=c99"}, true},
		{"clang C++11", "clang", "Debian package clang", "main.cpp", []string{"-std=c++11"}, true},
		{"avr-gcc C99", "avr-gcc", "Debian packages gcc-avr and avr-libc", "main.c", []string{"-std=c99", "-mmcu=atmega328p"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			compiler := tier.Tool(t, c.tool, c.hint)
			for _, name := range templates.Starters() {
				dir := t.TempDir()
				text := fmt.Sprintf("#include \"%[1]s.h\"\n#include \"%[1]s_vectors.h\"\nint main(void) { return %[1]s_selftest() != 0; }\n", name)
				if err := os.WriteFile(filepath.Join(dir, c.file), []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
				from, err := filepath.Abs(name)
				if err != nil {
					t.Fatal(err)
				}
				args := append(append(append([]string{}, c.args...), warnings...), "-I"+from, "-I"+filepath.Join(from, gen.Host), c.file, "-o", "main")
				if out := run(t, dir, compiler, args...); out != "" {
					t.Errorf("%s says of %s:\n%s", c.tool, name, out)
				}
				if c.runs {
					run(t, dir, filepath.Join(dir, "main"))
				}
			}
		})
	}
}

// TestGoPackages runs the tests of every checked-in Go package in a copy of its folder, as a user would.
func TestGoPackages(t *testing.T) {
	tier.Tool(t, "cc", "a C compiler")
	for _, name := range templates.Starters() {
		t.Run(name, func(t *testing.T) {
			if name != "incubator" {
				tier.Slow(t)
			}
			dir := t.TempDir()
			if err := os.CopyFS(dir, os.DirFS(name)); err != nil {
				t.Fatal(err)
			}
			run(t, dir, "go", "vet", "./...")
			out := run(t, dir, "go", "test", "-count=1", "-v", "./...")
			for _, want := range []string{"TestCompiledC", "TestSelfTest", "TestHeaderIsAsGenerated", "TestIntegersStayWithinBounds"} {
				if !strings.Contains(out, "--- PASS: "+want) {
					t.Errorf("%s did not pass:\n%s", want, out)
				}
			}
		})
	}
}
