package main

import (
	"bytes"
	"context"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/templates"
)

// What verify is there to find: each fault is seen, printed with its tick, and gives exit code 1.
func TestVerifyFindsFaults(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(t *testing.T, u *model.Unit)
		want  []string
	}{
		{"another bit in the compiled C", func(t *testing.T, u *model.Unit) {
			script := filepath.Join(t.TempDir(), "cc.sh")
			text := "sed -i 's/= out.heater;/= out.heater + (out.heater == 1000);/' incubator_stream.c\nexec cc \"$@\"\n"
			if err := os.WriteFile(script, []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
			t.Setenv("CC", "sh "+script)
		}, []string{"output heater is 1000 in the integer program", "gives 1001", "tick ", "temperature"}},
		{"a value outside its range", func(t *testing.T, u *model.Unit) {
			for i := range u.Integer.Ops {
				if op := &u.Integer.Ops[i]; op.Name == "heat_error" {
					op.Hi /= 2
				}
			}
		}, []string{"value heat_error is ", "the certificate says ["}},
		{"a difference over its bound", func(t *testing.T, u *model.Unit) {
			for i, b := range u.Bounds {
				if u.Integer.Sections[b.Section].Signals[b.Signal].Name == "heat" {
					u.Bounds[i].Local = big.NewRat(1, 100000)
				}
			}
		}, []string{"OVER in ", "signal heat is "}},
	} {
		t.Run(c.name, func(t *testing.T) {
			u := model.Compile("incubator.yaml", templates.Starter("incubator"))
			if !u.OK() {
				t.Fatal(u.Findings)
			}
			c.spoil(t, u)
			var out bytes.Buffer
			err := verifier{context.Background(), newPaper(&out), &out, false}.ticks(u, 20000, 1)
			f, ok := err.(failure)
			if !ok || f.code != findings {
				t.Errorf("error %v", err)
			}
			for _, want := range append(c.want, "Not good") {
				if !strings.Contains(out.String(), want) {
					t.Errorf("%q is missing:\n%s", want, out.String())
				}
			}
		})
	}
}

// Without a C compiler nothing counts as verified.
func TestVerifyNeedsACompiler(t *testing.T) {
	t.Setenv("CC", "no-such-compiler")
	path := filepath.Join(t.TempDir(), "incubator.yaml")
	if err := os.WriteFile(path, templates.Starter("incubator"), 0o644); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if code := Do([]string{"verify", path, "--ticks", "100"}, strings.NewReader(""), &out, &errs); code != findings || !strings.Contains(errs.String(), "no C compiler") {
		t.Errorf("exit %d, %s%s", code, out.String(), errs.String())
	}
}

// Nothing is coloured but on a terminal.
func TestColour(t *testing.T) {
	var out bytes.Buffer
	if newPaper(&out).tint("1", "x") != "x" {
		t.Error("colour in a buffer")
	}
	p := paper{&out, true, true}
	if p.tint("1", "x") != "\x1b[1mx\x1b[0m" {
		t.Error("no colour on a terminal")
	}
}
