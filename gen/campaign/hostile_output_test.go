package campaign

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gainwright/gen"
	"gainwright/model"
)

// safeName is what a file may be called, on every system.
var safeName = regexp.MustCompile(`^(host/)?[a-z][a-z0-9_]*\.(h|c|go|mod|json)$`)

// crowded is what a header may meet in a translation unit: the libraries of C with all that compilers define of their own,
// and macros that boards' headers are known for.
const crowded = `#ifdef __cplusplus
#include <complex>
#else
#include <complex.h>
#include <iso646.h>
#include <stdbool.h>
#include <stdalign.h>
#include <stdnoreturn.h>
#endif
#include <assert.h>
#include <ctype.h>
#include <errno.h>
#include <limits.h>
#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <wchar.h>
#undef abs
#define min(a, b) ((a) < (b) ? (a) : (b))
#define max(a, b) ((a) > (b) ? (a) : (b))
#define abs(x) ((x) > 0 ? (x) : -(x))
#define round(x) ((x) >= 0 ? (long)((x) + 0.5) : (long)((x)-0.5))
#define constrain(x, low, high) ((x) < (low) ? (low) : ((x) > (high) ? (high) : (x)))
#define radians(deg) ((deg)*0.017453292519943295)
#define degrees(rad) ((rad)*57.29577951308232)
#define sq(x) ((x) * (x))
#define bit(b) (1UL << (b))
#define interrupts() (void)0
#define lowByte(w) ((uint8_t)((w)&0xff))
#define F(text) (text)
#define B1 1
#define B01 1
#define PORTB (*(volatile uint8_t *)0x25)
#define F_CPU 16000000UL
#define HIGH 0x1
#define LOW 0x0
#define INPUT 0x0
#define OUTPUT 0x1
#define PI 3.1415926535897932
#define near
#define far
#define small char
`

// outputs collects what is emitted for hostile texts, and holds it against C99, C++11 and Go. It keeps files, no units: the memory of a check is
// measured beside it.
type outputs struct {
	dir    string
	rounds [][]string     // controllers of different names: each round is one translation unit
	had    map[string]int // by name
	units  int
	front  *goCheck
}

func newOutputs(t *testing.T) *outputs {
	return &outputs{dir: t.TempDir(), had: map[string]int{}, front: newGoCheck()}
}

// take checks the Go of a controller and keeps its files.
func (o *outputs) take(t *testing.T, u *model.Unit) {
	t.Helper()
	o.units++
	if u.Spec.Name == defaultName { // the others keep the names that they try to do harm with
		u.Spec.Name = fmt.Sprintf("%s_h%d", defaultName, o.units)
		u.Integer.Name = u.Spec.Name
	}
	files, err := gen.Generate(u)
	if err != nil {
		t.Fatal(err)
	}
	for name := range files {
		if !safeName.MatchString(name) {
			t.Errorf("a file is called %q", name)
		}
	}
	if err := o.front.take(u.Spec.Name, files); err != nil {
		t.Errorf("the Go does not compile: %v", err)
	}
	at := o.had[u.Spec.Name]
	o.had[u.Spec.Name]++
	if at == len(o.rounds) {
		o.rounds = append(o.rounds, nil)
	}
	o.rounds[at] = append(o.rounds[at], u.Spec.Name)
	for file, text := range files {
		name := path.Base(file)
		switch {
		case strings.HasSuffix(name, ".go") && at == 0 && o.units%16 == 1:
			o.write(t, text, "go", u.Spec.Name, name)
		case strings.HasSuffix(name, ".h"):
			o.write(t, text, fmt.Sprint(at), name)
		}
	}
}

func (o *outputs) write(t *testing.T, text []byte, path ...string) {
	t.Helper()
	file := filepath.Join(o.dir, filepath.Join(path...))
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, text, 0o644); err != nil {
		t.Fatal(err)
	}
}

// compile sends all headers through the front ends of C and C++, alone and in a crowd, and a sixteenth of the Go through the whole compiler.
func (o *outputs) compile(t *testing.T) {
	t.Helper()
	run := func(folder string, command ...string) {
		c := exec.Command(command[0], command[1:]...)
		c.Dir = filepath.Join(o.dir, folder)
		if said, err := c.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%.4000s", strings.Join(command, " "), err, said)
		}
	}
	for at, names := range o.rounds {
		folder := fmt.Sprint(at)
		var plain bytes.Buffer
		for _, name := range names {
			fmt.Fprintf(&plain, "#include \"%s.h\"\n", name)
		}
		o.write(t, plain.Bytes(), folder, "plain.c")
		o.write(t, append([]byte(crowded), plain.Bytes()...), folder, "crowded.c")
		for _, file := range []string{"plain.c", "crowded.c"} {
			for _, command := range [][]string{{"cc", "-std=c99"}, {"cc", "-std=gnu11"}, {"c++", "-std=c++11", "-x", "c++"}, {"c++", "-std=gnu++17", "-x", "c++"}} {
				run(folder, append(command, "-fsyntax-only", "-Wall", "-Wextra", "-Werror", "-Wtrigraphs", "-Wcomment", file)...)
			}
		}
	}
	o.write(t, []byte("module hostile\n\ngo 1.24\n"), "go", "go.mod")
	run("go", "go", "vet", "./...")
}

// goCheck is the front end of the Go compiler, with the packages that emitted code imports read once.
type goCheck struct {
	files   *token.FileSet
	imports types.Importer
}

func newGoCheck() *goCheck {
	files := token.NewFileSet()
	return &goCheck{files, importer.ForCompiler(files, "source", nil)}
}

// take checks a package and its tests.
func (g *goCheck) take(name string, files map[string][]byte) error {
	var inside, outside []*ast.File
	for file, text := range files {
		if !strings.HasSuffix(file, ".go") {
			continue
		}
		f, err := parser.ParseFile(g.files, name+"/"+file, text, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		if strings.HasSuffix(f.Name.Name, "_test") {
			outside = append(outside, f)
		} else {
			inside = append(inside, f)
		}
	}
	if len(inside) == 0 {
		return fmt.Errorf("no Go at all")
	}
	config := types.Config{Importer: g.imports}
	if _, err := config.Check(name, g.files, inside, nil); err != nil {
		return err
	}
	if len(outside) > 0 {
		return fmt.Errorf("%d files of another package", len(outside))
	}
	return nil
}
